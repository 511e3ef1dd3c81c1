"""The verdict on a scheme as it is shown, and in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from brief.colour.notation.wording import plus_minus
from brief.colour.verdicts.scheme import CARRIED, CARRIED_SHARE
from brief.english import agree, capital, words

WORSE = 1.0  # CIEDE2000 further from the theme, from which a condition is said to cost something


class CarrierView(BaseModel):
    """A part that carries a colour of the theme."""

    part: str
    hex: str
    share: float = Field(description="Of this colour of the theme, 0 to 1")
    near: bool = Field(description="Whether it lies near enough to carry it")


class ThemeColourView(BaseModel):
    """One colour of the theme, and what carries it."""

    name: str
    hex: str
    share: float = Field(description="Of the theme, 0 to 1")
    carried: float = Field(description="Of this colour, by parts within 10 CIEDE2000 of it")
    nearest: str = Field(description="The part nearest to it")
    distance: float
    uncertainty: float
    carriers: list[CarrierView]


class MeetingView(BaseModel):
    """Two parts that touch."""

    one: str
    other: str
    one_hex: str
    other_hex: str
    length_mm: float
    difference: float
    harmony: float


class SchemeUnderView(BaseModel):
    """The scheme under one condition."""

    words: str
    harmony: float | None
    distance: float | None = Field(description="From the theme, CIEDE2000 (earth mover’s)")
    lost: list[str] = Field(description="Colours of the theme that nothing carries here")


class SchemeView(BaseModel):
    """The verdict on a scheme as it is shown."""

    sentences: list[str]
    harmony: float | None
    worst: MeetingView | None
    distance: float | None = Field(description="From the theme, CIEDE2000 (earth mover’s)")
    theme: list[ThemeColourView]
    under: list[SchemeUnderView]
    still_open: list[str]
    missing: list[str]


def scheme_sentences(
    theme: Sequence[ThemeColourView],
    meeting: MeetingView | None,
    views: Sequence[SchemeUnderView],
) -> list[str]:
    """The verdict in sentences: of the theme, of neighbours, then what changes elsewhere."""
    said = []
    bench = views[0]
    if theme:
        for colour in theme:
            if colour.name in bench.lost:
                sure = colour.distance - colour.uncertainty > CARRIED
                away = plus_minus(colour.distance, colour.uncertainty)
                said.append(
                    f"{colour.name} {'is' if sure else 'may be'} missing: closest is the "
                    f"{colour.nearest.lower()}, off by {away}."
                )
        little = [
            one.name for one in theme if one.carried < CARRIED_SHARE and one.name not in bench.lost
        ]
        if little:
            said.append(
                f"{words(little)} {agree(little, 'covers', 'cover')} less of the instrument than "
                "of the theme."
            )
        if not said:
            said.append("Every theme colour shows in some part.")
    if meeting:
        said.append(
            f"Least harmonious neighbours: {meeting.one.lower()} and {meeting.other.lower()}."
        )
    return said + _changes(views)


def _changes(views: Sequence[SchemeUnderView]) -> list[str]:
    """What becomes of the scheme elsewhere; conditions that do the same share a sentence."""
    bench, *others = views
    changed: dict[str, list[str]] = {}
    for view in others:
        further = [name for name in view.lost if name not in bench.lost]
        nearer = [name for name in bench.lost if name not in view.lost]
        if further:
            does = f"{words(further)} {agree(further, 'is', 'are')} also lost"
        elif nearer:
            does = f"{words(nearer)} {agree(nearer, 'shows', 'show')} after all"
        elif abs(off := (view.distance or 0.0) - (bench.distance or 0.0)) >= WORSE:
            does = f"the whole is {'further from' if off > 0 else 'nearer to'} the theme"
        else:
            continue
        changed.setdefault(does, []).append(view.words)
    return [
        f"Everywhere but at the bench, {does}."
        if len(where) == len(others) > 1
        else f"{capital(does)}: {'; '.join(where)}."
        for does, where in changed.items()
    ]
