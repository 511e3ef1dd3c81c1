"""Several makers on one server: who is here, how they come in and are shut out.

These addresses, and those of `joint`, `lending` and `handing_in`, are there only where several
makers share the server.
"""

from collections.abc import AsyncIterator
from typing import Annotated
from urllib.parse import quote

from fastapi import Depends, Request, Response
from pydantic import BaseModel, Field

from brief.api.desks import ReadingDesk
from brief.api.guests import UNTOLD
from brief.api.house import Visit
from brief.api.limits import Client, Limits
from brief.api.lines import WaitingLine
from brief.api.problems import responses
from brief.api.registered import DoneInWords, Me, Number, Register, TheHouse, TheOwner
from brief.api.routing import Router
from brief.api.shares import address_for_others
from brief.api.templates import pages_of
from brief.errors import InputError, NotFound
from brief.services.common.field_types import Draft, Line
from brief.services.makers import invitations, register
from brief.services.pages.makers import makers_page
from brief.services.sharing import owner
from brief.store.workshops import make_workshop, new_workshop_id

router = Router(prefix="/api/makers", tags=["makers"])
page_router = Router(include_in_schema=False)


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


@router.post("/joining", status_code=201, responses=responses(404, 413, 422, 429, 507))
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


@router.post("/invitations", status_code=201, responses=responses(404, 422, 507))
def invite(request: Request, draft: InvitationDraft, me: TheOwner, registered: Register) -> Invited:
    """Invite somebody: the owner alone."""
    with registered.desk(writing=True) as desk:
        token = invitations.invite(desk, draft.name, organises=draft.organises)
    link = f"{address_for_others(request)}/join?name={quote(draft.name)}#{token}"
    return Invited(name=draft.name, link=link)


@router.post("/invitations/withdrawing", responses=responses(404, 422, 507))
def withdraw_invitation(draft: Uninvited, me: TheOwner, registered: Register) -> DoneInWords:
    """Have an invitation work no more: the owner alone."""
    with registered.desk(writing=True) as desk:
        if not invitations.withdraw(desk, draft.name):
            raise NotFound("There is no open invitation for that name.")
    return DoneInWords(said=f"The link for {draft.name} works no more.")


@router.post("/{number}/invitations", status_code=201, responses=responses(404, 422, 507))
def invite_again(request: Request, number: Number, me: TheOwner, registered: Register) -> Invited:
    """A link by which a maker who forgot their passphrase sets a new one: the owner alone."""
    with registered.desk(writing=True) as desk:
        token = invitations.invite_again(desk, number)
        name = register.maker(desk, number).name
    return Invited(name=name, link=f"{address_for_others(request)}/join?again=1#{token}")


@router.post("/{number}/shutting-out", responses=responses(404, 422, 507))
def shut_out(number: Number, me: TheOwner, registered: Register) -> DoneInWords:
    """Let a maker in no more; what they made stays: the owner alone."""
    with registered.desk(writing=True) as desk:
        name = register.shut_out(desk, number).name
        invitations.withdraw(desk, name)
    return DoneInWords(said=f"{name} is let in no more. What {name} made is kept.")


@router.post("/{number}/letting-in", responses=responses(404, 422, 507))
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


@router.post("/passphrase", responses=responses(401, 422, 429, 507))
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
