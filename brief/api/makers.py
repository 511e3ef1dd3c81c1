"""Several makers on one server: who is here, where they work, what they lend and hand in.

These addresses are there only where several makers share the server.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import closing
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, Path, Request, Response
from fastapi.concurrency import contextmanager_in_threadpool, run_in_threadpool
from pydantic import BaseModel, Field

from brief.api.desks import ReadingDesk, WritingDesk, store_of, visit_of
from brief.api.guests import UNTOLD
from brief.api.house import House, Visit
from brief.api.images import ASK_AGAIN, Sha256
from brief.api.limits import Client, Limits
from brief.api.lines import WaitingLine
from brief.api.lock import cookie_name
from brief.api.pages import pages_of
from brief.api.problems import responses
from brief.api.shares import address_for_others
from brief.errors import InputError, NotFound, NotSignedIn
from brief.services import nouns
from brief.services.common.field_types import Draft, Id, Line
from brief.services.makers import handing_in, invitations, joint, loans, register
from brief.services.pages.makers import makers_page
from brief.services.photos.pictures import shown_picture
from brief.services.sharing import owner
from brief.store.desk import Desk, Store
from brief.store.register import HandedIn, Loan
from brief.store.workshops import make_workshop, new_workshop_id, open_workshop

router = APIRouter(prefix="/api", tags=["makers"])
page_router = APIRouter(include_in_schema=False)


class DoneInWords(BaseModel):
    """What was done, in words."""

    said: str


class InvitationDraft(Draft):
    """Whom to invite."""

    name: Line = Field(description="What they are called here", examples=["Bea"])
    organises: bool = Field(False, description="Whether they see what is handed in")


class Invited(BaseModel):
    """An invitation, told once."""

    name: str
    link: str = Field(description="To send to them: it works once, for 14 days")


class Uninvited(Draft):
    """Whose invitation to withdraw."""

    name: Line


class Joining(Draft):
    """What somebody who was invited sends."""

    token: str = Field(max_length=200)
    name: Annotated[str, Field(max_length=1000)] = ""
    passphrase: str = Field("", max_length=1000)


class NewPassphrase(Draft):
    """A passphrase in the place of the one before."""

    now: str = Field("", max_length=1000, description="That which they have")
    passphrase: str = Field("", max_length=1000)


class Going(Draft):
    """To which workshop to go."""

    workshop_id: str = Field(max_length=10)


class TogetherDraft(Draft):
    """A brief to work on together."""

    brief_id: Id
    to: Line = Field(description="With whom", examples=["Bea"])


class Admission(Draft):
    """Another maker for a joint workshop."""

    to: Line


class LoanDraft(Draft):
    """What to lend, to whom."""

    to: Line = Field(examples=["Bea"])
    material_id: Id | None = Field(None, description="A piece of the rack; null for all of it")


class TakingDown(Draft):
    """Which lent piece to have a copy of."""

    material_id: Id


class HandingIn(Draft):
    """What to hand in."""

    brief_id: Id


def _me(request: Request) -> Visit:
    visit = visit_of(request)
    if visit is None or visit.maker is None:
        raise NotSignedIn("Sign in first, with your name and passphrase.")
    return visit


def _register(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


def _house(request: Request) -> House:
    house: House = request.app.state.house
    return house


Me = Annotated[Visit, Depends(_me)]
Register = Annotated[Store, Depends(_register)]
TheHouse = Annotated[House, Depends(_house)]


def _owner(me: Me) -> Visit:
    if me.maker != owner.OWNER:
        raise NotFound("That is for the owner of the server alone.")
    return me


TheOwner = Annotated[Visit, Depends(_owner)]
Number = Annotated[int, Path(ge=1, le=2**31 - 1)]  # as a database keeps one


@page_router.get("/makers")
def makers(request: Request, me: Me, there: ReadingDesk, registered: Register) -> Response:
    """Who is here, and what there is for whoever is signed in."""
    with registered.desk() as desk:
        shown = makers_page(desk, there, me.maker or 0, me.workshop_id)
    return pages_of(request).show("makers.html", shown)


@page_router.get("/join")
def join_page(request: Request, name: str = "", again: bool = False) -> Response:
    """Where an invitation leads to; its secret stands behind the #, which no server is told."""
    page = pages_of(request).show("join.html", name=name[: register.LONGEST_NAME], again=again)
    page.headers.update(UNTOLD)
    return page


