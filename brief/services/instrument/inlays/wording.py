"""What was measured of an inlay, as a maker would be told it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from brief.english import agree, number_of, words
from brief.instrument.inlay.measures import ROOM_MM
from brief.instrument.inlay.widths import BEHIND_MM
from brief.services.instrument.inlays.view import NarrowView
from brief.store.records import Material


def narrow_view(narrow: Mapping[str, Any], measured: Mapping[str, Any]) -> NarrowView:
    """A narrow spot, with the words for where it is."""
    x, y = narrow["at"]
    return NarrowView(
        width_mm=narrow["width_mm"],
        at=(x, y),
        where=_where(x / measured["width_mm"], y / measured["height_mm"]),
    )


def _where(across: float, down: float) -> str:
    """A place in a design, given in shares of its size from its middle, in words."""
    sides = [
        word
        for share, low, high in ((down, "top", "bottom"), (across, "left", "right"))
        if (word := low if share < -0.2 else high if share > 0.2 else "")
    ]
    return f"at the {' '.join(sides)}" if sides else "in the middle"


def sentences(
    found: Mapping[str, Any],
    thinnest: NarrowView,
    gap: NarrowView | None,
    count: int,
    crossed: Sequence[int],
    covered: int,
) -> list[str]:
    """What was measured, as a maker would be told it."""
    thin = f"Thinnest place {thin_mm(thinnest.width_mm)} mm, {thinnest.where}."
    if even(found):
        thin = f"Nowhere thinner than {thin_mm(min(found['width_mm'], found['height_mm']))} mm."
    if found["points"]:
        thin += (
            f" {number_of(found['points'], 'point')} (measured {BEHIND_MM:g} mm in from the tip)."
        )
    said = [thin]
    if gap and gap.width_mm <= found["height_mm"] / 2:
        width = thin_mm(gap.width_mm)
        said.append(
            f"Narrowest gap {width} mm, {gap.where}. Use a blade with a thinner kerf."
            if float(width)
            else f"Two pieces all but touch, {gap.where}. Join them, or draw them apart."
        )
    parts = [number_of(found["pieces"], "piece")]
    if found["holes"]:
        parts.append(f"{number_of(found['holes'], 'hole')} to pierce")
    each = " each" if count > 1 else ""
    said.append(
        f"{words(parts)}; {found['edge_mm']:.0f} mm to saw and {found['area_mm2']:.0f} mm² "
        f"to let in{each}."
    )
    said.append(_blank(found))
    if count > 1:
        said.append(
            f"{count} of them: {count * found['edge_mm']:.0f} mm to saw, "
            f"{count * found['area_mm2']:.0f} mm² in all."
        )
    if covered:
        said.append(f"{covered} {agree(covered, 'is', 'are')} under the end of the fretboard.")
    if crossed:
        named = words([str(fret) for fret in crossed])
        said.append(
            f"Fret {agree(crossed, 'slot', 'slots')} {named} "
            f"{agree(crossed, 'cuts', 'cut')} through it: "
            "inlay before slotting."
        )
    return said


def _blank(found: Mapping[str, Any]) -> str:
    """The blank it needs."""
    long, short = found["blank_mm"]
    said = f"From one blank {long:.0f} × {short:.0f} mm"
    if found["pieces"] > 1:
        long, short = found["largest_mm"]
        said += f", or its largest piece from {long:.0f} × {short:.0f} mm"
    return f"{said} ({ROOM_MM:g} mm of margin)."


def piece_words(found: Mapping[str, Any], material: Material | None) -> str:
    """Whether the piece of the rack is large enough, as far as its size is known."""
    if material is None or material.length_mm is None or material.width_mm is None:
        return ""
    has = sorted((material.length_mm, material.width_mm), reverse=True)
    for least, of_what in ((found["blank_mm"], ""), (found["largest_mm"], " for its pieces")):
        if has[0] >= least[0] and has[1] >= least[1]:
            return f"{material.label} is large enough{of_what}, {has[0]:g} × {has[1]:g} mm."
    return f"{material.label} is too small, {has[0]:g} × {has[1]:g} mm."


def even(measured: Mapping[str, Any]) -> bool:
    """Whether a design is as thin as it is narrow: a dot, a bar, a square."""
    narrow = min(measured["width_mm"], measured["height_mm"])
    return bool(measured["thinnest"]["width_mm"] == narrow)


def thin_mm(width: float) -> str:
    """A width as a maker reads it off a calliper: hundredths below 1 mm, tenths above."""
    return f"{width:.{2 if width < 1 else 1}f}".rstrip("0").rstrip(".")
