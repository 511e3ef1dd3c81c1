"""`brief stock` of an address: a table that names photographs by theirs, or a zip of them."""

from __future__ import annotations

import time
from pathlib import Path

from brief.cli.commands.keeping.stock import (
    ProgressLine,
    StockAsked,
    asked_stock,
    crew_of,
    stock_of,
    tell,
    without_a_file,
)
from brief.cli.find_brief import opened
from brief.errors import InputError
from brief.services.stock.filling.details import read_details
from brief.services.stock.filling.fetching import WebPlace
from brief.services.stock.filling.filling import matched
from brief.services.stock.filling.from_address import (
    fetched,
    fill_from_listing,
    fill_from_zip,
    listing_of,
)
from brief.services.stock.filling.unpacking import members_of


def fetch_stock(home: Path | None, url: str, asked: StockAsked, *, as_json: bool) -> int:
    """Fetch and measure what is at an address, and say what came of each file; 0 if all were
    measured, otherwise 1.

    Raises InputError for what cannot be done, and then nothing is measured.
    """
    at_work = crew_of(asked)
    asked_stock(asked)
    said = read_details(asked.table, asked.currency) if asked.table else {}
    started = time.monotonic()
    with fetched(url) as (at, file, is_zip):
        if is_zip:
            names = [*members_of(file)[0]]
            details, listing = matched(names, said), None
        elif asked.table:
            raise InputError("there is a table at that address; --table goes with a zip")
        else:
            listing = listing_of(file, at, asked.currency)
            names = [*listing.photographs, *listing.refused]
        with at_work as crew, opened(home) as store:
            with store.desk(writing=True) as desk:
                stock_id = stock_of(desk, asked)
            with ProgressLine(len(names)) as progress:
                if listing is None:
                    filled = fill_from_zip(
                        store,
                        stock_id,
                        file,
                        details,
                        crew=crew,
                        keep=asked.keep,
                        told=progress.told,
                    )
                else:
                    filled = fill_from_listing(
                        store,
                        stock_id,
                        listing,
                        WebPlace.of(url),
                        crew=crew,
                        keep=asked.keep,
                        told=progress.told,
                    )
    unmatched = without_a_file(said, names)
    took_s = time.monotonic() - started
    return tell(asked.name, stock_id, filled.looked_at, filled, unmatched, took_s, as_json=as_json)
