"""The passport of an instrument: its materials by name, part, weight and source."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer

from brief.paper.booklet import BOARD_MM, BODY, LATIN, SMALL, head, row, titled
from brief.paper.contents import BookletPaper, Passport, PassportLine
from brief.paper.leaves import leaves_pdf
from brief.paper.page import PaperBoard, text

MARGIN_MM = 24.0


def passport_pdf(passport: Passport, paper: BookletPaper = "A4") -> bytes:
    """The passport on A4 or Letter. The same passport makes the same bytes."""
    return leaves_pdf(
        partial(_story, passport),
        paper,
        title=f"{passport.title}: materials",
        subject="Materials of an instrument",
        margin_mm=MARGIN_MM,
    )


def _story(passport: Passport, wide_mm: float) -> Iterable[Flowable]:
    yield from head(passport.title)
    for name, value in passport.facts:
        yield text(f"{name}: {value}", BODY)
    yield Spacer(0, 4 * mm)
    for line in passport.lines:
        yield row(
            [PaperBoard(line.timber, *BOARD_MM, f"The wood: {line.name}"), _told(line)],
            [BOARD_MM[0] + 6, wide_mm - BOARD_MM[0] - 6],
        )
    for title, those in (
        ("Finishes", passport.finishes),
        ("Papers to ask about", passport.documents),
    ):
        if those:
            said = [text(f"{name}: {words}", BODY) for name, words in those]
            yield KeepTogether([Spacer(0, 6 * mm), titled(title), *said[:2]])
            yield from said[2:]
    yield Spacer(0, 5 * mm)
    yield text(passport.decides, BODY)
    yield text(passport.printed, SMALL)


def _told(line: PassportLine) -> list[Flowable]:
    told: list[Flowable] = [titled(line.name), text(line.botanical, LATIN)]
    return told + [text(f"{name}: {words}", SMALL) for name, words in line.facts]
