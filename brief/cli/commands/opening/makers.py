"""Several makers on one server, seen to in the terminal of the computer that it runs on."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

from brief.cli.commands.opening.passphrase import need_passphrase
from brief.cli.find_brief import opened
from brief.cli.terminal import console
from brief.errors import Conflict, InputError
from brief.services.makers import invitations, register
from brief.store.register import OWN


def open_to_others(home: Path | None, name: str) -> None:
    """Have other makers be invited from now on; the owner is called that. Raises InputError,
    Conflict, StoreError; asks for the owner's passphrase where there is none.
    """
    with opened(home) as store:
        with store.desk() as desk:
            if register.is_shared(desk):
                raise Conflict("it is open to others already; see who is here with: brief makers")
            register.fit_name(desk, name)
        need_passphrase(store)
        with store.desk(writing=True) as desk:
            called = register.open_to_others(desk, name).name
    console().print(
        f"You are {called} here, and everything stays where it is. Start the server anew, and "
        "invite others on its page Makers here. Each maker has a shelf and a rack of their own.",
        soft_wrap=True,
    )


def invite(home: Path | None, name: str, *, organises: bool) -> None:
    """Print what to send to somebody who is to be a maker here, or to one who forgot their
    passphrase. Raises InputError, StoreError.
    """
    with opened(home) as store, store.desk(writing=True) as desk:
        if not register.is_shared(desk):
            raise InputError(
                "one maker has this server; open it to others first: brief makers --open NAME"
            )
        number = register.numbered(desk, name)
        asked = f"name={quote(name)}" if number is None else "again=1"
        token = (
            invitations.invite(desk, name, organises=organises)
            if number is None
            else invitations.invite_again(desk, number)
        )
    console().print(
        f"Once, for {invitations.LASTS.days} days: the address of your server, then\n"
        f"/join?{asked}#{token}",
        soft_wrap=True,
    )


def listed(home: Path | None) -> None:
    """Print who is here. Raises StoreError."""
    with opened(home) as store, store.desk() as desk:
        everybody = register.everybody(desk)
        for one in everybody:
            told = [
                "owner of the server" if one.workshop_id == OWN else "",
                "organises" if one.organises else "",
                "shut out" if one.shut_out_utc else "",
                f"workshop {one.workshop_id}" if one.workshop_id != OWN else "",
            ]
            console().print(f"{one.name}: {', '.join(filter(None, told))}", soft_wrap=True)
    if not everybody:
        console().print("One maker has this server. To open it to others: brief makers --open NAME")
