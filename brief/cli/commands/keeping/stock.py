"""`brief stock`: measures a folder of photographs into a stock."""

from __future__ import annotations

import os
import sys
import time
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from brief.cli.find_brief import opened
from brief.cli.terminal import FOUND, print_json
from brief.crew.crew import Crew
from brief.crew.processes import Processes
from brief.english import agree, number_of
from brief.errors import CrewLost, InputError, quoted
from brief.services.stock.filling.details import Details, read_details
from brief.services.stock.filling.filling import Filled, files_in, fill, matched
from brief.services.stock.stocks import StockDraft, stocks
from brief.settings import Settings
from brief.store.desk import Desk

MOST_PROCESSES = 64
TOLD_EVERY_S = 2.0


@dataclass(frozen=True)
class StockAsked:
    """What was asked of `brief stock`, as it was typed; None for what was left out."""

    name: str
    source: str | None = None
    stuff: str | None = None
    table: Path | None = None
    currency: str = "EUR"
    processes: int | str | None = None
    scheduler: str | None = None
    keep: bool = False


def fill_stock(home: Path | None, folder: Path, asked: StockAsked, *, as_json: bool) -> int:
    """Measure a folder and say what came of each file; 0 if all were measured, otherwise 1.

    Raises InputError for what cannot be done, and then nothing is measured.
    """
    at_work = crew_of(asked)
    files = files_in(folder, [asked.table] if asked.table else [])
    said = read_details(asked.table, asked.currency) if asked.table else {}
    details = matched(files, said)
    started = time.monotonic()
    with at_work as crew, opened(home) as store:
        with store.desk(writing=True) as desk:
            stock_id = stock_of(desk, asked)
        with ProgressLine(len(files)) as progress:
            filled = fill(
                store,
                stock_id,
                folder,
                files,
                details,
                crew=crew,
                keep=asked.keep,
                told=progress.told,
            )
    unmatched = without_a_file(said, files)
    took_s = time.monotonic() - started
    return tell(asked.name, stock_id, len(files), filled, unmatched, took_s, as_json=as_json)


def tell(
    name: str,
    stock_id: str,
    files: int,
    filled: Filled,
    unmatched: list[str],
    took_s: float,
    *,
    as_json: bool,
) -> int:
    """Say what came of each file; 0 if all were measured, otherwise 1.

    unmatched : the photographs that a table names and that are not there.
    """
    if as_json:
        print_json(
            {
                "stock": stock_id,
                "files": files,
                "measured": filled.measured,
                "known": filled.known,
                "twice": filled.twice,
                "failed": filled.failed,
                "without_a_file": unmatched,
            }
        )
    else:
        _say(name, filled, unmatched, took_s)
    return FOUND if filled.failed or unmatched else 0


def crew_of(asked: StockAsked) -> AbstractContextManager[Crew]:
    """Those who measure. Raises InputError for what cannot be."""
    scheduler = Settings().scheduler if asked.scheduler is None else asked.scheduler
    if asked.processes is None and scheduler:
        from brief.crew.cluster import cluster, safe_address

        safe_address(scheduler)
        return cluster(scheduler)
    if asked.scheduler:
        raise InputError("use --processes or --scheduler, not both: a cluster has its own")
    return nullcontext(Processes(_processes(asked.processes)))


def _processes(asked: int | str | None) -> int:
    if asked is None:
        return min(os.cpu_count() or 1, MOST_PROCESSES)
    if not isinstance(asked, int) or not 1 <= asked <= MOST_PROCESSES:
        raise InputError(f"--processes must be 1 to {MOST_PROCESSES}; got {quoted(asked)}")
    return asked


def stock_of(desk: Desk, asked: StockAsked) -> str:
    """The id of the stock of that name, which is made where there is none. Raises InputError for
    what is asked of it and cannot be.
    """
    draft, fields = asked_stock(asked)
    there = stocks.called(desk, draft.name)
    if there is None:
        return stocks.add(desk, draft).id
    if any(getattr(there, name) != value for name, value in fields.items()):
        stocks.change(desk, there.id, "*", stocks.change_model.model_validate(fields))
    return there.id


def asked_stock(asked: StockAsked) -> tuple[StockDraft, dict[str, str]]:
    """The stock asked for, and what was said of it beside its name; errors as `stock_of`."""
    told = {"source": asked.source, "stuff": asked.stuff}
    fields = {name: value for name, value in told.items() if value is not None}
    try:
        return StockDraft.model_validate({"name": asked.name, **fields}), fields
    except ValidationError as exc:
        first = exc.errors()[0]
        raise InputError(f"--{_flag(first['loc'][0])}: {first['msg']}") from exc


def _flag(field: object) -> str:
    return "kind" if field == "stuff" else str(field)


def without_a_file(said: dict[str, Details], files: list[str]) -> list[str]:
    """The photographs that the table names and the folder lacks."""
    there = {*files, *(file.rpartition("/")[2] for file in files)}
    return [name for name in said if name.replace("\\", "/") not in there]


class ProgressLine:
    """One line on the terminal that is written over; nothing where nobody watches."""

    def __init__(self, files: int) -> None:
        self._files, self._last, self._shown = files, 0.0, False

    def __enter__(self) -> ProgressLine:
        return self

    def told(self, filled: Filled) -> None:
        """Say how far it is, every now and then."""
        now = time.monotonic()
        if not sys.stderr.isatty() or now - self._last < TOLD_EVERY_S:
            return
        self._last, self._shown = now, True
        done = f"{filled.looked_at:,} of {self._files:,}"
        print(f"\r{done}, {len(filled.failed):,} not measured", end="", file=sys.stderr, flush=True)

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if self._shown:
            print(file=sys.stderr)
        if kind in (KeyboardInterrupt, CrewLost):
            print(
                "brief: stopped; what was measured is kept. Say the same again to go on.",
                file=sys.stderr,
            )


def _say(name: str, filled: Filled, unmatched: list[str], took_s: float) -> None:
    print(f"“{name}”: {number_of(filled.measured, 'board')} measured in {took_s:.0f} s.")
    if filled.known:
        print(f"{number_of(filled.known, 'board')} {_were(filled.known)} measured before.")
    for file, first in filled.twice.items():
        print(f"{file}: the same photograph as {first}; it counts once.")
    if filled.failed:
        print(f"{number_of(len(filled.failed), 'file')} could not be measured:")
        for file, reason in sorted(filled.failed.items()):
            print(f"  {file}: {reason}")
    for file in unmatched:
        print(f"{file}: in the table, but not in the folder.")


def _were(count: int) -> str:
    return agree(count, "was", "were")
