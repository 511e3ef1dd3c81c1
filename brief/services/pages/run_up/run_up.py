"""The Run-up sheet: whether the instrument will be ready in time, and what is next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from brief.colour.notation.wording import percent
from brief.errors import InputError
from brief.plan.outlook import LeftOut, Outlook, Turn
from brief.plan.picture import NARROW, run_up_picture
from brief.plan.week import USUAL_WEEK
from brief.services import nouns
from brief.services.pages.shared import Along, Choices, along, views
from brief.services.pairing.view_settings import Shown
from brief.services.run_up.absences import AbsenceView
from brief.services.run_up.expected import chance_words, expected, in_words
from brief.services.run_up.stages import StageView
from brief.services.sharing.calendar_links import CalendarLinkView
from brief.store.desk import Desk
from brief.store.records import Brief

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MOST_LEFT_OUT = 3
SAFE = 0.95  # from which nobody asks what to leave out


@dataclass(frozen=True)
class StageRow:
    """A stage with its number in the order of work, and when it is worked at."""

    number: int
    stage: StageView
    turn: Turn | None


@dataclass(frozen=True)
class RunUpSheet:
    """rows : in the order of work, those that are done last. pictures : wide and narrow, SVG; none
    without stages, or where `problem` says what stands against it.
    """

    rows: Sequence[StageRow]
    pictures: Sequence[str]
    problem: str
    word: str
    because: str
    upcoming: StageRow | None
    may_be_late: bool
    a_week_later: str
    ready: Sequence[tuple[str, date]]
    left_out: Sequence[tuple[LeftOut, str]]
    absences: Sequence[AbsenceView]
    week: Sequence[tuple[str, float]]
    stage_choices: Choices
    today: date
    calendar_links: Sequence[CalendarLinkView]
    calendar_links_along: Along
    stages_along: Mapping[str, Sequence[str]]
    absences_along: Along


def run_up_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[RunUpSheet]:
    """What the Run-up sheet shows."""
    stages = views(desk, nouns.stages, brief)
    absences = views(desk, nouns.absences, brief)
    links = views(desk, nouns.calendar_links, brief)
    found: Outlook | None = None
    word = because = problem = ""
    try:
        found = expected(desk, brief)
        word, because = in_words(found)
    except InputError as exc:
        problem = str(exc)
    rows = _rows(stages, found)
    upcoming = next((row for row in rows if row.stage.done_on is None), None)
    told = f"{word}: {because}" if word and because else word or because
    if upcoming:
        told += f" Next: {upcoming.stage.name}."
    sheet = RunUpSheet(
        rows=rows,
        pictures=run_up_pictures(found, told, brief.opens_on) if found else [],
        problem=problem,
        word=word,
        because=because,
        upcoming=upcoming,
        may_be_late=found is not None and found.chance is not None and found.chance < SAFE,
        a_week_later=""
        if found is None or found.chance_a_week_later is None
        else chance_words(found.chance_a_week_later),
        ready=[(percent(level), on) for level, on in found.ready.items()] if found else [],
        left_out=[
            (one, "" if one.chance is None else chance_words(one.chance))
            for one in (found.left_out if found else ())[:MOST_LEFT_OUT]
        ],
        absences=absences,
        week=list(zip(WEEKDAYS, brief.week_h or USUAL_WEEK, strict=True)),
        stage_choices=[(row.stage.id, row.stage.name) for row in rows],
        today=date.today(),
        calendar_links=links,
        calendar_links_along=along(desk, nouns.calendar_links, links),
        stages_along=along(desk, nouns.stages, stages),
        absences_along=along(desk, nouns.absences, absences),
    )
    return (sheet,)


def run_up_pictures(
    found: Outlook, told: str, opening: date | None, prefix: str = "run-up"
) -> list[str]:
    """Wide and narrow, SVG; none once all is done."""
    if not found.to_do:
        return []
    return [
        run_up_picture(found, told, opening=opening, prefix=prefix),
        run_up_picture(found, told, opening=opening, width=NARROW, prefix=f"{prefix}-slim"),
    ]


def _rows(stages: Sequence[StageView], found: Outlook | None) -> list[StageRow]:
    if found is None:
        return [StageRow(at, one, None) for at, one in enumerate(stages, 1)]
    by_id = {one.id: one for one in stages}
    rows = [StageRow(at, by_id[one.stage.key], one) for at, one in enumerate(found.turns, 1)]
    return sorted(rows, key=lambda row: row.stage.done_on is not None)
