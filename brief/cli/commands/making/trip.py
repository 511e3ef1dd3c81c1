"""`brief trip`: when it leaves, what is open, what is still to pack, and what the stand needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from brief.cli.find_brief import called, opened
from brief.cli.terminal import print_json
from brief.cli.writing import write_file
from brief.english import words
from brief.errors import InputError, quoted
from brief.services import nouns
from brief.services.common.noun import etag_of
from brief.services.outputs.stand_papers import caption_pdf, price_list_pdf
from brief.services.trip.itinerary.times import timed
from brief.services.trip.packing_list import ThingToPackView, unpacked_words
from brief.services.trip.trip import TripView, trip_of
from brief.store.desk import Desk
from brief.store.records import Brief, ThingToPack

MOST_NAMED = 5


def print_trip(
    home: Path | None,
    wanted: str,
    *,
    packed: str | None,
    caption: Path | None,
    prices: Path | None,
    as_json: bool,
) -> None:
    """Print a brief's trip in the order of time; tick one thing to pack; write the stand's papers.

    wanted : as `called` has it. packed : how the name of a thing begins. Raises InputError for a
    thing that is not on the list, or is there twice, or a file that cannot be written.
    """
    with opened(home) as store, store.desk(writing=packed is not None) as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        ticked = None if packed is None else _tick(desk, brief, packed)
        papers = [(caption, caption_pdf(desk, brief.id, "A5"))] if caption else []
        papers += [(prices, price_list_pdf(desk, brief.id, "A4"))] if prices else []
        view = trip_of(desk, brief)
        lines = [
            f"{one.view.words}: {one.name}{'' if one.view.booked else ' (open)'}"
            for one in timed(desk, brief)
        ]
        things = nouns.things_to_pack.show_all(
            desk, nouns.things_to_pack.page(desk, brief_id=brief.id)
        )
    for file, data in papers:
        write_file(file, data)
    if as_json:
        print_json(view.model_dump(mode="json"))
        return
    if ticked is not None:
        print(f"Packed: {ticked}.")
    _print(view, lines, things)
    for file, _ in papers:
        print(file)


def _print(view: TripView, lines: Sequence[str], things: Sequence[ThingToPackView]) -> None:
    print(view.sentence)
    if not lines:
        print("Begin on the sheet Trip.")
    for line in lines:
        print(f"  {line}")
    for warning in view.warnings:
        print(f"! {warning}")
    if things:
        print(f"Packing: {unpacked_words(things)}.")
        for one in things:
            print(f"  [{'x' if one.packed else ' '}] {one.name}")


def _tick(desk: Desk, brief: Brief, wanted: str) -> str:
    """Say that the thing whose name begins so is packed; its name."""
    things = nouns.things_to_pack.page(desk, brief_id=brief.id)
    start = wanted.casefold().strip()
    found = [one for one in things if start and one.name.casefold().startswith(start)]
    if len(found) != 1:
        raise InputError(_which(wanted, found or things, many=bool(found)))
    fields = {"packed": True}
    change = nouns.things_to_pack.change_model(**fields)
    nouns.things_to_pack.change(desk, found[0].id, etag_of(found[0]), change)
    return found[0].name


def _which(wanted: str, those: Sequence[ThingToPack], *, many: bool) -> str:
    named = words([f"“{one.name}”" for one in those[:MOST_NAMED]])
    if many:
        return f"{quoted(wanted)} begins several things on the list: {named}. Write more of one."
    on_it = f"On it: {named}." if those else "It is empty; begin it on the sheet Trip."
    return f"nothing on the packing list begins with {quoted(wanted)}. {on_it}"
