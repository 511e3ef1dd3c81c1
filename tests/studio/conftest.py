"""What tests of the renderer need: the renderer itself, boards, and a plain instrument."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from brief.instrument.solid.mesh import Mesh, Solid
from brief.studio.renderer import missing


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if said := missing():
        skip = pytest.mark.skip(reason=f"Mitsuba is not installed: {said}")
        for item in items:
            if item.get_closest_marker("studio"):
                item.add_marker(skip)


def block(name: str, role: str, size: tuple[float, ...], at: tuple[float, ...]) -> Solid:
    """A block by its size and its middle, mm, its picture once on each of its faces."""
    points, faces, uv, normals = [], [], [], []
    for axis in range(3):
        for side in (-0.5, 0.5):
            first = len(points)
            for corner in ((0, 0), (1, 0), (1, 1), (0, 1)):
                point = np.empty(3)
                point[axis], point[[axis - 2, axis - 1]] = side, np.subtract(corner, 0.5)
                points.append(point * size + at)
                normals.append(np.eye(3)[axis] * np.sign(side))
                uv.append(point[:2] + 0.5)
            turned = (0, 1, 2, 3) if side > 0 else (3, 2, 1, 0)
            a, b, c, d = (first + one for one in turned)
            faces += [(a, b, c), (a, c, d)]
    return Solid(
        name,
        role,
        Mesh(np.array(points), np.array(faces, dtype=np.int32), np.array(uv), np.array(normals)),
    )


def board(lab: tuple[float, float, float], *, seed: int = 1) -> bytes:
    """A photograph of a made-up board whose mean is that colour: streaks along its height."""
    from brief.photo.wood.recolour import recolour

    rng = np.random.default_rng(seed)
    streaks = rng.normal(0, 1, 400).cumsum()
    streaks = (streaks - np.linspace(0, streaks[-1], 400)) * 0.012 + rng.normal(0, 0.03, 400)
    grey = np.clip(0.5 + np.tile(streaks, (500, 1)) + rng.normal(0, 0.02, (500, 400)), 0.1, 0.9)
    rgb = np.stack([grey * 1.02, grey * 0.86, grey * 0.66], axis=-1)
    picture = Image.fromarray(np.rint(np.clip(rgb, 0, 1) * 255).astype(np.uint8))
    target = io.BytesIO()
    recolour(picture, lab).save(target, "JPEG", quality=95, subsampling=0)
    return target.getvalue()


@pytest.fixture
def plank() -> tuple[Solid, ...]:
    """A body, a neck and a nut, of blocks."""
    return (
        block("top", "top", (380, 480, 90), (0, 240, -45)),
        block("neck", "neck", (52, 400, 20), (0, -200, -8)),
        block("nut", "nut", (44, 5, 6), (0, -380, 5)),
    )
