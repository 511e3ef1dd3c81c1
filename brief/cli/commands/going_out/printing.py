"""`brief booklet`, `card`, `strands` and `passport`: a brief on paper, as a file."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

from brief.cli.find_brief import called, opened, say_lost
from brief.cli.writing import form_of, write_file
from brief.errors import InputError, quoted
from brief.paper.contents import BookletPaper, CardPaper, StrandPaper
from brief.services import nouns
from brief.services.common.field_types import clean_line
from brief.services.outputs.booklets import booklet_pdf
from brief.services.outputs.cards import card_pdf
from brief.services.outputs.passports import passport_pdf
from brief.services.outputs.strand_sheets import StrandForm, strand_sheet
from brief.services.sharing.share_scope import LeaveOut, for_own_eyes, handed_over
from brief.wood.border import DECIDES

NO_ADVICE = "What may be published was read from the rights you gave; that is no legal advice."


def write_booklet(
    home: Path | None,
    wanted: str,
    out: Path,
    paper: BookletPaper,
    *,
    leave_out: LeaveOut,
    comments: bool,
    cover: str,
) -> None:
    """Write the booklet of a brief; raises as `called` and `booklet_pdf`."""
    _check_paper(paper, get_args(BookletPaper))
    form_of(out, ("pdf",))
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        data = booklet_pdf(
            handed_over(desk, brief.id),
            paper,
            leave_out=leave_out,
            comments=comments,
            cover=cover,
        )
    _write(out, data)
    say_lost(desk.lost.values())


def write_card(
    home: Path | None,
    wanted: str,
    out: Path,
    paper: CardPaper,
    *,
    maker: str,
    picture: str,
    leave_out: LeaveOut,
) -> None:
    """Write the card of a brief; raises as `called` and `card_pdf`."""
    _check_paper(paper, get_args(CardPaper))
    form_of(out, ("pdf",))
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        data = card_pdf(
            handed_over(desk, brief.id),
            paper,
            maker=clean_line(maker),
            lines=None,
            picture=picture,
            leave_out=leave_out,
        )
    _write(out, data)
    say_lost(desk.lost.values())


def write_strands(
    home: Path | None,
    wanted: str,
    out: Path,
    paper: StrandPaper,
    *,
    for_me: bool,
    leave_out: LeaveOut,
) -> None:
    """Write the strands of a brief, as PDF or PNG by the ending of `out`; raises as `called` and
    `strand_sheet`."""
    _check_paper(paper, get_args(StrandPaper))
    form = form_of(out, get_args(StrandForm))
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        scope = (for_own_eyes if for_me else handed_over)(desk, brief.id)
        made = strand_sheet(scope, form, paper, leave_out=leave_out)
    _write(out, made.data)
    say_lost(desk.lost.values())


def write_passport(home: Path | None, wanted: str, out: Path, paper: BookletPaper) -> None:
    """Write the passport of a brief's instrument; raises as `called`."""
    _check_paper(paper, get_args(BookletPaper))
    form_of(out, ("pdf",))
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        data = passport_pdf(desk, brief.id, paper)
    _write(out, data, DECIDES)
    say_lost(desk.lost.values())


def _check_paper(paper: str, papers: tuple[str, ...]) -> None:
    if paper not in papers:
        raise InputError(f"--paper is one of {', '.join(papers)}; got {quoted(paper)}")


def _write(out: Path, data: bytes, advice: str = NO_ADVICE) -> None:
    write_file(out, data)
    print(out)
    print(advice)