@router.post("/makers/joining", status_code=201, responses=responses(404, 413, 422, 429, 507))
def join(
    joining: Joining, registered: Register, house: TheHouse, limits: Limits, client: Client
) -> DoneInWords:
    """Become a maker here by an invitation, or have a new passphrase by one."""
    try:
        with registered.desk() as desk:
            found = invitations.opened(desk, joining.token)
            owner.fit_passphrase(joining.passphrase)
            is_new = found.maker is None
            if is_new:
                register.fit_name(desk, joining.name or found.name)
    except NotFound:
        limits.check("token", client)
        raise
    workshop_id = new_workshop_id()
    if is_new:
        make_workshop(house.place.workshop(workshop_id))
    with registered.desk(writing=True) as desk:
        name = invitations.accept(
            desk, joining.token, joining.name, joining.passphrase, workshop_id
        ).name
    return DoneInWords(said=f"You are {name} here. Sign in with that name and your passphrase.")


@router.post("/makers/invitations", status_code=201, responses=responses(404, 422, 507))
def invite(request: Request, draft: InvitationDraft, me: TheOwner, registered: Register) -> Invited:
    """Invite somebody: the owner alone."""
    with registered.desk(writing=True) as desk:
        token = invitations.invite(desk, draft.name, organises=draft.organises)
    link = f"{address_for_others(request)}/join?name={quote(draft.name)}#{token}"
    return Invited(name=draft.name, link=link)


@router.post("/makers/invitations/withdrawing", responses=responses(404, 422, 507))
def withdraw_invitation(draft: Uninvited, me: TheOwner, registered: Register) -> DoneInWords:
    """Have an invitation work no more: the owner alone."""
    with registered.desk(writing=True) as desk:
        if not invitations.withdraw(desk, draft.name):
            raise NotFound("There is no open invitation for that name.")
    return DoneInWords(said=f"The link for {draft.name} works no more.")


@router.post("/makers/{number}/invitations", status_code=201, responses=responses(404, 422, 507))
def invite_again(request: Request, number: Number, me: TheOwner, registered: Register) -> Invited:
    """A link by which a maker who forgot their passphrase sets a new one: the owner alone."""
    with registered.desk(writing=True) as desk:
        token = invitations.invite_again(desk, number)
        name = register.maker(desk, number).name
    return Invited(name=name, link=f"{address_for_others(request)}/join?again=1#{token}")


@router.post("/makers/{number}/shutting-out", responses=responses(404, 422, 507))
def shut_out(number: Number, me: TheOwner, registered: Register) -> DoneInWords:
    """Let a maker in no more; what they made stays: the owner alone."""
    with registered.desk(writing=True) as desk:
        name = register.shut_out(desk, number).name
        invitations.withdraw(desk, name)
    return DoneInWords(said=f"{name} is let in no more. What {name} made is kept.")


@router.post("/makers/{number}/letting-in", responses=responses(404, 422, 507))
def let_in(number: Number, me: TheOwner, registered: Register) -> DoneInWords:
    """Let a maker in again: the owner alone."""
    with registered.desk(writing=True) as desk:
        name = register.let_in_again(desk, number).name
    return DoneInWords(said=f"{name} can sign in again.")


async def _in_line(request: Request, me: Me) -> AsyncIterator[Visit]:
    """A check takes 64 MiB: it waits with those who sign in where they did before."""
    lines: dict[bool, WaitingLine] = request.app.state.sign_in_lines
    async with lines[True].turn(f"maker {me.maker}"):
        yield me


InLine = Annotated[Visit, Depends(_in_line, scope="function")]


@router.post("/makers/passphrase", responses=responses(401, 422, 429, 507))
def change_passphrase(
    draft: NewPassphrase, me: InLine, registered: Register, limits: Limits, client: Client
) -> DoneInWords:
    """Change one's own passphrase; all browsers are signed out."""
    limits.check("passphrase", client)
    with registered.desk() as desk:
        if owner.opened_by(desk, draft.now, me.maker) is None:
            raise InputError.at("now", "that is not the passphrase that you have")
    limits.give_back("passphrase", client)
    with registered.desk(writing=True) as desk:
        owner.set_passphrase(desk, draft.passphrase, me.maker or 0)
        invitations.withdraw(desk, me.name)
    return DoneInWords(said="Your passphrase is changed. Sign in with the new one.")


@router.post("/workshops/going", responses=responses(404, 422, 507))
def go_to(request: Request, going: Going, me: Me, registered: Register) -> DoneInWords:
    """Be at another workshop from now on, with this browser."""
    token = request.cookies[cookie_name(request)]
    with registered.desk(writing=True) as desk:
        if not register.may_enter(desk, me.maker or 0, going.workshop_id):
            raise NotFound("You work in no such workshop.")
        owner.go_to(desk, token, going.workshop_id)
    return DoneInWords(said="You are there now.")


