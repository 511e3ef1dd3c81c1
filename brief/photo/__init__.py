"""Pixels: opening photographs, correcting and measuring them, palettes, figure and grain."""

from brief.photo.area import Area
from brief.photo.beside import card_surround, chart_surround
from brief.photo.board import propose_board
from brief.photo.card import CARDS, correct_by_card
from brief.photo.chart import Chart, UnusableChart, find_chart, read_chart
from brief.photo.correction import (
    COMMON_SHARE,
    OWN_SHARE,
    PAIR_SHARE,
    UNCORRECTED_PHOTO_DELTA_E,
    Correction,
    fit_correction,
    no_correction,
)
from brief.photo.evenness import (
    Evenness,
    evenness_by_surround,
    evenness_of_board,
    evenness_of_chart,
)
from brief.photo.figure import Figure, measure_figure
from brief.photo.files import MAX_BYTES, MAX_PIXELS, PhotoFacts, describe_photo
from brief.photo.glare import without_glare
from brief.photo.grain import GrainCount, count_grain
from brief.photo.intake import WHOLE, Picture, check_photo, open_photo, open_pixels, rendition
from brief.photo.palette import Palette, PaletteColour, extract_palette
from brief.photo.region import Region
from brief.photo.sample import PatchSample, measure_patch
from brief.photo.scale import Scale
from brief.photo.selection import Selection, bounds_of
from brief.photo.stand_in import stand_in
from brief.photo.threads import one_thread

__all__ = [
    "CARDS",
    "COMMON_SHARE",
    "MAX_BYTES",
    "MAX_PIXELS",
    "OWN_SHARE",
    "PAIR_SHARE",
    "UNCORRECTED_PHOTO_DELTA_E",
    "WHOLE",
    "Area",
    "Chart",
    "Correction",
    "Evenness",
    "Figure",
    "GrainCount",
    "Palette",
    "PaletteColour",
    "PatchSample",
    "PhotoFacts",
    "Picture",
    "Region",
    "Scale",
    "Selection",
    "UnusableChart",
    "bounds_of",
    "card_surround",
    "chart_surround",
    "check_photo",
    "correct_by_card",
    "count_grain",
    "describe_photo",
    "evenness_by_surround",
    "evenness_of_board",
    "evenness_of_chart",
    "extract_palette",
    "find_chart",
    "fit_correction",
    "measure_figure",
    "measure_patch",
    "no_correction",
    "one_thread",
    "open_photo",
    "open_pixels",
    "propose_board",
    "read_chart",
    "rendition",
    "stand_in",
    "without_glare",
]
