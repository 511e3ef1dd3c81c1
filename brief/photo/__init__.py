"""Pixels: opening photographs, measuring a patch of one, and palettes."""

from brief.photo.files import MAX_BYTES, MAX_PIXELS, PhotoFacts, describe_photo
from brief.photo.intake import check_photo, open_photo, rendition
from brief.photo.region import Region

__all__ = [
    "MAX_BYTES",
    "MAX_PIXELS",
    "PhotoFacts",
    "Region",
    "check_photo",
    "describe_photo",
    "open_photo",
    "rendition",
]
