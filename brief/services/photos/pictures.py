"""Pictures: taken in once, checked before they are kept, shown as renditions."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

from pydantic import BaseModel, Field

from brief.errors import ImageError, NotFound
from brief.instrument.rendering.raster import as_jpeg
from brief.photo import WHOLE, Region, check_photo, rendition, stand_in
from brief.photo.files.header import PhotoFacts
from brief.services.common.field_types import clean_line
from brief.store.desk import Desk
from brief.store.records import Image

THUMB_PX = 400
PAGE_PX = 1400
TEXTURE_PX = 900
PRINT_PX = 1900  # 300 to the inch on the widest that a booklet shows
# What is raised of a picture whose file is missing, damaged, or on a bad sector.
LOST = (NotFound, ImageError, OSError)
SIZES = {"thumb": THUMB_PX, "page": PAGE_PX, "texture": TEXTURE_PX, "print": PRINT_PX}


SEEN = "seen"


@dataclass(frozen=True)
class Tone:
    """Which colour of a photograph is brought to which, CIELAB, D65 / 2°.

    of : what was measured of it, as it was shot; None for the mean of what is shown, less glare
    and what is clipped.
    """

    to: tuple[float, ...]
    of: tuple[float, ...] | None = None

    @classmethod
    def read(cls, mean: str | None, of: str | None) -> Tone | None:
        """As an address has it; None without `mean`."""
        if not mean:
            return None
        return cls(_numbers(mean), None if of in (None, SEEN) else _numbers(of or ""))

    def __str__(self) -> str:
        of = SEEN if self.of is None else _written(self.of)
        return f"mean={_written(self.to)}&from={of}"


def _numbers(text: str) -> tuple[float, ...]:
    return tuple(float(part) for part in text.split(","))


def _written(lab: Sequence[float]) -> str:
    """As the pattern of an address has it: what a card in the shade makes of the wood beside it may
    lie beyond white.
    """
    lightness = min(max(lab[0], 0.0), 100.0) + 0.0  # + 0.0 makes a 0 of a -0
    return ",".join(f"{value:.1f}" for value in (lightness, *lab[1:]))


def toned_address(sha256: str, size: str, region: str | None, tone: Tone) -> str:
    """Where part of a photograph is served in that tone; all of it without a region."""
    part = f"region={region}&" if region else ""
    return f"/images/{sha256}/{size}?{part}{tone}"


class PictureView(BaseModel):
    """A picture as it is shown."""

    sha256: str
    name: str = Field(description="The file's name when it was given")
    media_type: str
    size_bytes: int
    width_px: int
    height_px: int
    thumb: str = Field(description=f"Where a rendition of at most {THUMB_PX} px is")
    page: str = Field(description=f"Where a rendition of at most {PAGE_PX} px is")
    original: str = Field(description="Where the file as it was given is")


def keep_picture(desk: Desk, name: str, data: bytes) -> Image:
    """Check and store one picture. Raises ImageError or TooLarge, and then keeps nothing.

    A file that was missing or damaged is there again.
    """
    return keep_facts(desk, name, data, check_photo(data, name=name))


def keep_facts(desk: Desk, name: str, data: bytes, facts: PhotoFacts) -> Image:
    """Store one picture of which it was checked already that it is what these facts say."""
    sha256 = desk.keep_image(data)
    image = desk.session.get(Image, sha256)
    if image is None:
        image = Image(
            sha256=sha256,
            name=clean_line(Path(name).name)[:255] or "picture",
        )
        desk.session.add(image)
    # Of one that came without its file they were only said.
    image.media_type, image.size_bytes = facts.media_type, len(data)
    image.width_px, image.height_px = facts.width, facts.height
    desk.session.flush()
    return image


def picture_view(desk: Desk, sha256: str) -> PictureView:
    """A picture with the addresses of its renditions; NotFound if there is none of that hash."""
    image = existing_image(desk, sha256)
    return PictureView(
        sha256=image.sha256,
        name=image.name,
        media_type=image.media_type,
        size_bytes=image.size_bytes,
        width_px=image.width_px,
        height_px=image.height_px,
        thumb=f"/images/{image.sha256}/thumb",
        page=f"/images/{image.sha256}/page",
        original=f"/images/{image.sha256}/original",
    )


def shown_picture(
    desk: Desk,
    sha256: str,
    size: str,
    region: Region | None = None,
    tone: Tone | None = None,
    *,
    within: int | None = None,
    or_stand_in: bool = False,
) -> bytes:
    """The JPEG rendition `size`, one of SIZES; NotFound without its image.

    tone : as it was shot without one. within : its longest side in pixels, where less than `size`
    has is wanted. or_stand_in : whether something plain is to be had in place of a picture whose
    file is lost, which is then in `desk.lost`; otherwise NotFound or ImageError.
    """
    image = existing_image(desk, sha256)
    within = min(within or SIZES[size], SIZES[size])
    cut = "" if region is None else f"-{region.x:g}-{region.y:g}-{region.w:g}-{region.h:g}"
    toned = "" if tone is None else f"-{tone}".replace(",", "_").replace("&", "-")
    to, of = (None, None) if tone is None else (tone.to, tone.of)
    try:
        return desk.images.rendition(
            sha256,
            f"{size}-{within}{cut}{toned}.jpg",
            lambda original: rendition(
                original, within=within, region=region, mean=to, of=of, name=image.name
            ),
        )
    except LOST:
        desk.images.suspect(sha256)
        if not or_stand_in:
            raise
        desk.lost[sha256] = image.name
        left, top, right, bottom = (region or WHOLE).box(image.width_px, image.height_px)
        scale = min(1.0, within / max(right - left, bottom - top))
        return stand_in(
            max(1, round((right - left) * scale)), max(1, round((bottom - top) * scale)), to
        )


def picture_at(desk: Desk, address: str, *, within: int | None = None) -> bytes:
    """The JPEG that an address of ours serves, as drawings and views name it; something plain in
    place of one whose file is lost.

    within : as for `shown_picture`.
    """
    parts = urlsplit(address)
    _, _, sha256, size = parts.path.split("/")
    asked = {name: values[0] for name, values in parse_qs(parts.query).items()}
    return shown_picture(
        desk,
        sha256,
        size,
        Region.parse(asked["region"]) if "region" in asked else None,
        Tone.read(asked.get("mean"), asked.get("from")),
        within=within,
        or_stand_in=True,
    )


def drawn_picture(
    desk: Desk, svg: str, width_px: int, holding: Callable[[], str] | None = None
) -> bytes:
    """A drawing with our photographs in it as JPEG, kept as `kept_drawing` does.

    holding : draws the same with its photographs in it, which is far quicker to be made pixels.
    """

    def made() -> bytes:
        if holding is not None:
            return as_jpeg(holding(), width_px=width_px)
        return as_jpeg(svg, width_px=width_px, picture=lambda address: picture_at(desk, address))

    return kept_drawing(desk, svg, f"drawn-{width_px}", "jpg", made)


def kept_drawing(
    desk: Desk,
    svg: str,
    name: str,
    suffix: str,
    make: Callable[[], bytes],
    *,
    most: int | None = None,
) -> bytes:
    """What is made of a drawing with our photographs in it, kept beside the first of them unless
    one of them is lost.

    svg : the drawing with addresses in the place of the photographs, which say all that it shows.
    name : what of its making the drawing does not say. make : makes the file. most : how many of
    that name are kept beside one photograph, the newest; all of them if None.
    """
    shown = re.findall("/images/([0-9a-f]{64})/", svg)
    if not shown:
        return make()
    kept = f"{name}-{hashlib.sha256(svg.encode()).hexdigest()[:16]}.{suffix}"
    made = desk.images.kept_rendition(shown[0], kept)
    if made is None:
        made = make()
        if not desk.lost.keys() & {*shown}:
            desk.images.keep_rendition(shown[0], kept, made)
            if most is not None:
                desk.images.keep_newest(shown[0], f"{name}-*.{suffix}", most)
    return made


def existing_image(desk: Desk, sha256: str) -> Image:
    """The image, or NotFound, also of a document that is kept beside them."""
    image = desk.session.get(Image, sha256)
    if image is None or not image.media_type.startswith("image/"):
        raise NotFound("There is no such picture.")
    return image


def title_from(file_name: str) -> str:
    """A readable title out of a file's name."""
    stem = file_name.replace("\\", "/").rsplit("/", 1)[-1].rsplit(".", 1)[0]
    title = clean_line(" ".join(stem.replace("_", " ").replace("-", " ").split()))
    return title[:200].strip() or "Picture"
