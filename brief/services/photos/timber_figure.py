"""The figure of a timber at true scale: what is left of it from a distance, its picture, and the
piece of it that a pairing shows and is judged in.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image
from PIL.Image import Image as Photo
from sqlalchemy import select

from brief.colour import linear_to_srgb, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.colour.viewing.observer import LinePiece
from brief.colour.viewing.shape import ShapePatch
from brief.photo import Area, Region, Scale
from brief.photo.files.intake import open_pixels, size_within
from brief.photo.lightness import LINEAR
from brief.photo.wood.piece import PX_PER_MM, cut_piece, rows_of
from brief.photo.wood.viewing_filter import contrast_left
from brief.services.photos.measured_area import shown_part
from brief.services.photos.pictures import LOST
from brief.services.photos.shot_correction import points
from brief.store.desk import Desk
from brief.store.records import Image as ImageRecord
from brief.store.records import Material, Photograph

PATCH_PX_PER_MM = 3  # as fine as an eye at the bench needs it to tell a shape from the wood
KEPT = 256  # boards in memory, of some ten kilobytes each
PATCHES_KEPT = 64  # of half a megabyte each: 180 x 120 pixels
WORKING_PX = 900  # longest side of the part that is looked at
NEAREST_M, FARTHEST_M, STEPS = 0.2, 20.0, 14


@dataclass(frozen=True)
class TimberFigure:
    """The measured part of a board's photograph, whose scale is known.

    key : the same for the same part of the same photograph at the same scale.
    image_sha256 : the photograph; `original` gives where it is. area : what of it was measured.
    shown : which rectangle of it stands for the piece. shot_lab : the mean of what was measured, as
    it was shot; None if an earlier version measured it.
    shares : of the contrast close up, 0 to 1, that is left from each of `distances_m`. piece : what
    a pairing shows of it, as a line across it meets it.
    """

    key: str
    image_sha256: str
    original: Callable[[], Path]
    area: Area
    shown: Region
    shot_lab: tuple[float, ...] | None
    scale: Scale
    distances_m: tuple[float, ...]
    shares: tuple[float, ...]
    piece: LinePiece

    def kept(self, distance_m: float) -> float:
        """The share left from a distance, between the nearest and the farthest asked about."""
        return float(np.interp(np.log(distance_m), np.log(self.distances_m), self.shares))

    @cached_property
    def picture(self) -> Photo:
        """The part of the photograph that shows the timber."""
        return _part(self.original(), self.area, self.shown)

    @property
    def mm_per_px(self) -> float:
        """Millimetres on the wood for a pixel of `picture`."""
        return _mm_per_px(self.scale, self.shown, self.picture)


def timber_figure(desk: Desk, material: Material) -> TimberFigure | None:
    """The figure by the first bare photograph that has a scale; None without one, or where its
    file is lost before the figure was looked at.
    """
    photograph = desk.session.scalars(
        select(Photograph)
        .where(
            Photograph.material_id == material.id,
            Photograph.state == "bare",
            Photograph.scale_mm.is_not(None),
            Photograph.scale_points.is_not(None),
            Photograph.binned_utc.is_(None),
        )
        .order_by(Photograph.id)
    ).first()
    if photograph is None or not photograph.scale_points or not photograph.scale_mm:
        return None
    image = desk.session.get_one(ImageRecord, photograph.image_sha256)
    first, second = points(photograph.scale_points, 2)
    size = image.width_px, image.height_px
    scale = Scale.from_taps(first, second, photograph.scale_mm, size)
    area, shown = shown_part(photograph.selections, photograph.findings)
    distances = tuple(np.geomspace(NEAREST_M, FARTHEST_M, STEPS).tolist())
    shot_lab = photograph.findings.get("as_shot")
    told = repr((area, shown, scale, distances, shot_lab))
    asked = hashlib.sha256(told.encode()).hexdigest()[:16]

    def look(original: Path) -> bytes:
        picture = _part(original, area, shown)
        mm_per_px = _mm_per_px(scale, shown, picture)
        shares = contrast_left(picture, mm_per_px, distances).tolist()
        piece = rows_of(cut_piece(picture, mm_per_px), shot_lab or _mean(picture))
        rows = np.round(piece.rows, 4).tolist()
        return json.dumps({"shares": shares, "rows": rows, "mm_per_row": piece.mm_per_row}).encode()

    try:
        shares, piece = _read(desk.images.rendition(image.sha256, f"timber-{asked}.json", look))
    except LOST:
        return None
    return TimberFigure(
        f"{image.sha256}-{asked}",
        image.sha256,
        partial(desk.images.path, image.sha256),
        area,
        shown,
        shot_lab and tuple(shot_lab),
        scale,
        distances,
        shares,
        piece,
    )


@lru_cache(KEPT)
def _read(looked: bytes) -> tuple[tuple[float, ...], LinePiece]:
    """What was found of a board, as it is kept; sheets of pairings ask for the same ones again."""
    found = json.loads(looked)
    return tuple(found["shares"]), LinePiece(np.array(found["rows"]), found["mm_per_row"])


def _mean(picture: Photo) -> list[float]:
    linear = LINEAR[np.asarray(picture)].mean(axis=(0, 1))
    mean: list[float] = xyz_to_lab(SRGB_TO_XYZ @ linear).tolist()
    return mean


def patch_of(desk: Desk, figure: TimberFigure) -> ShapePatch | None:
    """The same piece of the board as a shape that lies in it meets it, 60 x 40 mm; None where the
    photograph's file is lost."""

    def look(_: Path) -> bytes:
        piece = cut_piece(figure.picture, figure.mm_per_px).reduce(PX_PER_MM // PATCH_PX_PER_MM)
        kept = BytesIO()
        piece.save(kept, "PNG")
        return kept.getvalue()

    name = f"{figure.key.removeprefix(figure.image_sha256).lstrip('-')}-patch.png"
    try:
        png = desk.images.rendition(figure.image_sha256, f"timber-{name}", look)
    except LOST:
        return None
    return _patch(png, figure.shot_lab)


@lru_cache(PATCHES_KEPT)
def _patch(png: bytes, shot_lab: tuple[float, ...] | None) -> ShapePatch:
    with Image.open(BytesIO(png)) as picture:
        lab = xyz_to_lab(LINEAR[np.asarray(picture)] @ SRGB_TO_XYZ.T)
    own = lab.mean(axis=(0, 1)) if shot_lab is None else np.asarray(shot_lab)
    return ShapePatch(lab - own, 1 / PATCH_PX_PER_MM)


def check_shown(photograph: Photograph, size: tuple[int, int]) -> None:
    """Raise InputError unless some pixel of the part that is shown is wood that was measured.

    size : width and height of the upright picture.
    """
    area, shown = shown_part(photograph.selections, photograph.findings)
    area.mask_in(shown, *size_within(size, shown, WORKING_PX)[1])


def _part(original: Path, area: Area, shown: Region) -> Photo:
    """The rectangle that is shown. What of it is no wood is given the wood's mean, so that neither
    the bench nor a card beside the board counts as its figure.
    """
    picture = open_pixels(original, within=WORKING_PX, region=shown).flattened()
    wood = area.mask_in(shown, *picture.size)
    if wood.all():
        return picture
    levels = np.array(picture)
    levels[~wood] = np.rint(linear_to_srgb(LINEAR[levels[wood]].mean(axis=0)) * 255)
    return Image.fromarray(levels)


def _mm_per_px(scale: Scale, shown: Region, picture: Photo) -> float:
    return scale.width_mm * shown.w / 100 / picture.width
