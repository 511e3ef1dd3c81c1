"""The photograph of a mould as it is straightened, to look at under its outline."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from PIL import Image

from brief.errors import NotFound
from brief.instrument.outline.fair import closed_outline
from brief.instrument.outline.outlines import sampled
from brief.instrument.tracing.perspective import between
from brief.photo import open_photo
from brief.services.instrument.flat_view import ROOM_MM
from brief.services.instrument.known_kinds import stations_of
from brief.services.photos.pictures import existing_image
from brief.store.desk import Desk
from brief.store.records import Tracing

HEIGHT_PX, SEEN_PX, QUALITY = 900, 1500, 85
NOTHING = "This tracing has no photograph that can be straightened by its outline."


def straight_picture(desk: Desk, record: Tracing) -> bytes:
    """The part of the photograph that the flat outline is drawn on, JPEG, at its scale.

    Raises NotFound for a drawing, where no outline was found, and for one that an earlier version
    traced, whose curve began elsewhere.
    """
    found = record.findings
    if record.image_sha256 is None or "doubts" not in found:
        raise NotFound(NOTHING)
    image = existing_image(desk, record.image_sha256)
    shown = open_photo(desk.images.path(record.image_sha256), name=image.name, within=SEEN_PX)
    outline = stations_of(found["stations"])
    flat, seen = np.array(sampled(closed_outline(outline))), np.array(found["curve"])
    if len(seen) != len(flat):
        raise NotFound(NOTHING)
    # Any four points tell how one was made of the other; these are far apart.
    four = [round(len(flat) * share) for share in (0.15, 0.35, 0.65, 0.85)]
    smaller = shown.width / image.width_px
    grid = between(flat[four], seen[four] * smaller)
    wide = max(half for _, half in outline) + ROOM_MM
    high = outline[-1][0] + 2 * ROOM_MM
    mm = high / HEIGHT_PX
    grid = grid @ np.array([[mm, 0, -wide], [0, mm, -ROOM_MM], [0, 0, 1]])
    made = shown.transform(
        (round(2 * wide / mm), HEIGHT_PX),
        Image.Transform.PERSPECTIVE,
        tuple((grid / grid[2, 2]).ravel()[:8]),
        Image.Resampling.BICUBIC,
        fillcolor=(255, 255, 255),
    )
    target = BytesIO()
    made.save(target, "JPEG", quality=QUALITY)
    return target.getvalue()
