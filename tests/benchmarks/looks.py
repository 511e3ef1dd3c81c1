"""Tiles for a blind look: photographs of boards with a line across them, or with none.

    python tests/benchmarks/looks.py PHOTOGRAPHS TILES KEY.csv [ROUND]

Writes the tiles into the folder TILES under names that say nothing, four lists of their names
beside that folder, and what is on each tile into KEY.csv. Each tile is the picture that a pairing
shows, 60 x 40 mm of a board at 12 pixels a millimetre, filtered as the eye has it from the distance
of the tile; the line may be anywhere across it. The boards have no scale of their own: the
millimetres a pixel are assumed, as below, so that what counts is the pattern at that scale.

Thresholds are set on SETTING, every second board of the first eleven, and judged on JUDGING. The
first round, 200 tiles, is of all eleven; the second, 100, of JUDGING and of five planks more.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import numpy as np
from PIL import Image
from PIL.Image import Image as Photo

from brief.colour import delta_e_2000, lab_to_xyz, linear_to_srgb, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB
from brief.colour.viewing.distance import line_as_seen
from brief.colour.viewing.observer import grain_about_line
from brief.photo.lightness import LINEAR
from brief.photo.wood.piece import HEIGHT_MM, PX_PER_MM, WIDTH_MM, rows_of
from brief.photo.wood.viewing_filter import as_seen, line_cover

Board = tuple[str, float, tuple[int, int, int, int] | None]
# Path below the folder of photographs, millimetres a pixel, and of a floor the one plank, pixels.
FIRST: dict[str, Board] = {
    "ash": ("wood/ash.jpg", 0.2, None),
    "bubinga": ("wood/bubinga.jpg", 0.2, None),
    "cherry": ("wood/cherry.jpg", 0.2, None),
    "hickory": ("wood/hickory.jpg", 0.2, None),
    "oak": ("wood/oak-red.jpg", 0.2, None),
    "purpleheart": ("wood/purpleheart.jpg", 0.2, None),
    "walnut": ("wood/walnut.jpg", 0.2, None),
    "yellowheart": ("wood/yellowheart.jpg", 0.2, None),
    "rosewood": ("rosewood_veneer1_polyhaven_1k.jpg", 0.25, None),
    "table": ("wood_table_worn_polyhaven_1k.jpg", 0.25, None),
    "orange": ("godot_texture_wood.png", 0.3, None),
}
FLOOR = "hardwood2_diffuse_threejs.jpg"
PLANKS: dict[str, Board] = {
    "plank-1": (FLOOR, 0.55, (6, 6, 958, 122)),
    "plank-2": (FLOOR, 0.55, (606, 398, 1556, 512)),
    "plank-3": (FLOOR, 0.55, (974, 270, 2042, 384)),
    "plank-4": (FLOOR, 0.55, (974, 526, 2042, 640)),
    "plank-5": (FLOOR, 0.55, (606, 654, 1556, 766)),
}
BOARDS = FIRST | PLANKS
SETTING = tuple(FIRST)[::2]
JUDGING = tuple(FIRST)[1::2]
ROUNDS = {1: (tuple(FIRST), 200, 0), 2: (JUDGING + tuple(PLANKS), 100, 2)}  # boards, tiles, seed

DISTANCES_M = (0.5, 1.0, 2.0, 4.0)
WIDTHS_MM = 0.4, 2.0
DIFFERENCES = 2.0, 20.0  # CIEDE2000 from the mean of the piece
AS_SEEN = 0.4, 16.0  # what is left of it from the distance: many near the edge
WITHOUT_EVERY = 4
LISTS = 4


@dataclass(frozen=True)
class Tile:
    """left, top : of the piece on the board, px. turned : by a quarter turn, so that the grain of a
    board runs the other way. upright : the line runs up and down. at : its middle, as a fraction of
    the width (upright) or height. lab : of the line. difference : CIEDE2000 from the mean of the
    piece. width_mm : 0 without a line.
    """

    name: str
    board: str
    left: int
    top: int
    turned: bool
    distance_m: float
    width_mm: float
    upright: bool
    at: float
    lab: tuple[float, float, float]
    difference: float


def piece(photographs: Path, tile: Tile) -> Photo:
    """The piece of the board, without a line, at full size."""
    across, down = _needed(tile.turned, BOARDS[tile.board][1])
    box = (tile.left, tile.top, tile.left + across, tile.top + down)
    part = _board(photographs, tile.board).crop(box)
    if tile.turned:
        part = part.transpose(Image.Transpose.ROTATE_90)
    size = WIDTH_MM * PX_PER_MM, HEIGHT_MM * PX_PER_MM
    return part.resize(size, Image.Resampling.BICUBIC)


def drawn(ground: Photo, tile: Tile) -> Photo:
    """The piece with the line of the tile on it, close up."""
    linear = LINEAR[np.asarray(ground)]
    if tile.upright:
        linear = linear.swapaxes(0, 1)
    rows = linear.shape[0]
    share = line_cover(rows, tile.at * rows, tile.width_mm * PX_PER_MM)[:, None, None]
    colour = np.clip(XYZ_TO_SRGB @ lab_to_xyz(tile.lab), 0, 1)
    linear = linear * (1 - share) + colour * share
    if tile.upright:
        linear = linear.swapaxes(0, 1)
    return Image.fromarray(np.rint(linear_to_srgb(linear) * 255).astype(np.uint8))


def measure(photographs: Path, tile: Tile) -> tuple[float, float]:
    """What the eye keeps of the line against the wood beside it, and the grain about it."""
    across = piece(photographs, tile)
    if tile.upright:
        across = across.transpose(Image.Transpose.TRANSPOSE)
    ground = xyz_to_lab(LINEAR[np.asarray(across)].mean(axis=(0, 1)) @ SRGB_TO_XYZ.T)
    rows = replace(rows_of(across, ground), at=tile.at)
    beside = ground + rows.beside
    seen = line_as_seen(beside, tile.lab, tile.width_mm, tile.distance_m)
    grain = grain_about_line(rows, ground, tile.lab, tile.width_mm, tile.distance_m)
    return float(delta_e_2000(seen, beside)), float(grain[0])


def _board(photographs: Path, name: str) -> Photo:
    path, _, plank = BOARDS[name]
    with Image.open(photographs / path) as whole:
        board = whole.convert("RGB")
    return board.crop(plank) if plank else board


def tiles(photographs: Path, boards: Sequence[str], count: int, seed: int) -> list[Tile]:
    """As many tiles, drawn at random, the same ones for the same seed."""
    rng = np.random.default_rng(seed)
    names = {f"{number:05d}" for number in rng.choice(90_000, count, replace=False) + 10_000}
    made = []
    for i, name in enumerate(sorted(sorted(names), key=lambda _: rng.random())):
        board = boards[i % len(boards)]
        turned = bool(rng.integers(2))
        size = _board(photographs, board).size
        room = np.subtract(size, _needed(turned, BOARDS[board][1]))
        left, top = (int(rng.integers(most + 1)) for most in room)
        distance = DISTANCES_M[i // len(boards) % len(DISTANCES_M)]
        # Of each board and each distance the fourth part has none.
        without = (i // (len(boards) * len(DISTANCES_M)) + i) % WITHOUT_EVERY == 0
        bare = Tile(name, board, left, top, turned, distance, 0.0, False, 0.5, (0, 0, 0), 0.0)
        made.append(bare if without else _with_a_line(bare, piece(photographs, bare), rng))
    return made


def _with_a_line(bare: Tile, ground: Photo, rng: np.random.Generator) -> Tile:
    mean = xyz_to_lab(LINEAR[np.asarray(ground)].mean(axis=(0, 1)) @ SRGB_TO_XYZ.T)
    while True:
        width = _log_uniform(rng, *WIDTHS_MM)
        wanted = _log_uniform(rng, *AS_SEEN)
        way = rng.normal(size=3)
        steps = np.linspace(0, 60, 1201)[1:, None] * way / np.linalg.norm(way) + mean
        left = delta_e_2000(line_as_seen(mean, steps, width, bare.distance_m), mean)
        lab = steps[int(np.argmin(np.abs(left - wanted)))]
        shown = XYZ_TO_SRGB @ lab_to_xyz(lab)
        difference = float(delta_e_2000(lab, mean))
        fits = (shown > 0).all() and (shown < 1).all()
        if fits and DIFFERENCES[0] <= difference <= DIFFERENCES[1]:
            upright, at = bool(rng.integers(2)), float(rng.uniform(0.15, 0.85))
            as_lab = (float(lab[0]), float(lab[1]), float(lab[2]))
            return Tile(
                bare.name, bare.board, bare.left, bare.top, bare.turned, bare.distance_m,
                width, upright, at, as_lab, difference,
            )  # fmt: skip


def _needed(turned: bool, mm_per_px: float) -> tuple[int, int]:
    size = round(WIDTH_MM / mm_per_px), round(HEIGHT_MM / mm_per_px)
    return size[::-1] if turned else size


def _log_uniform(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def main(photographs: Path, folder: Path, key: Path, of_round: int = 1) -> None:
    boards, count, seed = ROUNDS[of_round]
    folder.mkdir(parents=True, exist_ok=True)
    key.parent.mkdir(parents=True, exist_ok=True)
    made = tiles(photographs, boards, count, seed)
    for tile in made:
        seen = as_seen(drawn(piece(photographs, tile), tile), 1 / PX_PER_MM, tile.distance_m)
        seen.save(folder / f"{tile.name}.png")
    with key.open("w", newline="") as file:
        rows = csv.DictWriter(file, list(asdict(made[0])), lineterminator="\n")
        rows.writeheader()
        rows.writerows(asdict(tile) for tile in sorted(made, key=lambda one: one.name))
    # Each list has its share of every board and distance, with and without a line.
    dealt = sorted(made, key=lambda one: (one.width_mm > 0, one.distance_m, one.board, one.name))
    rng = np.random.default_rng(seed + 1)
    for number in range(LISTS):
        names = [one.name for one in dealt[number::LISTS]]
        text = "".join(f"{name}.png\n" for name in rng.permutation(names))
        (folder.parent / f"{folder.name}-list-{number + 1}.txt").write_text(text)


if __name__ == "__main__":
    main(*(Path(given) for given in sys.argv[1:4]), *(int(given) for given in sys.argv[4:]))
