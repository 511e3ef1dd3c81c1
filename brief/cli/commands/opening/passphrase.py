"""The owner's passphrase, asked for in the terminal."""

from __future__ import annotations

import getpass
import os
import sys
from pathlib import Path

from brief.cli.terminal import console
from brief.errors import InputError
from brief.services.sharing import owner
from brief.settings import Settings, settings_at
from brief.store.desk import Store

VARIABLE = "BRIEF_PASSPHRASE"


def change_passphrase(home: Path | None) -> None:
    """Set a new passphrase, or the first one. Raises InputError, StoreError."""
    settings = settings_at(home)
    store = Store(settings.home, settings.url, settings.bucket)
    try:
        _keep(store, os.environ.get(VARIABLE) or _asked())
    finally:
        store.close()
    console().print(
        f"The passphrase of {settings.home.resolve()} is set. Whoever was signed in has to sign in "
        "again.",
        soft_wrap=True,
    )


def how_to_change(home: Path) -> str:
    """The command that changes the passphrase of that folder."""
    return "brief passphrase" + ("" if home == Settings().home else f' --home "{home}"')


def need_passphrase(store: Store) -> None:
    """Ask for a passphrase if there is none yet.

    Raises InputError if there is nobody to ask, or it cannot be used.
    """
    given = os.environ.get(VARIABLE)
    with store.desk() as desk:
        if owner.has_passphrase(desk):
            if given and owner.opened_by(desk, given) is None:
                console().print(
                    f"{VARIABLE} is not the passphrase that these briefs have; theirs counts. To "
                    f"change it: {how_to_change(store.home)}",
                    soft_wrap=True,
                )
            return
    _keep(store, given or _asked())


def _keep(store: Store, passphrase: str) -> None:
    with store.desk(writing=True) as desk:
        owner.set_passphrase(desk, passphrase)


def _asked() -> str:
    """Typed twice, unseen; asked again while it cannot be used."""
    if not sys.stdin.isatty():
        raise InputError.at(
            "passphrase",
            f"there is no terminal to type a passphrase in; set it in {VARIABLE} for the first "
            "start",
        )
    console().print(
        "Choose a passphrase, with which you alone open your briefs from another device: at least "
        f"{owner.FEWEST_CHARACTERS} characters, such as three or four words that do not belong "
        "together.",
        soft_wrap=True,
    )
    while True:
        typed = getpass.getpass("Passphrase (it does not show): ")
        try:
            owner.fit_passphrase(typed)
        except InputError as exc:
            console().print(f"Not this one: {exc}.", soft_wrap=True)
            continue
        if getpass.getpass("The same again: ") == typed:
            return typed
        console().print("The two were not the same. Once more.")
