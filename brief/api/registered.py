"""Who a request comes from and what it may reach, where several makers share the server."""

from typing import Annotated

from fastapi import Depends, Path, Request
from pydantic import BaseModel

from brief.api.desks import visit_of
from brief.api.house import House, Visit
from brief.errors import NotFound, NotSignedIn
from brief.services.sharing import owner
from brief.store.desk import Store


class DoneInWords(BaseModel):
    """What was done, in words."""

    said: str


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
