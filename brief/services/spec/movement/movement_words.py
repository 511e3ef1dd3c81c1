"""How the movement of an instrument is told: what each part does in dry and damp air, and what
that means for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import BaseModel, Field

from brief.english import capital, words
from brief.services.common.field_types import Id
from brief.services.spec.movement.climates import Air
from brief.store.records import Material
from brief.wood.movement import Band, Cut, WidthChange, band, band_of_frets

MEANS_SOMETHING = 0.5  # percent of moisture content; below it the equation says nothing
LEAST_SHOWN_MM = 0.1
GAP_STEP_MM = 0.05  # as finely as a gap at an inlay is told: common practice, no source
UNCHANGED = "stays as it is, within what can be told."
LITTLE = "moves little."
BANDS: tuple[Band, ...] = ("small", "watch", "too much")


@dataclass(frozen=True)
class Airs:
    """base : what it is glued up in. driest, dampest : of all that it meets."""

    base: Air
    driest: Air
    dampest: Air

    @property
    def ends(self) -> tuple[Air, ...]:
        """The two, once where they are one."""
        return tuple(dict.fromkeys((self.driest, self.dampest)))


class AirView(BaseModel):
    """Air that the instrument is in."""

    where: str = Field(examples=["the hall in January"])
    humidity: float = Field(description="Relative, percent")
    celsius: float
    moisture: float = Field(description="What wood comes to in it, percent; a tenth means nothing")


class MovedView(BaseModel):
    """A change of width in some air; below 0 it shrinks."""

    where: str
    words: str = Field(examples=["1.4 mm narrower (1.0 to 1.8) in the hall in January"])
    likely_mm: float
    least_mm: float = Field(description="Nine boards in ten are between the two")
    most_mm: float
    share: float = Field(description="The likely change, of the width")


class PartMovement(BaseModel):
    """How one part moves across its grain."""

    part_id: Id
    role: str
    name: str
    made_of: str
    material_id: Id | None
    width_mm: float = Field(description="Across the grain, as drawn")
    cut: Cut
    known: bool
    dry: MovedView | None = Field(description="In the driest air; None where that changes nothing")
    damp: MovedView | None = Field(description="In the dampest air")
    edge: str = Field(
        description="What a bound plate wants to do at each edge; empty of other parts",
        examples=["up to 0.9 mm at each edge, under the binding"],
    )
    band: Band
    sentence: str = Field(
        description="What it means for the part, to follow its name", examples=["moves little."]
    )
    told: str = Field(description="Where the numbers of its wood are from")


class InlayMovement(BaseModel):
    """What the ground of an inlay does round it."""

    name: str
    ground: str
    width_mm: float = Field(description="Across the grain of its ground")
    sentence: str


class MovementView(BaseModel):
    """What the climates of a brief do to its instrument."""

    base: AirView | None = Field(description="Where it is glued up; None until that is known")
    driest: AirView | None
    dampest: AirView | None
    band: Band
    lead: str
    case_humidity: tuple[int, int] | None = Field(
        description="Relative humidity that keeps every plate in the band “small”, percent"
    )
    case_sentence: str
    parts: list[PartMovement]
    inlays: list[InlayMovement]


def change_words(change: WidthChange, where: str) -> str:
    """How much narrower or wider a part becomes there.

    >>> change_words(WidthChange(-1.42, -1.0, -1.8), "the hall")
    '1.4 mm narrower (1.0 to 1.8) in the hall'
    """
    way = "narrower" if change.likely < 0 else "wider"
    likely, least, most = map(abs, (change.likely, change.least, change.most))
    if likely < LEAST_SHOWN_MM:
        return f"under {LEAST_SHOWN_MM:g} mm {way} in {where}"
    return f"{likely:.1f} mm {way} ({least:.1f} to {most:.1f}) in {where}"


def edge_words(dry: MovedView | None, damp: MovedView | None) -> str:
    """How far a plate would move under its binding on either side; empty where that is little."""
    most = max((abs(one.likely_mm) / 2 for one in (dry, damp) if one), default=0.0)
    if most < LEAST_SHOWN_MM:
        return ""
    return f"up to {most:.1f} mm at each edge, under the binding"


def unknown(piece: Material | None) -> str:
    """Why nothing is known of how far a piece moves."""
    if piece is None:
        return "has no piece yet."
    if piece.stuff not in ("timber", "veneer"):
        return f"not known for {piece.stuff}."
    return "not known: its species is not in our table, or not written down."


def consequence(role: str, dry: MovedView | None, damp: MovedView | None) -> tuple[Band, str]:
    """The worse of the two, and what it means for the part."""
    if not (dry or damp):
        return "small", UNCHANGED
    if role == "fretboard":
        each = -dry.likely_mm / 2 if dry else 0.0
        felt = band_of_frets(each)
        if felt == "small":
            return felt, LITTLE
        return felt, f"leaves its fret ends sticking out about {each:.1f} mm on each side."
    found = [(band(one.share), one) for one in (dry, damp) if one]
    worst, moved = max(found, key=lambda one: (BANDS.index(one[0]), abs(one[1].share)))
    held = "their blocks hold them" if role == "sides" else "its braces hold it"
    match worst, moved.likely_mm < 0:
        case "watch", True:
            return worst, f"can sink or show hairlines when dry; {held}."
        case "watch", False:
            rises = ", and the action rises" if role == "top" else ""
            return worst, f"bulges when damp{rises}; {held}."
        case "too much", True:
            return worst, f"may crack when dry; {held}."
        case "too much", False:
            return worst, f"may open joints and binding when damp; {held}."
        case _:
            return worst, LITTLE


def under_bridge(over_mm: float, moved: Sequence[MovedView]) -> tuple[Band, str]:
    """What the top wants to do under a bridge, whose grain runs across that of the top.

    over_mm : how wide the bridge is. moved : how so much of the top moves in the two airs.
    """
    if not moved:
        return "small", UNCHANGED
    most = max(moved, key=lambda one: abs(one.share))
    size = abs(most.likely_mm)
    told = f"about {size:.1f} mm" if size >= LEAST_SHOWN_MM else f"under {LEAST_SHOWN_MM:g} mm"
    verb, worst = "shrink" if most.likely_mm < 0 else "swell", band(most.share)
    edge = "" if worst == "small" else " Look at its glue line."
    return worst, f"holds the top, which wants to {verb} {told} under its {over_mm:.0f} mm.{edge}"


def lead_of(airs: Airs | None, parts: Sequence[PartMovement], worst: Band) -> str:
    """What to know first. worst : the worst band of these parts."""
    if airs is None:
        return "Give the air of your workshop and of the venue; each part then shows how it moves."
    unknown = [one.name for one in parts if not one.known and one.material_id]
    rest = f" Not known for {words(unknown)}." if unknown else ""
    if not any(one.known for one in parts):
        return f"Nothing can be told yet: choose pieces with a species.{rest}"
    named = words([one.name for one in parts if one.band == worst])
    match worst:
        case "small":
            return f"All known parts move little.{rest}"
        case "watch":
            return f"Watch {named}: more than a braced plate likes.{rest}"
        case "too much":
            far = f"{named} would move too far."
            keep = (
                "Keep the instrument in its case where the air is so, or glue up nearer that air."
            )
            return f"{far} {keep}{rest}"


def case_sentence(airs: Airs | None, case: tuple[int, int] | None) -> str:
    """What the case must hold, percent, and where it is needed; empty where nothing is known."""
    if airs is None or case is None:
        return ""
    least, most = case
    said = f"Keep the case at {least} to {most} % relative humidity."
    beyond = [
        f"{air.words} is {'drier' if air.humidity < least else 'damper'} than that"
        for air in airs.ends
        if not least <= air.humidity <= most
    ]
    if not beyond:
        return said
    return f"{said} {capital(words(beyond))}: there, leave it out for hours, not days."


def inlay_sentence(ends: Sequence[tuple[float, Air]]) -> str:
    """What the ground of an inlay does round it: mm of its width, below 0 it closes, and where."""
    if not ends:
        return UNCHANGED
    return f"{'; '.join(_gap_words(size, air) for size, air in ends)}."


def _gap_words(size: float, air: Air) -> str:
    rounded = round(abs(size) / GAP_STEP_MM) * GAP_STEP_MM
    told_mm = f"about {rounded:.2f} mm" if rounded else f"under {GAP_STEP_MM / 2:.3f} mm"
    if size < 0:
        return f"is squeezed by {told_mm} in {air.words}"
    return f"shows a gap of {told_mm} in {air.words}"
