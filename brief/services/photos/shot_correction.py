"""What a photograph is corrected by: a colour chart in the shot, a card or paper, or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field, StringConstraints

from brief.errors import ImageError, InputError, quoted
from brief.photo import (
    NOT_KNOWN,
    Chart,
    Correction,
    PhotoLight,
    Picture,
    Region,
    UnusableChart,
    correct_by_card,
    correct_by_two_cards,
    find_chart,
    fit_correction,
    light_between,
    no_correction,
    read_chart,
    see_card,
)
from brief.services.common.field_types import Columns, Draft, Fields, RegionText, in_field

Point = tuple[float, float]
SelectorText = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=20_000),
    Field(
        description="A part of the picture: a Media Fragment in percent, or an SVG polygon whose "
        "viewBox 0 0 100 100 is the whole picture",
        examples=["xywh=percent:10,20,50,40"],
    ),
]
PointsText = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=120),
    Field(description="Points in percent of the picture: x,y x,y", examples=["10,20 80,20"]),
]
CARD_REGIONS = ("card_region", "second_card_region")
CORRECTION_FIELDS = (
    "correct_by",
    "light",
    "chart_age",
    "chart_corners",
    "card",
    "second_card",
    *CARD_REGIONS,
)
Card = Literal["white paper", "white card 90 %", "grey card 18 %"]


class CorrectedDraft(Draft):
    """What in the shot corrects its colours."""

    correct_by: Literal["chart", "card", "none"] = Field(
        "none", description="A 24-patch colour chart, a card or paper, or nothing"
    )
    light: PhotoLight = Field(
        NOT_KNOWN,
        description="What the photograph was taken by. A lamp is any bulb, tube or LED; daylight "
        "and a lamp mixed is not known. By a chart it makes no difference",
    )
    chart_age: Literal["after-2014", "before-2014"] = "after-2014"
    chart_corners: PointsText | None = Field(
        None, description="The chart’s four corners, if it is not found by itself"
    )
    card: Card = "white paper"
    card_region: RegionText | None = Field(None, description="Where the card or paper lies")
    second_card: Card | None = Field(
        None,
        description="One in the same photograph, white if the first is grey, grey if it is white: "
        "both together show the camera’s tone curve",
    )
    second_card_region: RegionText | None = Field(None, description="Where the second card is")


class CorrectionView(BaseModel):
    """What the colours of a shot were corrected by, and how good that is."""

    correct_by: str
    light: PhotoLight
    chart_age: str
    chart_corners: str | None
    card: str
    card_region: str | None
    second_card: str | None
    second_card_region: str | None
    residual: float = Field(description="Mean CIEDE2000 by which the reference is missed")
    uncertainty: float = Field(description="CIEDE2000 that 9 in 10 true colours lie within")
    notes: list[str]
    sentence: str


@dataclass(frozen=True)
class Settled:
    """A correction, and what is kept of how it came about.

    asked : the fields of a CorrectedDraft, their texts put in order. chart : that it was fitted to,
    if it was to one. note : on a chart that was seen but is of no use.
    """

    correction: Correction
    asked: Mapping[str, Any]
    chart: Chart | None = None
    note: str = ""


def settle_correction(fields: Mapping[str, Any], picture: Picture, name: str) -> Settled:
    """The correction that `fields` ask for.

    Raises InputError at the field at fault if the reference cannot be used.
    """
    one, other = (region_in(field, fields) for field in CARD_REGIONS)
    asked = {name: fields[name] for name in CORRECTION_FIELDS}
    asked |= {"card_region": text_of(one), "second_card_region": text_of(other)}
    with in_field("chart_corners"):
        corners = points(asked["chart_corners"], 4) if asked["chart_corners"] else None
    match asked["correct_by"]:
        case "chart":
            with in_field("chart_corners" if corners else "correct_by"):
                chart = (
                    read_chart(picture, corners, name=name) if corners else _found(picture, name)
                )
                correction = fit_correction(chart, asked["chart_age"])
            return Settled(correction, asked | {"chart_corners": _written(chart.corners)}, chart)
        case "card":
            return Settled(_by_cards(asked, one, other, picture, name), asked)
        case _:
            return Settled(no_correction(asked["light"]), asked)


def _by_cards(
    asked: Mapping[str, Any],
    region: Region | None,
    second_region: Region | None,
    picture: Picture,
    name: str,
) -> Correction:
    """By the first card alone or, where there is a second, by both."""
    card, second, light = asked["card"], asked["second_card"], asked["light"]
    with in_field("card_region"):
        if region is None:
            raise InputError("Draw where the card or paper lies in the photograph.")
        if second is None and second_region is None:
            return correct_by_card(picture, region, card, light=light, name=name)
        first = see_card(picture, region, card, name=name)
    with in_field("second_card"):
        if second is None:
            raise InputError("Choose what the second card is, or clear its area.")
        light_between(card, second)
    with in_field("second_card_region"):
        if second_region is None:
            raise InputError("Draw where the second card is in the photograph.")
        if region.overlaps(second_region):
            raise InputError("The two cards overlap. Draw each well inside its own edges.")
        other = see_card(picture, second_region, second, name=name)
        return correct_by_two_cards(first, other, light=light)


def region_in(field: str, fields: Mapping[str, Any]) -> Region | None:
    """The part of the picture that one of `fields` names."""
    with in_field(field):
        return Region.parse(fields[field]) if fields[field] else None


def text_of(region: Region | None) -> str | None:
    """As it is kept."""
    return None if region is None else str(region)


def _found(picture: Picture, name: str) -> Chart:
    chart = find_chart(picture, name=name)
    if chart is None:
        raise InputError(
            "No colour chart was found in this photograph. Mark the corners, or correct it by "
            "a card."
        )
    return chart


def asked_anew(record: Any, fields: Fields, names: Iterable[str]) -> Columns:
    """What `record` is measured by once `fields` have changed it."""
    asked = {name: fields.get(name, getattr(record, name)) for name in names}
    if fields.get("correct_by") == "chart" and "chart_corners" not in fields:
        asked["chart_corners"] = None  # look for it again
    return asked


def found_by_itself(picture: Picture, name: str, light: PhotoLight) -> Settled:
    """What a new photograph is corrected by without being asked: a chart, if one is in it.

    Where a chart was seen but is of no use, `asked` says where, so that it is left out all the
    same. light : as the file says.
    """
    left_alone = CorrectedDraft(light=light)
    try:
        chart = find_chart(picture, name=name)
        if chart is None:
            return Settled(no_correction(light), dict(left_alone))
        asked = CorrectedDraft(
            correct_by="chart", light=light, chart_corners=_written(chart.corners)
        )
        left_alone.chart_corners = asked.chart_corners
        return Settled(fit_correction(chart, asked.chart_age), dict(asked), chart)
    except ImageError as exc:
        if isinstance(exc, UnusableChart) and exc.is_in_sight:
            left_alone.chart_corners = _written(exc.corners)
        note = f"There is a colour chart in the shot, but it cannot be used: {exc}."
        return Settled(no_correction(light), dict(left_alone), note=note)


def _written(corners: Iterable[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


def known_length(asked: Mapping[str, Any]) -> tuple[Point, Point, float] | None:
    """The two ends of a known length and that length; None where neither is given.

    Raises InputError at the one that is lacking.
    """
    if not asked["scale_points"] and asked["scale_mm"] is None:
        return None
    if not asked["scale_points"] or asked["scale_mm"] is None:
        lacking = "scale_mm" if asked["scale_points"] else "scale_points"
        raise InputError.at(lacking, "A scale needs two points and the length between them.")
    with in_field("scale_points"):
        first, second = points(asked["scale_points"], 2)
    return first, second, asked["scale_mm"]


def correction_view(record: Any) -> CorrectionView:
    """How a record's photograph was corrected, as it is shown."""
    stored = record.correction or no_correction().to_dict()
    return CorrectionView(
        **{name: getattr(record, name) for name in CORRECTION_FIELDS},
        residual=stored["residual"],
        uncertainty=stored["uncertainty"],
        notes=stored["notes"],
        sentence=_in_words(record, stored),
    )


