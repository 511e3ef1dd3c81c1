"""The instrument: its parts as data, and the picture of its front."""

from brief.instrument.fretboard import Fretboard
from brief.instrument.front import View, draw_front, view_box
from brief.instrument.presets import Part, Preset, preset, presets
from brief.instrument.sample import draw_pair_sample
from brief.instrument.sheet import Fill

__all__ = [
    "Fill",
    "Fretboard",
    "Part",
    "Preset",
    "View",
    "draw_front",
    "draw_pair_sample",
    "preset",
    "presets",
    "view_box",
]