@router.post("/workshops", status_code=201, responses=responses(404, 422, 507))
def work_together(
    draft: TogetherDraft, request: Request, me: Me, registered: Register, house: TheHouse
) -> DoneInWords:
    """Bring a brief into a joint workshop with another maker; it leaves this one.

    One after the other, never one transaction within another: the owner's own workshop is in the
    same database as the register. Stopped in between, the brief is still where it was.
    """
    if me.title:
        raise InputError("This brief is in a joint workshop already. Let them in there instead.")
    mine = store_of(request)
    with registered.desk() as desk:
        other = register.called(desk, draft.to, but=me.maker or 0)
        joint.check_room(desk, me.maker or 0)
    workshop_id = new_workshop_id()
    place = house.place.workshop(workshop_id)
    with mine.desk() as here:
        nouns.briefs.get(here, draft.brief_id)
        make_workshop(place)
        with closing(open_workshop(place, workshop_id)) as store, store.desk(writing=True) as there:
            title = joint.copy_over(here, there, draft.brief_id)
    with registered.desk(writing=True) as desk:
        joint.open_joint(desk, workshop_id, title, [me.maker or 0, other.number])
    with mine.desk(writing=True, by=me.by) as here:
        joint.put_away(here, draft.brief_id)
    return DoneInWords(
        said=f"“{title}” is in a workshop that you and {other.name} share. Go there above."
    )


@router.post("/workshops/{workshop_id}/members", responses=responses(404, 422, 507))
def admit(workshop_id: str, draft: Admission, me: Me, registered: Register) -> DoneInWords:
    """Let one more maker into a joint workshop that one is a member of."""
    with registered.desk(writing=True) as desk:
        other = register.called(desk, draft.to, but=me.maker or 0)
        joint.admit(desk, me.maker or 0, workshop_id, other.number)
    return DoneInWords(said=f"{other.name} works there, too.")


@router.post("/workshops/{workshop_id}/leaving", responses=responses(404, 422, 507))
def leave(workshop_id: str, me: Me, registered: Register) -> DoneInWords:
    """Be a member of a joint workshop no more; what is there stays with the others."""
    with registered.desk(writing=True) as desk:
        joint.leave(desk, me.maker or 0, workshop_id)
    return DoneInWords(said="You have left that workshop.")


@router.post("/loans", status_code=201, responses=responses(404, 422, 507))
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


@router.post("/loans/{loan_id}/ending", responses=responses(404, 507))
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


@router.post("/loans/{loan_id}/taking", status_code=201, responses=responses(404, 422, 507))
def take_down(draft: TakingDown, lent: TheLent, mine: WritingDesk) -> DoneInWords:
    """Have a copy of a lent piece on one's own rack."""
    piece = loans.take_down(lent.theirs, mine, lent.loan, draft.material_id, lent.lender)
    return DoneInWords(said=f"“{piece.label}” is on your rack.")


@router.post("/handed-in", status_code=201, responses=responses(404, 422, 507))
def hand_in(draft: HandingIn, request: Request, me: Me, registered: Register) -> DoneInWords:
    """Hand a brief in as it is now."""
    with store_of(request).desk(writing=True, by=me.by) as mine:
        share, title = handing_in.freeze(mine, draft.brief_id)
    with registered.desk(writing=True) as desk:
        handing_in.enter(desk, me.maker or 0, me.workshop_id, share, title)
    return DoneInWords(said=f"“{title}” is handed in as it is now.")


@router.post("/handed-in/{handed_id}/withdrawing", responses=responses(404, 507))
async def withdraw(handed_id: str, me: Me, registered: Register, house: TheHouse) -> DoneInWords:
    """Take back what was handed in: its link opens nothing any more."""

    def strike() -> HandedIn:
        with registered.desk(writing=True) as desk:
            return handing_in.strike(desk, me.maker or 0, handed_id)

    def shut(store: Store, share_id: str) -> None:
        with store.desk(writing=True, by=me.by) as mine:
            handing_in.withdraw(mine, share_id)

    struck = await run_in_threadpool(strike)
    async with house.at(struck.workshop_id) as workshop:
        store = workshop.store if workshop else registered
        await run_in_threadpool(shut, store, struck.share_id)
    return DoneInWords(said=f"“{struck.title}” is no longer handed in.")
