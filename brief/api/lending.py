"""What one maker lends another: lent, looked at, taken down, ended."""

from collections.abc import AsyncIterator
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request, Response
from fastapi.concurrency import contextmanager_in_threadpool
from pydantic import Field

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.images import ASK_AGAIN, Sha256
from brief.api.problems import responses
from brief.api.registered import DoneInWords, Me, Register, TheHouse
from brief.api.routing import Router
from brief.api.templates import pages_of
from brief.errors import InputError
from brief.services import nouns
from brief.services.common.field_types import Draft, Id, Line
from brief.services.makers import loans, register
from brief.services.photos.pictures import shown_picture
from brief.store.desk import Desk
from brief.store.register import Loan

router = Router(prefix="/api/loans", tags=["makers"])
page_router = Router(include_in_schema=False)


class LoanDraft(Draft):
    """What to lend, to whom."""

    to: Line = Field(examples=["Bea"])
    material_id: Id | None = Field(None, description="A piece of the rack; null for all of it")


class TakingDown(Draft):
    """Which lent piece to have a copy of."""

    material_id: Id


@router.post("", status_code=201, responses=responses(404, 422, 507))
def lend(draft: LoanDraft, me: Me, mine: ReadingDesk, registered: Register) -> DoneInWords:
    """Lend a piece of the rack, or all of it, to another maker."""
    if me.title:
        raise InputError(
            "What is in a joint workshop is not one maker’s to lend. Go to your own first."
        )
    piece = nouns.materials.get(mine, draft.material_id) if draft.material_id else None
    with registered.desk(writing=True) as desk:
        loans.lend(desk, me.maker or 0, draft.to, me.workshop_id, piece)
    what = f"“{piece.label}”" if piece else "your rack"
    return DoneInWords(said=f"{draft.to} sees {what} now.")


@router.post("/{loan_id}/ending", responses=responses(404, 507))
def end_loan(loan_id: str, me: Me, registered: Register) -> DoneInWords:
    """End a loan; a copy that was taken down stays where it is."""
    with registered.desk(writing=True) as desk:
        loans.take_back(desk, me.maker or 0, loan_id)
    return DoneInWords(said="That is lent no more.")


@dataclass(frozen=True)
class Lent:
    """A loan, with the rack that it is of, to read. lender : what they are called."""

    loan: Loan
    lender: str
    theirs: Desk


def _loan(me: Me, registered: Register, loan_id: str) -> tuple[Loan, str]:
    with registered.desk() as desk:
        loan = loans.lent_to(desk, me.maker or 0, loan_id)
        return loan, register.maker(desk, loan.by).name


async def _lent(
    registered: Register, house: TheHouse, found: Annotated[tuple[Loan, str], Depends(_loan)]
) -> AsyncIterator[Lent]:
    loan, lender = found
    async with house.at(loan.workshop_id) as workshop:
        store = workshop.store if workshop else registered
        async with contextmanager_in_threadpool(store.desk()) as theirs:
            yield Lent(loan, lender, theirs)


TheLent = Annotated[Lent, Depends(_lent, scope="function")]


@page_router.get("/lent/{loan_id}")
def lent(request: Request, lent: TheLent, mine: ReadingDesk) -> Response:
    """What another maker lends."""
    shown = loans.pieces(lent.theirs, lent.loan)
    taken = loans.taken_down(mine, shown)
    return pages_of(request).show(
        "lent.html", loan=lent.loan, lender=lent.lender, pieces=shown, taken=taken, most=loans.MOST
    )


@page_router.get("/lent/{loan_id}/images/{sha256}")
def lent_picture(sha256: Sha256, lent: TheLent) -> Response:
    """A photograph of what is lent, without what the camera wrote into it."""
    image = loans.picture(lent.theirs, lent.loan, sha256)
    data = shown_picture(lent.theirs, image.sha256, "thumb")
    return Response(data, media_type="image/jpeg", headers={"Cache-Control": ASK_AGAIN})


@router.post("/{loan_id}/taking", status_code=201, responses=responses(404, 422, 507))
def take_down(draft: TakingDown, lent: TheLent, mine: WritingDesk) -> DoneInWords:
    """Have a copy of a lent piece on one's own rack."""
    piece = loans.take_down(lent.theirs, mine, lent.loan, draft.material_id, lent.lender)
    return DoneInWords(said=f"“{piece.label}” is on your rack.")
