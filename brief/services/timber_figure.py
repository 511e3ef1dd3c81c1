"""The figure of a timber at true scale: how much of it is left from a distance, and its picture."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from PIL import Image
from PIL.Image import Image as Photo
from sqlalchemy import select

from brief.colour import linear_to_srgb
from brief.photo import Region, Scale, Selection
from brief.photo.intake import open_pixels
from brief.photo.lightness import LINEAR
from brief.photo.seen import grain_as_seen
from brief.services.measuring import points
from brief.services.pictures import LOST
from brief.store.desk import Desk
from brief.store.records import Image as ImageRecord
from brief.store.records import Material, Photograph

WORKING_PX = 900  # longest side of the part that is looked at
NEAREST_M, FARTHEST_M, STEPS = 0.2, 20.0, 14


@dataclass(frozen=True)
class TimberFigure:
    """The measured part of a board's photograph, whose scale is known.

    image_sha256, original : the photograph. selection : which part of it.
    shares : of the contrast close up, 0 to 1, that is left from each of `distances_m`.
    """

    image_sha256: str
    original: Path
    selection: Selection
    scale: Scale
    distances_m: tuple[float, ...]
    shares: tuple[float, ...]

    def kept(self, distance_m: float) -> float:
        """The share left from a distance, between the nearest and the farthest asked about."""
        return float(np.interp(np.log(distance_m), np.log(self.distances_m), self.shares))

    @cached_property
    def picture(self) -> Photo:
        return _part(self.original, self.selection)

    @property
    def mm_per_px(self) -> float:
        return _mm_per_px(self.scale, self.selection, self.picture)


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
    selection = Selection(Region(0, 0, 100, 100))
    if photograph.selections:
        selection = Selection.parse(photograph.selections[0])
    distances = tuple(np.geomspace(NEAREST_M, FARTHEST_M, STEPS).tolist())
    asked = hashlib.sha256(repr((selection, scale, distances)).encode()).hexdigest()[:16]

    def look(original: Path) -> bytes:
        picture = _part(original, selection)
        mm_per_px = _mm_per_px(scale, selection, picture)
        close_up, *left = grain_as_seen(picture, mm_per_px, (0.0, *distances)).tolist()
        return json.dumps([min(one / close_up, 1.0) if close_up else 1.0 for one in left]).encode()

    try:
        shares = json.loads(desk.images.rendition(image.sha256, f"figure-{asked}.json", look))
    except LOST:
        return None
    place = desk.images.place(image.sha256)
    return TimberFigure(image.sha256, place, selection, scale, distances, tuple(shares))


def _part(original: Path, selection: Selection) -> Photo:
    """The rectangle round the selection. What of it is no wood is given the wood's mean, so that
    neither the bench nor a card beside the board counts as its figure.
    """
    picture = open_pixels(original, within=WORKING_PX, region=selection.bounds).flattened()
    wood = selection.mask_of_bounds(*picture.size)
    if wood.all():
        return picture
    levels = np.array(picture)
    levels[~wood] = np.rint(linear_to_srgb(LINEAR[levels[wood]].mean(axis=0)) * 255)
    return Image.fromarray(levels)


def _mm_per_px(scale: Scale, selection: Selection, picture: Photo) -> float:
    return scale.width_mm * selection.bounds.w / 100 / picture.width
