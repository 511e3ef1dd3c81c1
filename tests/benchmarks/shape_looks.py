"""Tiles for a blind look at shapes: photographs of boards with a dot or a drawn shape, or none.

    python tests/benchmarks/shape_looks.py PHOTOGRAPHS TILES KEY.csv

As tests/benchmarks/looks.py, whose boards these are: those that no threshold was set on. A shape
is a dot, a short bar, a leaf or a stem that curves; it may be anywhere and turned any way, its
colour is 2 to 25 CIEDE2000 from the piece, and most are near the edge of being seen. KEY.csv says
what is on each tile and what was measured of it: its area and edge, and `seen` and `grain`,
CIEDE2000.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from PIL import Image
from PIL.Image import Image as Photo
from shapely.affinity import rotate, translate

from brief.colour import delta_e_2000, lab_to_xyz, linear_to_srgb, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB, Array
from brief.colour.viewing.distance import colour_as_kept
from brief.colour.viewing.observer import noise
from brief.colour.viewing.shape import (
    SUMMED_MM,
    Shape,
    ShapePatch,
    beside_shape,
    grain_about_shape,
    shape_response,
)
from brief.instrument.inlay.cover import cover_of
from brief.photo.lightness import LINEAR
from brief.photo.wood.piece import PX_PER_MM
from brief.photo.wood.viewing_filter import as_seen
from tests.benchmarks.looks import DISTANCES_M, JUDGING, PLANKS, Tile, piece, tiles

BOARDS = JUDGING + tuple(PLANKS)
COUNT, SEED = 96, 11
COARSE = 3  # pixels a millimetre, as a verdict has it
D_PRIMES = 0.15, 4.0  # many near the edge
DIFFERENCES = 2.0, 25.0
KINDS = ("dot", "bar", "leaf", "stem")


@dataclass(frozen=True)
class Row:
    """x, y : of the middle of the shape, 0 to 1. size_mm : the dot's diameter or the length."""

    tile: str
    board: str
    turned: bool
    distance_m: float
    kind: str
    size_mm: float
    x: float
    y: float
    seen: float
    grain: float
    area_mm2: float
    edge_mm: float


def drawn_shape(kind: str, rng: np.random.Generator) -> tuple[Any, float]:
    """A shape about the origin, mm, turned any way, and its size."""
    if kind == "dot":
        size = float(np.exp(rng.uniform(np.log(1.5), np.log(8))))
        return shapely.MultiPolygon([shapely.Point(0, 0).buffer(size / 2)]), size
    size = float(rng.uniform(8, 15) if kind == "bar" else rng.uniform(10, 24))
    t = np.linspace(0, 1, 60)
    bow = 0.0 if kind == "bar" else float(rng.uniform(0.15, 0.35))
    line = shapely.LineString(np.column_stack([(t - 0.5) * size, bow * size * np.sin(np.pi * t)]))
    if kind == "leaf":
        other = [(x, 0.45 * y) for x, y in line.coords]
        made = shapely.Polygon([*line.coords, *other[::-1]])
    else:
        made = line.buffer(float(rng.uniform(0.3, 1.0)), cap_style="flat")
    made = rotate(made, float(rng.uniform(0, 360)), origin="center")
    box = made.bounds
    made = translate(made, -(box[0] + box[2]) / 2, -(box[1] + box[3]) / 2)
    return shapely.MultiPolygon([made]), size


