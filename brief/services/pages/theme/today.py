"""The Today sheet: all of a brief in one glance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.errors import InputError
from brief.services.pages.run_up.run_up import run_up_pictures
from brief.services.pairing.view_settings import Shown
from brief.services.run_up.expected import expected
from brief.services.spec.strand import Strand
from brief.services.spec.strands import own_strands
from brief.services.today import TodayView, today
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class TodaySheet:
    """time : the run-up as a picture, wide and narrow, SVG; none without stages. motifs : the
    strands of the theme, to be shown small.
    """

    now: TodayView
    time: Sequence[str]
    motifs: Sequence[Strand]


def today_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[TodaySheet]:
    """What the Today sheet shows."""
    now = today(desk, brief)
    try:
        found = expected(desk, brief, now.today)
        time = run_up_pictures(found, f"{now.word}: {now.because}", brief.opens_on, "today")
    except InputError:  # which the head of the page says
        time = []
    strands = own_strands(desk, brief, shown.switches.state, suggest=False)
    return (TodaySheet(now, time, strands.strands),)
