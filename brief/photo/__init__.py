"""Pixels: opening photographs, correcting and measuring them, palettes, figure and grain."""

from brief.photo.correction.card import (
    CARDS,
    correct_by_card,
    correct_by_two_cards,
    light_between,
    see_card,
)
from brief.photo.correction.chart import Chart, UnusableChart, find_chart, read_chart
from brief.photo.correction.correction import (
    COMMON_SHARE,
    OWN_SHARE,
    PAIR_SHARE,
    UNCORRECTED_PHOTO_DELTA_E,
    Correction,
    fit_correction,
    no_correction,
)
from brief.photo.correction.evenness import (
    Evenness,
    evenness_by_surround,
    evenness_of_board,
    evenness_of_chart,
)
from brief.photo.correction.light import LIGHTS, NOT_KNOWN, PhotoLight
from brief.photo.correction.surround import card_surround, chart_surround
from brief.photo.files.header import MAX_BYTES, MAX_PIXELS, PhotoFacts, describe_photo
from brief.photo.files.intake import WHOLE, Picture, check_photo, open_photo, open_pixels, rendition
from brief.photo.files.stand_in import stand_in
from brief.photo.files.thread_limit import one_thread
from brief.photo.outline.area import Area
from brief.photo.outline.board import propose_board
from brief.photo.outline.region import Region
from brief.photo.outline.selection import Selection, bounds_of
from brief.photo.palettes.palette import PaletteColour, PhotoPalette, extract_palette
from brief.photo.wood.figure import Figure, measure_figure
from brief.photo.wood.glare import without_glare
from brief.photo.wood.grain import GrainCount, count_grain
from brief.photo.wood.patch import PatchSample, measure_patch
from brief.photo.wood.scale import Scale

__all__ = [
    "CARDS",
    "COMMON_SHARE",
    "LIGHTS",
    "MAX_BYTES",
    "MAX_PIXELS",
    "NOT_KNOWN",
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
    "PaletteColour",
    "PatchSample",
    "PhotoFacts",
    "PhotoLight",
    "PhotoPalette",
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
    "correct_by_two_cards",
    "count_grain",
    "describe_photo",
    "evenness_by_surround",
    "evenness_of_board",
    "evenness_of_chart",
    "extract_palette",
    "find_chart",
    "fit_correction",
    "light_between",
    "measure_figure",
    "measure_patch",
    "no_correction",
    "one_thread",
    "open_photo",
    "open_pixels",
    "propose_board",
    "read_chart",
    "rendition",
    "see_card",
    "stand_in",
    "without_glare",
]