def patch_about(ground: Photo, x: float, y: float, board: Array) -> ShapePatch:
    """The wood of a piece with a place of it in the middle, mirrored where it ends."""
    finer = PX_PER_MM // COARSE
    linear = LINEAR[np.asarray(ground.reduce(finer))]
    high, wide = linear.shape[:2]
    padded = np.pad(linear, ((high // 2,) * 2, (wide // 2,) * 2, (0, 0)), mode="symmetric")
    top, left = round(y * high), round(x * wide)
    lab = xyz_to_lab(padded[top : top + high, left : left + wide] @ SRGB_TO_XYZ.T)
    return ShapePatch(lab - board, 1 / COARSE)


def measure(
    shape: Any, patch: ShapePatch, board: Array, lab: Array, away: float
) -> tuple[float, float]:
    """What is seen of it, and the grain about it."""
    cover, edge = cover_of(shape, COARSE)
    laid = Shape(cover, 1 / COARSE, edge)
    beside = board + beside_shape(laid, patch)
    seen = colour_as_kept(beside, lab, shape_response(laid, away)[0])
    grain = grain_about_shape(laid, patch, board, lab, away)
    return float(delta_e_2000(seen, beside)), float(grain[0])


def first_guess(shape: Any, seen: float, grain: float, away: float) -> float:
    """d' as it was thought to be when the tiles were drawn, with 15 mm of length summed."""
    width = shape.area / max(SUMMED_MM, shape.length / 2)
    return seen / float(noise(grain, width, away))


def with_shape(ground: Photo, shape: Any, x: float, y: float, lab: Array) -> Photo:
    """The piece with the shape on it."""
    linear = LINEAR[np.asarray(ground)]
    cover, _ = cover_of(shape, PX_PER_MM)
    high, wide = cover.shape
    top, left = round(y * linear.shape[0] - high / 2), round(x * linear.shape[1] - wide / 2)
    share = np.zeros(linear.shape[:2])
    share[top : top + high, left : left + wide] = cover
    colour = np.clip(XYZ_TO_SRGB @ lab_to_xyz(lab), 0, 1)
    linear = linear * (1 - share[..., None]) + colour * share[..., None]
    return Image.fromarray(np.rint(linear_to_srgb(linear) * 255).astype(np.uint8))


def made(photographs: Path, tile: Tile, rng: np.random.Generator) -> tuple[Row, Photo]:
    """One tile with a shape, at its distance."""
    ground = piece(photographs, replace(tile, width_mm=0.0))
    board = xyz_to_lab(LINEAR[np.asarray(ground)].mean(axis=(0, 1)) @ SRGB_TO_XYZ.T)
    while True:
        kind = KINDS[int(rng.integers(len(KINDS)))]
        shape, size = drawn_shape(kind, rng)
        x, y = float(rng.uniform(0.25, 0.75)), float(rng.uniform(0.35, 0.65))
        patch = patch_about(ground, x, y, board)
        wanted = float(np.exp(rng.uniform(*np.log(D_PRIMES))))
        way = rng.normal(size=3)
        for apart in np.geomspace(*DIFFERENCES, 24):
            lab = board + way / np.linalg.norm(way) * apart
            shown = XYZ_TO_SRGB @ lab_to_xyz(lab)
            if not ((shown > 0).all() and (shown < 1).all()):
                break
            seen, grain = measure(shape, patch, board, lab, tile.distance_m)
            if 0.85 < first_guess(shape, seen, grain, tile.distance_m) / wanted < 1.2:
                picture = with_shape(ground, shape, x, y, lab)
                row = Row(
                    tile.name, tile.board, tile.turned, tile.distance_m, kind, round(size, 2),
                    round(x, 3), round(y, 3), round(seen, 4), round(grain, 4),
                    round(shape.area, 3), round(shape.length, 3),
                )  # fmt: skip
                return row, as_seen(picture, 1 / PX_PER_MM, tile.distance_m)


def main(photographs: Path, folder: Path, key: Path) -> None:
    """Write the tiles, and what is on each."""
    folder.mkdir(parents=True, exist_ok=True)
    rng, rows = np.random.default_rng(SEED), []
    for i, tile in enumerate(tiles(photographs, BOARDS, COUNT, SEED)):
        if (i + i // (len(BOARDS) * len(DISTANCES_M))) % 4 == 0:
            bare = piece(photographs, replace(tile, width_mm=0.0))
            picture = as_seen(bare, 1 / PX_PER_MM, tile.distance_m)
            row = Row(tile.name, tile.board, tile.turned, tile.distance_m, "", 0, 0, 0, 0, 0, 0, 0)
        else:
            row, picture = made(photographs, tile, rng)
        picture.save(folder / f"{tile.name}.png")
        rows.append(row)
    with key.open("w", newline="") as file:
        writer = csv.DictWriter(file, list(asdict(rows[0])), lineterminator="\n")
        writer.writeheader()
        writer.writerows(asdict(row) for row in sorted(rows, key=lambda one: one.tile))


if __name__ == "__main__":
    main(*(Path(given) for given in sys.argv[1:4]))
