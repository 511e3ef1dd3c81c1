"""A solid wears its photograph as the flat picture does."""

import io

import numpy as np
import pytest
from PIL import Image

from brief.instrument import Fill, preset
from brief.instrument.rendering.fill import laid_on
from brief.instrument.rendering.photo_composite import composed
from brief.instrument.rendering.placement import Laying, as_taken
from brief.instrument.solid.mesh import Solid
from brief.instrument.solid.whole import solids

CLASSICAL = preset("classical")
WIDE, HIGH = 240, 400  # of the photograph, pixels


def photograph() -> bytes:
    """One whose red says how far across a pixel is, and whose green how far down."""
    across, down = np.meshgrid(np.linspace(0, 255, WIDE), np.linspace(0, 255, HIGH))
    picture = np.stack([across, down, np.full_like(across, 90)], axis=-1).round().astype(np.uint8)
    target = io.BytesIO()
    Image.fromarray(picture).save(target, "JPEG", quality=100, subsampling="4:4:4")
    return target.getvalue()


def filled(laying: Laying | None, **more: object) -> Fill:
    return Fill("#805030", "/p.jpg", "spruce", (WIDE, HIGH), laying=laying, **more)  # type: ignore[arg-type]


def solid_of(name: str, role: str, fill: Fill) -> Solid:
    return next(one for one in solids(CLASSICAL, {role: fill}) if one.name == name)


def folded(uv: np.ndarray) -> np.ndarray:
    """Mirrored repeat, as a sampler has it."""
    return 1 - np.abs(np.mod(uv, 2) - 1)


@pytest.mark.parametrize(
    "laying",
    [
        None,
        Laying(30.0, "book-left"),
        Laying(20.0, "book-right", 180),
        Laying(35.0, "slip"),
        Laying(60.0, "one", 90),
        Laying(50.0, "one", 270),
    ],
)
@pytest.mark.parametrize("size_mm", [None, (210.0, 350.0), (420.0, 700.0)])
def test_the_top_shows_what_the_flat_picture_shows(laying, size_mm):
    fill = filled(laying, size_mm=size_mm, jpeg=photograph())
    box = (CLASSICAL.width_mm, CLASSICAL.body_mm)
    laid = laid_on(fill, box, matched=True)
    flat = np.asarray(
        Image.open(io.BytesIO(composed(fill.jpeg, laid, box[0], (0.0, 0.0, *box), 1.0)))
    ).astype(float)
    mesh = solid_of("top", "top", fill).mesh
    # The middles of its upper faces: no corner may pull one across a joint.
    upper = mesh.normals[mesh.faces][:, :, 2].min(axis=1) > 0.9
    at = mesh.points[mesh.faces[upper]].mean(axis=1)
    uv = folded(mesh.uv[mesh.faces[upper]].mean(axis=1))
    x = (at[:, 0] + box[0] / 2).astype(int).clip(0, flat.shape[1] - 1)
    y = at[:, 1].astype(int).clip(0, flat.shape[0] - 1)
    # Faces in which the photograph turns back at its edge have no one place in it.
    plain = np.ptp(np.floor(mesh.uv[mesh.faces[upper]]), axis=1).max(axis=1) == 0
    off = np.abs(flat[y, x, :2] - 255 * uv)[plain]
    assert plain.mean() > 0.8
    assert np.percentile(off, 99) < 6
    assert off.max() < 14


def test_two_halves_mirror_each_other_at_the_joint():
    mesh = solid_of("top", "top", filled(Laying(0.0, "book-right"))).mesh
    face = mesh.normals[:, 2] > 0.9
    points, uv = mesh.points[face], mesh.uv[face]
    at_joint = np.abs(points[:, 0]) < 1e-9
    assert at_joint.sum() > 50
    assert uv[at_joint][:, 0] == pytest.approx(0.0, abs=1e-5)
    assert uv[:, 0].min() >= -1e-5


def test_the_back_is_laid_as_it_is_seen_from_behind():
    mesh = solid_of("back", "back", filled(Laying(0.0, "one"), size_mm=(400.0, 500.0))).mesh
    face = mesh.normals[:, 2] < -0.9
    # In one piece with its left edge in the middle: what is seen at the left comes after a mirror.
    right = mesh.points[face][:, 0] < -20  # of the front, so that it is the right from behind
    assert (np.diff(mesh.uv[face][right][np.argsort(mesh.points[face][right][:, 0])][:, 0]) <= 1e-9
            ).mean() > 0.4  # fmt: skip
    assert mesh.uv[face][right][:, 0].min() > 0


def test_the_figure_bends_with_the_side_and_meets_at_the_tail():
    fill = filled(None, size_mm=(200.0, 900.0))
    mesh = solid_of("sides", "sides", fill).mesh
    outer = np.abs(mesh.normals[:, 2]) < 0.1
    faces = mesh.faces[outer[mesh.faces].all(axis=1)]
    # As long on the photograph as round the body: no stretch anywhere.
    run, uv = mesh.points[faces], mesh.uv[faces] * [200.0, 900.0]
    sides = np.linalg.norm(run - np.roll(run, 1, axis=1), axis=2)
    laid = np.linalg.norm(uv - np.roll(uv, 1, axis=1), axis=2)
    assert laid == pytest.approx(sides, abs=0.3)
    # The same place on either side shows the same: the two mirror each other and meet.
    lookup = {
        (round(x, 3), round(y, 3), round(z, 3)): uv
        for (x, y, z), uv in zip(mesh.points.tolist(), mesh.uv.tolist(), strict=True)
    }
    pairs = [
        (uv, lookup[(round(-x, 3), y, z)])
        for (x, y, z), uv in lookup.items()
        if x > 1 and (round(-x, 3), y, z) in lookup
    ]
    assert len(pairs) > 200
    one, other = (np.array(half) for half in zip(*pairs, strict=True))
    assert one[:, 1] == pytest.approx(other[:, 1], abs=2e-3)


def test_a_photograph_that_was_turned_is_read_as_it_was_taken():
    """Against Pillow: the pixel at a place of the turned picture is that of the one taken."""
    rng = np.random.default_rng(7)
    taken = rng.integers(0, 255, (30, 20), dtype=np.uint8)
    for turn in (0, 90, 180, 270):
        turned = np.asarray(Image.fromarray(taken).rotate(-turn, expand=True))
        for row, column in ((0, 0), (3, 11), (17, 2)):
            across = (np.array(column) + 0.5) / turned.shape[1]
            down = (np.array(row) + 0.5) / turned.shape[0]
            u, v = as_taken(turn, across, down)
            assert taken[int(v * 30), int(u * 20)] == turned[row, column]


def test_without_a_photograph_places_are_shares_of_the_part():
    mesh = next(one for one in solids(CLASSICAL) if one.name == "top").mesh
    face = mesh.normals[:, 2] > 0.9
    x = mesh.points[face][:, 0] / CLASSICAL.width_mm + 0.5
    assert mesh.uv[face][:, 0] == pytest.approx(x, abs=1e-4)
    assert mesh.uv[face][:, 1] == pytest.approx(
        mesh.points[face][:, 1] / CLASSICAL.body_mm, abs=1e-4
    )


def test_the_same_in_gives_the_same_out():
    first, second = solids(CLASSICAL), solids(CLASSICAL)
    for one, other in zip(first, second, strict=True):
        assert one.name == other.name
        assert np.array_equal(one.mesh.points, other.mesh.points)
        assert np.array_equal(one.mesh.uv, other.mesh.uv)
