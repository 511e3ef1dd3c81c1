"""Filling a stock from an address: of a table that names photographs by theirs, or of a zip."""

from __future__ import annotations

import hashlib
import re
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Event
from typing import IO

from sqlalchemy import select

from brief.crew.crew import Crew
from brief.errors import InputError
from brief.photo import MAX_BYTES
from brief.services.stock.filling.details import Details, details_of
from brief.services.stock.filling.fetching import Unfetched, WebPlace, fetch
from brief.services.stock.filling.filling import Filled, fill, say_of_kept
from brief.services.stock.filling.rows import MOST_BYTES
from brief.services.stock.filling.unpacking import ZIP, members_of, unpacked
from brief.store.desk import Store
from brief.store.records import Board

AT_ONCE = 100  # photographs on the disk before they are measured
FETCHING = 4  # at once: a shop's server is not pressed
PHOTOGRAPH_S, ZIP_S = 120.0, 3600.0  # seconds for one; a zip may be large
MOST_ZIP = 4 * 2**30  # bytes


@dataclass(frozen=True)
class AddressListing:
    """What is at an address. photographs : where each is, by the name that a stock knows it by.
    details : what is said of each, by that name. refused : those that have no address, and why.
    """

    photographs: Mapping[str, WebPlace]
    details: Mapping[str, Details]
    refused: Mapping[str, str]


@contextmanager
def fetched(url: str) -> Iterator[tuple[WebPlace, IO[bytes], bool]]:
    """What is at the address that the owner typed, where it was at last, and whether it is a zip.

    Raises InputError, which names the address, if it does not come.
    """
    with tempfile.TemporaryFile() as file:
        try:
            typed = WebPlace.of(url)
            at = fetch(typed, file, typed=typed, most=MOST_ZIP, within_s=ZIP_S)
        except Unfetched as exc:
            raise InputError(f"nothing was read from that address: {exc}") from exc
        file.seek(0)
        is_zip = file.read(len(ZIP)) == ZIP
        file.seek(0)
        yield at, file, is_zip


def listing_of(file: IO[bytes], at: WebPlace, currency: str) -> AddressListing:
    """The table of photographs that came from an address, as `brief stock --table` takes it, whose
    column “file” has addresses, whole or from the table's own. Raises InputError as that does.
    """
    data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise InputError(f"the table there is larger than {MOST_BYTES // 2**20} MB")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as exc:
        raise InputError("what is there is neither a zip nor a table in UTF-8 (CSV)") from exc
    photographs: dict[str, WebPlace] = {}
    details: dict[str, Details] = {}
    refused: dict[str, str] = {}
    for address, said in details_of(text, "the table there", currency).items():
        try:
            place = at.joined(address)
        except Unfetched as exc:
            refused[address] = f"{exc}."
            continue
        name = name_of(place)
        if name in photographs:
            refused[address] = "The table names this address before, in another way."
            continue
        photographs[name], details[name] = place, said
    return AddressListing(photographs, details, refused)


def name_of(place: WebPlace) -> str:
    """What a photograph at an address is called in a stock, and on the disk before that.

    >>> name_of(WebPlace.of("https://example.org/loft/set%2012.jpg?large"))
    'example.org/b1bf107f/set_2012.jpg'
    """
    last = re.sub(r"[^\w.-]+", "_", place.path.partition("?")[0].rpartition("/")[2])
    told = hashlib.sha256(f"{place.scheme}:{place.at}{place.path}".encode()).hexdigest()[:8]
    host = re.sub(r"[^\w.-]", ".", place.at[0])
    return f"{host}/{told}/{last.strip('.')[-100:] or 'photograph'}"


def fill_from_listing(
    store: Store,
    stock_id: str,
    listing: AddressListing,
    typed: WebPlace,
    *,
    crew: Crew,
    keep: bool = False,
    told: Callable[[Filled], None] = lambda _: None,
) -> Filled:
    """As `fill`, of photographs that are fetched some at a time. One that the stock has by its
    address is not fetched again.
    """
    with store.desk() as desk:
        kept = select(Board.file).where(Board.stock_id == stock_id)
        there = set(desk.session.scalars(kept.where(Board.image_sha256.is_not(None))))
    known = [name for name in listing.photographs if name in there]
    say_of_kept(store, stock_id, {name: listing.details[name] for name in known})
    filled = Filled(known=len(known), failed=dict(listing.refused))
    names = [name for name in listing.photographs if name not in there]
    for some in in_turns(names):
        with tempfile.TemporaryDirectory(prefix="brief-stock-") as made:
            folder = Path(made)
            reasons = _fetch_all({name: listing.photographs[name] for name in some}, folder, typed)
            filled.failed |= {listing.photographs[name].url: why for name, why in reasons.items()}
            came = [name for name in some if name not in reasons]
            more = fill(store, stock_id, folder, came, listing.details, crew=crew, keep=keep)
            filled.add(more, {name: listing.photographs[name].url for name in came})
            told(filled)
    return filled


def fill_from_zip(
    store: Store,
    stock_id: str,
    file: IO[bytes],
    details: Mapping[str, Details],
    *,
    crew: Crew,
    keep: bool = False,
    told: Callable[[Filled], None] = lambda _: None,
) -> Filled:
    """As `fill`, of the photographs in a zip, which are unpacked some at a time."""
    members, refused = members_of(file)
    filled = Filled(failed=dict(refused))
    for some in in_turns([*members]):
        with tempfile.TemporaryDirectory(prefix="brief-stock-") as made:
            folder = Path(made)
            reasons = unpacked(file, {name: members[name] for name in some}, folder)
            filled.failed |= reasons
            came = [name for name in some if name not in reasons]
            filled.add(fill(store, stock_id, folder, came, details, crew=crew, keep=keep), {})
            told(filled)
    return filled


def in_turns(names: Sequence[str]) -> Iterator[Sequence[str]]:
    """So many as are on the disk at once."""
    for start in range(0, len(names), AT_ONCE):
        yield names[start : start + AT_ONCE]


def _fetch_all(places: Mapping[str, WebPlace], folder: Path, typed: WebPlace) -> dict[str, str]:
    """Fetch each into its file; the reasons of those that did not come."""
    stop = Event()

    def one(name: str) -> str:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with path.open("wb") as file:
                fetch(
                    places[name],
                    file,
                    typed=typed,
                    most=MAX_BYTES,
                    within_s=PHOTOGRAPH_S,
                    stop=stop,
                )
        except Unfetched as exc:
            return f"It was not fetched: {exc}."
        return ""

    with ThreadPoolExecutor(FETCHING) as pool:
        try:
            reasons = [*zip(places, pool.map(one, places), strict=True)]
        finally:
            stop.set()
            pool.shutdown(wait=False, cancel_futures=True)
    return {name: reason for name, reason in reasons if reason}
