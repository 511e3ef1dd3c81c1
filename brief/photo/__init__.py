"""Pixels: opening photographs, correcting and measuring them, palettes, figure and grain."""

from brief.photo.card import CARDS, correct_by_card
from brief.photo.chart import Chart, find_chart, read_chart
from brief.photo.correction import (
    UNCORRECTED_PHOTO_DELTA_E,
    Correction,
    fit_correction,
    no_correction,
)
from brief.photo.evenness import Evenness
from brief.photo.figure import Figure, measure_figure
from brief.photo.files import MAX_BYTES, MAX_PIXELS, PhotoFacts, describe_photo
from brief.photo.glare import without_glare
from brief.photo.grain import GrainCount, count_grain
from brief.photo.intake import check_photo, open_photo, rendition
from brief.photo.palette import Palette, PaletteColour, extract_palette
from brief.photo.region import Region
from brief.photo.sample import PatchSample, measure_patch
from brief.photo.scale import Scale
from brief.photo.selection import Selection, combine

__all__ = [
    "CARDS",
    "MAX_BYTES",
    "MAX_PIXELS",
    "UNCORRECTED_PHOTO_DELTA_E",
    "Chart",
    "Correction",
    "Evenness",
    "Figure",
    "GrainCount",
    "Palette",
    "PaletteColour",
    "PatchSample",
    "PhotoFacts",
    "Region",
    "Scale",
    "Selection",
    "check_photo",
    "combine",
    "correct_by_card",
    "count_grain",
    "describe_photo",
    "extract_palette",
    "find_chart",
    "fit_correction",
    "measure_figure",
    "measure_patch",
    "no_correction",
    "open_photo",
    "read_chart",
    "rendition",
    "without_glare",
]
