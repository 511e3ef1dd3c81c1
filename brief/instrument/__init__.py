"""The instrument: parts and numbers as data, its picture, and the sheets to measure from."""

from brief.instrument.drawing.front import Extent, draw_front, view_box
from brief.instrument.drawing.pair_sample import draw_pair_sample
from brief.instrument.drawing.part_views import PartPlace, part_place
from brief.instrument.drawing.views import Face, closer, draw_picture, painted_parts
from brief.instrument.frets.fretboard import Fretboard
from brief.instrument.frets.multiscale import Fan
from brief.instrument.frets.string_spacing import edge_margins
from brief.instrument.model.cut_list import Cut, cut_list
from brief.instrument.model.shape import shaped
from brief.instrument.model.sizes import Dimension, numbers, numbers_of
from brief.instrument.plans.files.dxf import as_dxf
from brief.instrument.plans.files.pdf import as_pdf, lost_letters
from brief.instrument.plans.files.svg import as_svg
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.plan import Plan, TitleBlock
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet
from brief.instrument.presets import Preset, PresetPart, preset, presets
from brief.instrument.rendering.canvas import paint_alone
from brief.instrument.rendering.fill import Fill, Painted

__all__ = [
    "Cut",
    "Dimension",
    "Extent",
    "Face",
    "Fan",
    "Fill",
    "Fretboard",
    "Painted",
    "PartPlace",
    "Plan",
    "Preset",
    "PresetPart",
    "TitleBlock",
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
    "paint_alone",
    "painted_parts",
    "part_place",
    "preset",
    "presets",
    "shaped",
    "view_box",
]
