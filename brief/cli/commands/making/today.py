"""`brief today`: how each brief stands, or one of them."""

from __future__ import annotations

from pathlib import Path

from brief.cli.find_brief import called, opened
from brief.cli.terminal import print_json
from brief.services import nouns
from brief.services.common.formatting import day
from brief.services.today import TodayView, today


def print_today(home: Path | None, wanted: str, *, as_json: bool) -> None:
    """Print how each brief stands; `wanted`, as `called` has it, narrows it to one."""
    with opened(home) as store, store.desk() as desk:
        briefs = nouns.briefs.page(desk)
        views = [today(desk, one) for one in ([called(briefs, wanted)] if wanted else briefs)]
    if as_json:
        print_json({"items": [one.model_dump(mode="json") for one in views]})
        return
    if not views:
        print("Nothing on the shelf yet. Begin a brief: brief serve")
    for number, one in enumerate(views):
        _print_one(one, first=not number)


def _print_one(one: TodayView, *, first: bool) -> None:
    if not first:
        print()
    print(one.title)
    print(f"  {one.word}: {one.because}")
    if one.next:
        begin = "today" if one.next.begin == one.today else day(one.next.begin)
        print(f"  Next: {one.next.name}, {begin}")
    for open_ in one.open:
        print(f"  {open_.label}: {open_.words}")
