"""The instrument as GLB, read again by hand and judged by Khronos' own validator."""

from __future__ import annotations

import io
import json
import shutil
import struct
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from brief.instrument import Fill, preset, presets, shaped
from brief.instrument.model.own_outline import with_outline
from brief.instrument.solid.glb import PartLook, as_glb
from brief.instrument.solid.in_order import in_order
from brief.instrument.solid.mesh import Mesh, Solid
from brief.instrument.solid.whole import solids
from tests.instrument.a_tracing import TRACED

ROOT = Path(__file__).parents[2]
NODE = shutil.which("node")
VALIDATOR = "const {validateBytes} = require('gltf-validator');" + (
    "validateBytes(new Uint8Array(require('fs').readFileSync(0)), {maxIssues: 20})"
    ".then((report) => console.log(JSON.stringify(report)))"
)
ASSET = {"generator": "a test", "copyright": "Computed, not photographed.", "extras": {"n": 1}}


def block(wide: float, long: float, thick: float, *, at: float = 0.0) -> Mesh:
    """A box in the space of the solids, each of its sides by itself."""
    points, faces, uv, normals = [], [], [], []
    half = np.array([wide, long, thick]) / 2
    for axis in range(3):
        for way in (-1, 1):
            one, other = np.eye(3)[(axis + 1) % 3], np.eye(3)[(axis + 2) % 3] * way
            normal = np.eye(3)[axis] * way
            first = len(points)
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
                points.append((normal + a * one + b * other) * half + (0, at, 0))
                uv.append((a, b))
                normals.append(normal)
            faces += [(first, first + 1, first + 2), (first, first + 2, first + 3)]
    return Mesh(
        np.array(points), np.array(faces, dtype=np.int32), np.array(uv) * 1.5, np.array(normals)
    )


def photograph() -> bytes:
    kept = io.BytesIO()
    Image.linear_gradient("L").convert("RGB").save(kept, "JPEG")
    return kept.getvalue()


def judged(data: bytes) -> dict[str, Any]:
    """The report of gltf-validator; skipped where node or the package is not there."""
    if NODE is None:
        pytest.skip("Node.js is not installed")
    run = subprocess.run(
        [NODE, "-e", VALIDATOR], input=data, capture_output=True, cwd=ROOT, timeout=60
    )
    if b"Cannot find module 'gltf-validator'" in run.stderr:
        pytest.skip("gltf-validator is not there; DEVELOPERS.md says how to install it")
    assert run.returncode == 0, run.stderr
    report: dict[str, Any] = json.loads(run.stdout)
    return report


def read(data: bytes) -> tuple[dict[str, Any], bytes]:
    """What a GLB says, and its binary chunk (glTF 2.0, 4.4)."""
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    start = 20 + size
    rest, kind = struct.unpack_from("<I4s", data, start)
    assert kind == b"BIN\0"
    assert start + 8 + rest == len(data)
    return json.loads(data[20:start]), data[start + 8 :]


SOLIDS = (
    Solid("top", "top", block(300, 450, 3, at=225)),
    Solid("fret 1", "frets", block(52, 2, 1, at=-300)),
    Solid("fret 2", "frets", block(53, 2, 1, at=-270)),
)
LOOKS = {
    "top": PartLook("Spruce “№ 7”", "#d8b98a", photograph(), 0.6, 0.0, 1.0, 0.08),
    "frets": PartLook("nickel silver", "#bdb7a9", metallic=1.0, roughness=0.3),
}


def test_the_validator_has_nothing_to_say() -> None:
    report = judged(as_glb(SOLIDS, LOOKS, title="A test", asset=ASSET))
    assert report["issues"]["numErrors"] == report["issues"]["numWarnings"] == 0, report["issues"]
    assert report["info"]["totalTriangleCount"] == 36
    assert report["info"]["resources"][1]["mimeType"] == "image/jpeg"


def test_the_validator_knows_a_broken_file() -> None:
    report = judged(as_glb(SOLIDS, LOOKS, title="A test", asset=ASSET)[:-40])
    assert report["issues"]["numErrors"] > 0


