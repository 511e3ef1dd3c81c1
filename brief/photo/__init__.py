"""Pixels: opening photographs, measuring a patch of one, and palettes."""

from brief.photo.files import MAX_BYTES, MAX_PIXELS, PhotoFacts, describe_photo
from brief.photo.intake import check_photo, open_photo, rendition
from brief.photo.palette import Palette, PaletteColour, extract_palette
from brief.photo.region import Region
from brief.photo.sample import UNCORRECTED_PHOTO_DELTA_E, PatchSample, measure_patch

__all__ = [
    "MAX_BYTES",
    "MAX_PIXELS",
    "UNCORRECTED_PHOTO_DELTA_E",
    "Palette",
    "PaletteColour",
    "PatchSample",
    "PhotoFacts",
    "Region",
    "check_photo",
    "describe_photo",
    "extract_palette",
    "measure_patch",
    "open_photo",
    "rendition",
]
