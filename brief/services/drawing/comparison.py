"""Two instruments side by side: what the spec has now, and the same with other wood in some parts,
or another brief; from one side, at one size, under one condition.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from brief.english import words
from brief.errors import InputError
from brief.instrument import closer
from brief.instrument.rendering.fill import Box
from brief.services.common.care import Careful, ListingView, careful, listing_view, made_cautions
from brief.services.common.finding import listed
from brief.services.common.foreign_keys import existing
from brief.services.drawing.instrument_drawing import chosen, draw_filled, fills_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.view_settings import Switches
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part


@dataclass(frozen=True)
class Swap:
    """A part, and the piece that it is tried in. without : the address of the page without it."""

    part: Part
    etag: str
    material: Material
    without: str
    care: Careful
    listing: ListingView


@dataclass(frozen=True)
class Pictured:
    """One of the two: its caption and its drawing, SVG."""

    caption: str
    drawing: str


@dataclass(frozen=True)
class BesidePage:
    """The page of two instruments. swaps : the parts that are tried in other pieces; other : the
    brief that is set beside instead. parts, materials, briefs : what can be chosen, id and name.
    """

    pictures: Sequence[Pictured]
    swaps: Sequence[Swap]
    other: Brief | None
    parts: Sequence[tuple[str, str]]
    materials: Sequence[tuple[str, str]]
    briefs: Sequence[tuple[str, str]]


def beside(
    desk: Desk, brief: Brief, switches: Switches, asked: Sequence[str], other_id: str
) -> BesidePage:
    """What the page of two instruments shows.

    asked : "part id:material id" of each part that is tried in another piece. other_id : a brief to
    set beside instead, or empty. Raises InputError, with the field at fault, for a part, a piece or
    a brief that there is not.
    """
    swaps = _swaps(desk, brief, asked)
    other = existing(desk, "other", Brief, other_id) if other_id else None
    against = other or brief
    box = _one_size(brief, against, switches)
    changed = {} if other else {swap.part.id: swap.material for swap in swaps}
    pictures = [
        Pictured("As in the spec now", _drawn(desk, brief, switches, {}, box, "now")),
        Pictured(
            _caption(against, swaps) if other is None else against.title,
            _drawn(desk, against, switches, changed, box, "beside"),
        ),
    ]
    materials = listed(desk, Material)
    return BesidePage(
        pictures=pictures if other or swaps else pictures[:1],
        swaps=[] if other else swaps,
        other=other,
        parts=[(part.id, part.name) for part in _parts(desk, brief)],
        materials=[(one.id, one.label) for one in materials if one.lab is not None],
        briefs=[(one.id, one.title) for one in listed(desk, Brief) if one is not brief],
    )


def beside_address(brief_id: str, pairs: Sequence[tuple[str, str]]) -> str:
    """Where these parts are shown in these pieces, (part id, material id) of each."""
    query = urlencode([("swap", f"{part}:{material}") for part, material in pairs])
    return f"/briefs/{brief_id}/beside?{query}" if query else f"/briefs/{brief_id}/beside"


def _swaps(desk: Desk, brief: Brief, asked: Sequence[str]) -> list[Swap]:
    """The last that is asked of each part."""
    parts = {part.id: part for part in _parts(desk, brief)}
    pairs = {part: material for part, _, material in (text.partition(":") for text in asked)}
    found = []
    for part_id, material_id in pairs.items():
        if part_id not in parts:
            raise InputError.at("swap", "A part to be tried is not part of this brief.")
        material = existing(desk, "swap", Material, material_id)
        if material.lab is None:
            raise InputError.at(
                "swap",
                "A piece without a colour cannot be shown. Photograph it or type a reading first.",
            )
        rest = [pair for pair in pairs.items() if pair[0] != part_id]
        part = parts[part_id]
        found.append(
            Swap(
                part,
                f'"{part.version}"',
                material,
                beside_address(brief.id, rest),
                Careful(**careful(made_cautions(part.role, part.finish, material))),
                listing_view(material),
            )
        )
    return found


def _parts(desk: Desk, brief: Brief) -> Sequence[Part]:
    return listed(desk, Part, brief_id=brief.id)


def _caption(brief: Brief, swaps: Sequence[Swap]) -> str:
    return "With " + words([f"{one.material.label} for {one.part.name.lower()}" for one in swaps])


def _one_size(brief: Brief, other: Brief, switches: Switches) -> Box:
    """As much as the larger of the two needs, so that a millimetre is the same in both."""
    boxes = [closer(instrument_of(one), switches.view)["whole"] for one in (brief, other)]
    left = min(x for x, _, _, _ in boxes)
    top = min(y for _, y, _, _ in boxes)
    right = max(x + width for x, _, width, _ in boxes)
    low = max(y + height for _, y, _, height in boxes)
    return left, top, right - left, low - top


def _drawn(
    desk: Desk,
    brief: Brief,
    switches: Switches,
    changed: dict[str, Material],
    box: Box,
    prefix: str,
) -> str:
    parts = _parts(desk, brief)
    made_of = {part.id: (part, material) for part, material in chosen(desk, parts)}
    made_of |= {part.id: (part, changed[part.id]) for part in parts if part.id in changed}
    fills = fills_of(desk, list(made_of.values()), switches.state)
    return draw_filled(desk, brief, fills, switches.view, prefix=prefix, box=box)
