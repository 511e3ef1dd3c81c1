"""Passphrases, and the browsers in which somebody is signed in.

Only a server that answers beyond this computer asks for the owner's, or one that several makers
share, each with a number; see `brief.api.lock`. The owner is number 1.

Hashing is Argon2id by the second recommended option of RFC 9106, 4 (64 MiB, 3 passes, 4 lanes),
above the least of OWASP's Password Storage Cheat Sheet (19 MiB, 2 passes, 1 lane). What a
passphrase must be follows NIST SP 800-63B-4, 3.1.1.2: length counts, composition does not.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING

from sqlalchemy import delete

from brief.errors import InputError, NotSignedIn
from brief.store.desk import Desk
from brief.store.records import Passphrase, SignIn, now_utc

if TYPE_CHECKING:
    from argon2 import PasswordHasher

FEWEST_CHARACTERS = 15  # the least where nothing else is asked for, NIST SP 800-63B-4, 3.1.1.2
MOST_CHARACTERS = 200
FEWEST_DIFFERENT = 6  # our own: a word of one or two letters repeated is none
TOKEN_BYTES = 32  # 256 random bits; RFC 6749, 10.10 asks for at least 128
LASTS = timedelta(days=30)
MARK_BYTES = 16

OWNER = 1


@dataclass(frozen=True)
class Opened:
    """Whose passphrase was given, and its hash at that moment."""

    maker: int
    hashed: str


@dataclass(frozen=True)
class Signed:
    """Who is signed in, and at which workshop that browser is; None: at their own."""

    maker: int
    workshop_id: str | None


def has_passphrase(desk: Desk) -> bool:
    """Whether the owner has set a passphrase."""
    return desk.session.get(Passphrase, OWNER) is not None


def set_passphrase(desk: Desk, text: str, maker: int = OWNER) -> None:
    """Keep it, hashed, in the place of any before; wherever they were signed in, they are no more.

    Raises InputError if it is too short, too long or too plain.
    """
    fit = fit_passphrase(text)
    record = desk.session.get(Passphrase, maker) or Passphrase(id=maker)
    record.hashed = _hasher().hash(_bytes(fit))
    desk.session.add(record)
    sign_out_everywhere(desk, maker)


def fit_passphrase(text: str) -> str:
    """The passphrase as it is hashed. Raises InputError if it is none that can be used."""
    fit = _same_everywhere(text)
    if len(fit) < FEWEST_CHARACTERS:
        raise InputError.at(
            "passphrase",
            f"a passphrase has at least {FEWEST_CHARACTERS} characters, and this has {len(fit)}; "
            "three or four unrelated words are easy to remember",
        )
    if len(fit) > MOST_CHARACTERS:
        raise InputError.at(
            "passphrase",
            f"a passphrase has at most {MOST_CHARACTERS} characters, and this has {len(fit)}",
        )
    if len(set(fit)) < FEWEST_DIFFERENT:
        raise InputError.at(
            "passphrase",
            f"this repeats the same few characters; use at least {FEWEST_DIFFERENT} different ones",
        )
    return fit


def opened_by(desk: Desk, text: str, maker: int | None = OWNER) -> Opened | None:
    """What to sign in with if this is the passphrase of that maker; None if it is not, or if there
    is no such maker.

    It takes as long where it is not, or where there is none yet; and 64 MiB, so that whoever lets
    strangers in here has to see that few are at once.
    """
    from argon2.exceptions import VerifyMismatchError

    record = None if maker is None else desk.session.get(Passphrase, maker)
    given = _same_everywhere(text[: 2 * MOST_CHARACTERS])
    try:
        _hasher().verify(record.hashed if record else _nobodys(), _bytes(given))
    except VerifyMismatchError:
        return None
    return Opened(record.id, record.hashed) if record else None


def sign_in(desk: Desk, opened: Opened) -> tuple[str, datetime]:
    """What a browser is to send from now on, and until when.

    opened : of `opened_by`. Raises NotSignedIn if the passphrase was changed since then.
    """
    record = desk.session.get(Passphrase, opened.maker)
    if record is None or record.hashed != opened.hashed:
        raise NotSignedIn("The passphrase was changed at this moment. Sign in with the new one.")
    now = now_utc()
    desk.session.execute(delete(SignIn).where(SignIn.ends_utc <= now))
    token = secrets.token_urlsafe(TOKEN_BYTES)
    desk.session.add(SignIn(token_sha256=_hashed(token), ends_utc=now + LASTS, maker=opened.maker))
    return token, now + LASTS


def mark_of_browser(opened: Opened) -> str:
    """What a browser is to keep, so that it is known again where it has signed in before.

    It opens nothing: it parts the owner from strangers who try passphrases (OWASP, Slow Down Online
    Guessing Attacks with Device Cookies). It is signed with the hash of the passphrase, so that it
    ends with it.

    opened : of `opened_by`.
    """
    name = f"{opened.maker}-{secrets.token_urlsafe(MARK_BYTES)}"
    return f"{name}.{_signed(opened.hashed, name)}"


def is_known(desk: Desk, mark: str, maker: int | None = OWNER) -> bool:
    """Whether `mark` was given to a browser in which that maker signed in with the passphrase as it
    is now. That of another maker parts nobody from strangers: each could have as many as they like.
    """
    name, _, signature = mark.partition(".")
    is_theirs = maker is not None and name.partition("-")[0] == str(maker)
    record = desk.session.get(Passphrase, maker) if is_theirs else None
    return record is not None and hmac.compare_digest(
        _signed(record.hashed, name).encode(), _bytes(signature)
    )


def signed_in(desk: Desk, token: str) -> Signed | None:
    """Whose browser this token is of; None if nobody is signed in there."""
    record = desk.session.get(SignIn, _hashed(token))
    if record is None or record.ends_utc <= now_utc():
        return None
    return Signed(record.maker, record.workshop_id)


def go_to(desk: Desk, token: str, workshop_id: str | None) -> None:
    """Have the browser with this token be at that workshop. Raises NotSignedIn where it is signed
    out meanwhile."""
    record = desk.session.get(SignIn, _hashed(token))
    if record is None:
        raise NotSignedIn("You were signed out at this moment. Sign in again.")
    record.workshop_id = workshop_id


def sign_out_everywhere(desk: Desk, maker: int) -> None:
    """Forget all browsers in which that maker is signed in."""
    desk.session.execute(delete(SignIn).where(SignIn.maker == maker))


def sign_out(desk: Desk, token: str) -> None:
    """Forget the browser with this token."""
    desk.session.execute(delete(SignIn).where(SignIn.token_sha256 == _hashed(token)))


def _signed(hashed: str, name: str) -> str:
    return hmac.new(hashed.encode(), b"browser " + _bytes(name), hashlib.sha256).hexdigest()


def _hashed(token: str) -> str:
    # Of 256 random bits a fast hash is enough; and what is looked up is no secret, so that the
    # time it takes tells nothing.
    return hashlib.sha256(token.encode()).hexdigest()


def _same_everywhere(text: str) -> str:
    """As RFC 8265, 4.2 has it: all spaces alike, NFC, so that every keyboard writes the same."""
    spaced = "".join(" " if unicodedata.category(c) == "Zs" else c for c in text)
    return unicodedata.normalize("NFC", spaced).strip()


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


@cache
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher  # loaded where it is used: most never serve to others
    from argon2.profiles import RFC_9106_LOW_MEMORY

    return PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)


@cache
def _nobodys() -> str:
    """A hash that nothing known opens."""
    return _hasher().hash(secrets.token_urlsafe(TOKEN_BYTES))
