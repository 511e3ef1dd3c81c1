"""`brief run-up`: whether an instrument will be ready in time, what is next, and its days."""

from __future__ import annotations

from pathlib import Path

from brief.cli.find_brief import called, opened
from brief.cli.terminal import print_json
from brief.cli.writing import write_file
from brief.services import nouns
from brief.services.common.formatting import day
from brief.services.run_up.expected import RunUpView, TurnView, calendar, run_up


def print_run_up(home: Path | None, wanted: str, out: Path | None, *, as_json: bool) -> None:
    """Print a brief's run-up, the stages in the order of work; write it to `out` as iCalendar.

    wanted : as `called` has it. Raises InputError for what cannot be worked out, or if `out` cannot
    be written.
    """
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        view = run_up(desk, brief)
        days = calendar(desk, brief) if out else ""
    if out:
        write_file(out, days.encode())
    if as_json:
        print_json(view.model_dump(mode="json"))
        return
    print(view.sentence)
    if not view.turns:
        print("Start on the sheet Run-up: it has the usual stages for this instrument.")
        return
    _print_ready(view)
    for number, turn in enumerate(view.turns, 1):
        print(f"{number:3} {_line(turn)}")
    if out:
        print(out)


def _print_ready(view: RunUpView) -> None:
    ready = ((50, view.ready_50), (80, view.ready_80), (95, view.ready_95))
    print("Ready: " + "; ".join(f"{day(on)}, {level} % sure" for level, on in ready) + ".")
    print(f"{view.hours_left:.0f} h left at the bench.")


def _line(turn: TurnView) -> str:
    if turn.done:
        return f"{turn.name}: done {day(turn.begin)}"
    line = f"{turn.name}: {day(turn.begin)}"
    if turn.latest is None or turn.slack_days is None:
        return line
    if turn.slack_days < 0:
        return f"{line}, should have begun {day(turn.latest)}"
    spare = f"at the latest {day(turn.latest)}" if turn.slack_days else "no day to spare"
    return f"{line}, {spare}"