def test_metres_y_up_and_faces_outwards() -> None:
    said, data = read(as_glb(SOLIDS, LOOKS, title="A test", asset=ASSET))
    assert [one["name"] for one in said["nodes"]] == ["top", "fret 1", "fret 2", "A test"]
    primitive = said["meshes"][0]["primitives"][0]

    def values(number: int, kind: str) -> np.ndarray[Any, Any]:
        accessor = said["accessors"][number]
        start = said["bufferViews"][accessor["bufferView"]]["byteOffset"] + accessor["byteOffset"]
        each = 1 if accessor["type"] == "SCALAR" else 3
        return np.frombuffer(data, kind, accessor["count"] * each, start).reshape(-1, each)

    points = values(primitive["attributes"]["POSITION"], "<f4").astype(float)
    faces = values(primitive["indices"], "<u2").reshape(-1, 3).astype(int)
    np.testing.assert_allclose(points.min(axis=0), (-0.15, -0.45, -0.0015), atol=1e-7)
    np.testing.assert_allclose(points.max(axis=0), (0.15, 0, 0.0015), atol=1e-7)
    a, b, c = (points[faces[:, corner]] for corner in range(3))
    volume = np.einsum("ij,ij->", a, np.cross(b, c)) / 6
    assert volume == pytest.approx(0.3 * 0.45 * 0.003)  # counter-clockwise is front (3.7.2.1)


def test_a_photograph_goes_in_as_it_is_and_once() -> None:
    two = (*SOLIDS, Solid("back", "top", block(300, 450, 3)))
    said, data = read(as_glb(two, LOOKS, title="A test", asset=ASSET))
    assert len(said["images"]) == len(said["textures"]) == 1
    view = said["bufferViews"][said["images"][0]["bufferView"]]
    assert data[view["byteOffset"] :][: view["byteLength"]] == photograph()
    assert said["samplers"][0]["wrapS"] == 33648  # MIRRORED_REPEAT


def test_what_has_no_photograph_has_its_colour_linear() -> None:
    said, _ = read(as_glb(SOLIDS[1:], LOOKS, title="A test", asset=ASSET))
    assert "images" not in said
    assert "extensionsUsed" not in said
    # IEC 61966-2-1 of bd, b7, a9, worked by hand
    factor = said["materials"][0]["pbrMetallicRoughness"]["baseColorFactor"]
    assert factor == pytest.approx([0.50888, 0.47353, 0.39676, 1.0], abs=1e-4)


def test_the_same_makes_the_same_bytes() -> None:
    one, other = (as_glb(SOLIDS, LOOKS, title="A test", asset=ASSET) for _ in range(2))
    assert one == other


def dressed(kept: tuple[Solid, ...], *, photographed: bool) -> dict[str, PartLook]:
    jpeg = photograph() if photographed else None
    return {one.role: PartLook(one.role, "#a0703c", jpeg, coat=0.5) for one in kept}


@pytest.mark.slow
@pytest.mark.parametrize("photographed", [True, False], ids=["photographs", "colours"])
@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_the_validator_has_nothing_to_say_of_a_whole_instrument(
    kind: str, photographed: bool
) -> None:
    fill = Fill("#a0703c", "/images/x", "wood", (400, 600), (200.0, 300.0))
    made = preset(kind)
    kept = solids(made, dict.fromkeys((part.role for part in made.parts), fill))
    data = as_glb(kept, dressed(kept, photographed=photographed), title=kind, asset=ASSET)
    report = judged(data)
    assert report["issues"]["numErrors"] == report["issues"]["numWarnings"] == 0, report["issues"]
    assert report["info"]["drawCallCount"] == len(kept)
    assert len(data) < 8_000_000


def test_nor_with_a_cutaway_and_frets_that_fan() -> None:
    numbers = {"cutaway_depth_mm": 60.0, "fan_mm": 20.0, "scale_mm": 640.0}
    kept = solids(shaped(preset("auditorium-steel-string"), numbers))
    report = judged(as_glb(kept, dressed(kept, photographed=True), title="x", asset=ASSET))
    assert report["issues"]["numErrors"] == report["issues"]["numWarnings"] == 0, report["issues"]


def test_nor_with_a_traced_outline() -> None:
    kept = solids(with_outline(preset("classical"), TRACED))
    report = judged(as_glb(kept, dressed(kept, photographed=False), title="x", asset=ASSET))
    assert report["issues"]["numErrors"] == report["issues"]["numWarnings"] == 0, report["issues"]


def test_an_order_that_is_quickly_drawn_changes_nothing_else() -> None:
    before = next(one.mesh for one in solids(preset("classical")) if one.name == "top")
    after = in_order(before)

    def corners(mesh: Mesh) -> set[bytes]:
        told = np.concatenate([mesh.points, mesh.uv, mesh.normals], axis=1)[mesh.faces]
        return {one.tobytes() for one in told}

    assert len(after.faces) == len(before.faces)
    assert corners(after) == corners(before)
    assert points_worked_out(after) < 0.7 * points_worked_out(before)


def points_worked_out(mesh: Mesh, kept: int = 32) -> int:
    """Of a processor that keeps the last points (a first-in, first-out cache)."""
    last: list[int] = []
    count = 0
    for point in mesh.faces.ravel().tolist():
        if point not in last:
            count += 1
            last = [*last[1 - kept :], point]
    return count