_TAKEN_BY: Mapping[str, str] = {
    "not known": "",
    "daylight": " It was taken by daylight.",
    "lamp": " It was taken by a lamp.",
}


def _in_words(record: Any, stored: Mapping[str, Any]) -> str:
    if record.correct_by == "chart":
        return (
            f"Corrected by the colour chart in the shot, whose patches it misses by "
            f"{stored['residual']:.1f} on average when each is left out in turn."
        )
    if record.correct_by == "card" and record.second_card:
        return (
            f"Corrected by the {record.card} and the {record.second_card} in the shot, which show "
            f"the camera’s tone curve.{_TAKEN_BY[record.light]}"
        )
    if record.correct_by == "card":
        return f"Corrected by the {record.card} in the shot.{_TAKEN_BY[record.light]}"
    if record.light == NOT_KNOWN:
        return "Not corrected: nothing in the shot says what the light was."
    return f"Not corrected: no chart or card is used.{_TAKEN_BY[record.light]}"


def points(text: str, count: int) -> tuple[Point, ...]:
    """ "10,20 80,20" as points; InputError unless there are `count` of them inside the picture."""
    try:
        found = [tuple(float(part) for part in pair.split(",")) for pair in text.split()]
    except ValueError as exc:
        raise InputError(
            f"Points are written x,y x,y in percent; got {quoted(text[:60])}."
        ) from exc
    if len(found) != count or any(len(pair) != 2 for pair in found):
        raise InputError(f"It takes {count} points, written x,y x,y; got {quoted(text[:60])}.")
    if not all(0 <= value <= 100 for pair in found for value in pair):
        raise InputError(
            f"The points must lie in the picture, 0 to 100 percent; got {quoted(text[:60])}."
        )
    return tuple((x, y) for x, y in found)
