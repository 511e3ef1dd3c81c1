"""Where makers work: going from one workshop to another, and working together in a joint one."""

from contextlib import closing

from fastapi import Request
from pydantic import Field

from brief.api.desks import store_of
from brief.api.lock import cookie_name
from brief.api.problems import responses
from brief.api.registered import DoneInWords, Me, Register, TheHouse
from brief.api.routing import Router
from brief.errors import InputError, NotFound
from brief.services import nouns
from brief.services.common.field_types import Draft, Id, Line
from brief.services.makers import joint, register
from brief.services.sharing import owner
from brief.store.workshops import make_workshop, new_workshop_id, open_workshop

router = Router(prefix="/api/workshops", tags=["makers"])


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


@router.post("/going", responses=responses(404, 422, 507))
def go_to(request: Request, going: Going, me: Me, registered: Register) -> DoneInWords:
    """Be at another workshop from now on, with this browser."""
    token = request.cookies[cookie_name(request)]
    with registered.desk(writing=True) as desk:
        if not register.may_enter(desk, me.maker or 0, going.workshop_id):
            raise NotFound("You work in no such workshop.")
        owner.go_to(desk, token, going.workshop_id)
    return DoneInWords(said="You are there now.")


@router.post("", status_code=201, responses=responses(404, 422, 507))
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


@router.post("/{workshop_id}/members", responses=responses(404, 422, 507))
def admit(workshop_id: str, draft: Admission, me: Me, registered: Register) -> DoneInWords:
    """Let one more maker into a joint workshop that one is a member of."""
    with registered.desk(writing=True) as desk:
        other = register.called(desk, draft.to, but=me.maker or 0)
        joint.admit(desk, me.maker or 0, workshop_id, other.number)
    return DoneInWords(said=f"{other.name} works there, too.")


@router.post("/{workshop_id}/leaving", responses=responses(404, 422, 507))
def leave(workshop_id: str, me: Me, registered: Register) -> DoneInWords:
    """Be a member of a joint workshop no more; what is there stays with the others."""
    with registered.desk(writing=True) as desk:
        joint.leave(desk, me.maker or 0, workshop_id)
    return DoneInWords(said="You have left that workshop.")
