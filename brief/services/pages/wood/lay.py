"""Lay a colour: a swatch, palette or piece on a board's own photograph, as on the bench."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from brief.colour.difference import DifferenceParts, delta_e_2000_parts
from brief.colour.notation.wording import difference_words
from brief.colour.spaces import Array
from brief.colour.viewing.colour_vision import through
from brief.colour.viewing.conditions import State
from brief.colour.viewing.light import under
from brief.errors import InputError
from brief.numerals import read_number
from brief.services import nouns
from brief.services.common.colour_view import colour_view
from brief.services.common.naming import label
from brief.services.drawing.instrument_drawing import shown_px
from brief.services.pages.shared import Choices
from brief.services.pages.wood.pairings import Ways, ways_to_see
from brief.services.pairing.seen_in import SeenIn
from brief.services.pairing.view_settings import Shown
from brief.services.rack.piece_colours import texture_of
from brief.services.rack.surfaces import Surface, surfaces_of
from brief.store.desk import Desk
from brief.store.records import Brief, Image, Material

WIDE = 1000.0  # of a board's picture, in units of its own
# Up to which a difference is called so, CIEDE2000: our working figures. Two to three is what side
# by side begins to show (from memory).
SIZES = (
    (2.5, "No difference that shows"),
    (6.0, "A small difference"),
    (15.0, "A clear difference"),
)
LARGE = "A large difference"
PATCH: Mapping[str, float] = {"x": 60, "y": 25, "w": 30, "h": 50}  # per cent of the picture


@dataclass(frozen=True)
class LaidBoard:
    """The photograph that is laid on. high : of its picture, where that is `WIDE` wide."""

    id: str
    label: str
    address: str
    high: float


@dataclass(frozen=True)
class ColourBand:
    """One colour of the patch, from `left` on and so wide, per cent."""

    hex: str
    left: float
    width: float


@dataclass(frozen=True)
class LaidPatch:
    """What is laid on it: bands of colour, or a photograph of a piece. lab : as it is seen."""

    name: str
    bands: Sequence[ColourBand]
    address: str
    labs: Sequence[tuple[float, float, float]]
    uncertainty: float


@dataclass(frozen=True)
class LayPage:
    """boards, colours : what can be chosen; now what is. place : of the patch, per cent. faults :
    what was wrong with a number, by its name. kept : board, colour and place as part of an
    address.
    """

    boards: Choices
    colours: Mapping[str, Choices]
    board: LaidBoard | None
    patch: LaidPatch | None
    colour: str
    place: Mapping[str, float]
    faults: Mapping[str, str]
    gone: str
    ways: Ways
    sentence: str
    figures: str
    kept: str
    wide: float = WIDE
    names: Mapping[str, str] = field(
        default_factory=lambda: {"x": "Left", "y": "Top", "w": "Width", "h": "Height"}
    )


def lay_page(
    desk: Desk, brief: Brief, shown: Shown, asked: Mapping[str, str] | None = None
) -> tuple[LayPage]:
    """What the page shows; `asked`: board, colour, x, y, w, h, and as `seen_in` has it."""
    asked = asked or {}
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    rack = [one for one in nouns.materials.page(desk) if one.lab is not None]
    boards = [one for one in rack if one.image_sha256 is not None]
    colours = _colours(desk, brief, rack)
    known = {value for those in colours.values() for value, _ in those}
    wanted = asked.get("board", "")
    material = next((one for one in boards if one.id == wanted), next(iter(boards), None))
    colour = asked.get("colour", "")
    if colour not in known:
        mine = f"piece:{material.id}" if material else ""
        colour = next((value for value in _in_order(colours) if value != mine), "")
    pieces = [material] if material else []
    laid = next((one for one in rack if colour == f"piece:{one.id}"), None)
    surfaces = surfaces_of(desk, [*pieces, *([laid] if laid else [])])
    ways = ways_to_see(asked, shown, viewings, surfaces.values())
    state = ways.seen.shown.switches.state
    board = _board(desk, surfaces[material.id], state) if material else None
    patch = _patch(desk, colour, surfaces[laid.id] if laid else None, state)
    place, faults = _place(asked)
    sentence = figures = ""
    if material and patch:
        sentence, figures = _compared(surfaces[material.id], patch, ways.seen)
    gone = (wanted and not (board and board.id == wanted)) or asked.get("colour", colour) != colour
    page = LayPage(
        boards=[(one.id, one.label) for one in boards],
        colours=colours,
        board=board,
        patch=patch,
        colour=colour,
        place=place,
        faults=faults,
        gone="What was laid here before is gone; this is another." if gone else "",
        ways=ways,
        sentence=sentence,
        figures=figures,
        kept="".join(
            f"&{name}={value}"
            for name, value in {
                "board": board.id if board else "",
                "colour": colour,
                **{name: f"{number:g}" for name, number in place.items()},
            }.items()
        ),
    )
    return (page,)


def _colours(desk: Desk, brief: Brief, rack: Sequence[Material]) -> dict[str, Choices]:
    titles = {one.id: label(one) for one in nouns.references.page(desk, brief_id=brief.id)}
    return {
        "Named colours": [
            (f"swatch:{one.id}", one.name) for one in nouns.swatches.page(desk, brief_id=brief.id)
        ],
        "Palettes": [
            (f"palette:{one.id}", one.name or f"Colours of {titles[one.reference_id]}")
            for one in nouns.palettes.page(desk, brief_id=brief.id)
        ],
        "Pieces": [(f"piece:{one.id}", one.label) for one in rack],
    }


def _in_order(colours: Mapping[str, Choices]) -> list[str]:
    return [value for those in colours.values() for value, _ in those]


def _board(desk: Desk, surface: Surface, state: State) -> LaidBoard:
    material = surface.material
    image = desk.session.get_one(Image, material.image_sha256)
    wide, high = shown_px(material, image)
    return LaidBoard(
        material.id,
        material.label,
        _large(surface, state),
        WIDE * high / wide,
    )


def _large(surface: Surface, state: State) -> str:
    """Its photograph in that state, as large as pages have it."""
    return texture_of(surface.material, surface.lab(state), "page") or ""


def _patch(desk: Desk, colour: str, surface: Surface | None, state: State) -> LaidPatch | None:
    kind, _, record_id = colour.partition(":")
    if surface is not None:
        lab = surface.lab(state)
        band = ColourBand(colour_view(lab, 0.0).hex, 0, 100)
        label = surface.material.label
        return LaidPatch(label, [band], _large(surface, state), [lab], surface.doubt(state))
    if kind == "swatch":
        swatch = nouns.swatches.show(desk, nouns.swatches.get(desk, record_id))
        band = ColourBand(swatch.colour.hex, 0, 100)
        return LaidPatch(swatch.name, [band], "", [swatch.colour.lab], swatch.colour.uncertainty)
    if kind == "palette":
        palette = nouns.palettes.show(desk, nouns.palettes.get(desk, record_id))
        bands, left = [], 0.0
        whole = sum(one.share for one in palette.colours) or 1.0
        for one in palette.colours:
            bands.append(ColourBand(one.colour.hex, left, 100 * one.share / whole))
            left += bands[-1].width
        labs = [one.colour.lab for one in palette.colours]
        doubt = max(one.colour.uncertainty for one in palette.colours)
        name = palette.name or f"Colours of {palette.reference_title}"
        return LaidPatch(name, bands, "", labs, doubt)
    return None


def _place(asked: Mapping[str, str]) -> tuple[dict[str, float], dict[str, str]]:
    """Where the patch is, within the picture, and what was wrong with what was typed."""
    place, faults = dict(PATCH), {}
    for name in PATCH:
        text = asked.get(name, "").strip()
        if not text:
            continue
        try:
            place[name] = float(read_number(text, ("%",), "30"))
        except InputError as exc:
            faults[name] = str(exc)
    for size, at in (("w", "x"), ("h", "y")):
        place[size] = min(max(place[size], 1.0), 100.0)
        place[at] = min(max(place[at], 0.0), 100.0 - place[size])
    return place, faults


def _compared(board: Surface, patch: LaidPatch, seen: SeenIn) -> tuple[str, str]:
    """How much the patch differs from the board's mean colour, in words and in figures."""
    shown = seen.shown

    def as_seen(lab: Sequence[float]) -> Array:
        return through(under(np.asarray(lab), shown.light), shown.eyes)

    wood = as_seen(board.lab(shown.switches.state))
    found = [
        DifferenceParts(
            *(float(part) for part in vars(delta_e_2000_parts(wood, as_seen(lab))).values())
        )
        for lab in patch.labs
    ]
    least = min(found, key=lambda one: one.total)
    size = next((words for most, words in SIZES if least.total <= most), LARGE)
    mostly = f", {difference_words(least)}" if least.total > SIZES[0][0] else ""
    nearest = "Its nearest colour: " if len(found) > 1 else ""
    said = f"{size[0].lower()}{size[1:]}" if nearest else size
    doubt = math.hypot(board.doubt(shown.switches.state), patch.uncertainty)
    return (
        f"{nearest}{said}{mostly}.",
        f"CIEDE2000 {least.total:.0f} ± {doubt:.0f} from the wood’s mean colour: lightness "
        f"{least.lightness:+.1f}, chroma {least.chroma:+.1f}, hue {least.hue:+.1f} (patch less "
        "wood).",
    )
