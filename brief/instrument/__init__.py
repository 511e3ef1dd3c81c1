"""The instrument: its parts and its numbers as data, the picture of its front, and the sheets to
measure from."""

from brief.instrument.cutlist import Cut, cut_list
from brief.instrument.fan import Fan
from brief.instrument.fretboard import Fretboard
from brief.instrument.front import View, draw_front, view_box
from brief.instrument.picture import Face, closer, draw_picture
from brief.instrument.plan import Plan, TitleBlock
from brief.instrument.plan_dxf import as_dxf
from brief.instrument.plan_pdf import as_pdf, lost_letters
from brief.instrument.plan_sheets import body_sheet, bridge_sheet, fretboard_sheet, head_sheet
from brief.instrument.plan_svg import as_svg
from brief.instrument.presets import Part, Preset, preset, presets
from brief.instrument.sample import draw_pair_sample
from brief.instrument.shape import shaped
from brief.instrument.sheet import Fill
from brief.instrument.sizes import Number, numbers, numbers_of
from brief.instrument.spacing import edge_margins

__all__ = [
    "Cut",
    "Face",
    "Fan",
    "Fill",
    "Fretboard",
    "Number",
    "Part",
    "Plan",
    "Preset",
    "TitleBlock",
    "View",
    "as_dxf",
    "as_pdf",
    "as_svg",
    "body_sheet",
    "bridge_sheet",
    "closer",
    "cut_list",
    "draw_front",
    "draw_pair_sample",
    "draw_picture",
    "edge_margins",
    "fretboard_sheet",
    "head_sheet",
    "lost_letters",
    "numbers",
    "numbers_of",
    "preset",
    "presets",
    "shaped",
    "view_box",
]
