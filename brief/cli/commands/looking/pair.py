"""`brief pair`: whether an inlay stands clear of a timber, from photographs or typed colours."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from pathlib import Path
from typing import Any

from rich.table import Table

from brief.cli.terminal import SCALE, about_chips, chip, console, print_json, shows_chips
from brief.cli.viewing_args import conditions, line_width
from brief.colour import PairVerdict, judge_pair
from brief.colour.notation.notation import parse_colour
from brief.colour.notation.wording import figure, percent, plus_minus
from brief.colour.verdicts.verdict import Seen
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.distance import DISTANCES_M
from brief.colour.viewing.light import DAYLIGHT
from brief.english import capital
from brief.photo import NOT_KNOWN, PAIR_SHARE, Area, PatchSample
from brief.services.common.colour_view import (
    TYPED_UNCERTAINTY,
    ColourView,
    colour_view,
    uncertainty_of,
)
from brief.services.pairing.verdict_views import NO_WIDTH, no_scale, verdict_view
from brief.services.photos.findings import PhotoLook, look_at

CHIP_CELLS = 28
TAKEN_AS_EXACT = "typed, taken as exact"


@dataclass(frozen=True)
class PairSide:
    """The ground or the inlay: what was given, and its colour; `look` if it was a photograph."""

    given: str
    colour: ColourView
    look: PhotoLook | None = None

    @property
    def sample(self) -> PatchSample | None:
        """What was measured of its photograph."""
        return self.look.sample if self.look else None

    @property
    def area(self) -> Area:
        """The part of it that was measured."""
        return self.look.where.area if self.look else Area()

    @property
    def as_shot(self) -> bool:
        """Whether it is a photograph which nothing corrects."""
        return self.look is not None and self.look.settled.correction.kind == "none"

    def lines(self) -> tuple[str, ...]:
        """The side in words, one line for each thing to say."""
        name = Path(self.given).name if self.sample else self.given
        doubt = f"± {figure(self.colour.uncertainty)}"
        if self.sample:
            sure = f"from its photograph, {doubt}"
        else:
            sure = f"a screen’s colour, {doubt}" if self.colour.uncertainty else TAKEN_AS_EXACT
        clipped = "" if self.colour.in_srgb else ", more than a screen shows"
        return name, self.colour.words + clipped, self.colour.hex, self.colour.lab_text, sure


@dataclass(frozen=True)
class PairQuestion:
    """What is asked of a pair, as it was typed; None where nothing was."""

    line_mm: str | None = None
    from_m: str | None = None
    light: str | None = None
    eyes: str | None = None


def print_pair(ground: str, inlay: str, question: PairQuestion, *, as_json: bool) -> None:
    """Judge an inlay in a ground and print the verdict.

    Each is the path of a photograph or a colour as text; raises as `measure_patch`,
    `parse_colour` and `brief.cli.viewing_args` do.
    """
    line_mm = line_width(question.line_mm)
    asked = conditions(question.from_m, question.light, question.eyes)
    below, above = _side(ground), _side(inlay)
    share = PAIR_SHARE if below.as_shot and above.as_shot else 1.0
    verdict = judge_pair(
        below.colour.lab,
        above.colour.lab,
        ground_cells=None if below.sample is None else below.sample.cells,
        uncertainty=share * hypot(below.colour.uncertainty, above.colour.uncertainty),
        photographed=below.sample is not None or above.sample is not None,
        line_mm=line_mm,
        conditions=asked,
    )
    missing = _missing(below, line_mm, asked)
    if as_json:
        print_json(
            {
                "ground": _exactly(below),
                "inlay": _exactly(above),
                "verdict": verdict_view(verdict, missing).model_dump(mode="json"),
            }
        )
    else:
        _show(below, above, verdict, missing)


def _side(given: str) -> PairSide:
    if os.path.exists(given) or _named_like_a_file(given):
        look = look_at(Path(given), Path(given).name)
        return PairSide(given, colour_view(look.sample.lab, look.sample.uncertainty), look)
    uncertainty = uncertainty_of(given, TYPED_UNCERTAINTY)
    return PairSide(given, colour_view(parse_colour(given), uncertainty))


def _where(side: PairSide) -> str:
    """What of its photograph was measured, and by what corrected; empty of a typed colour."""
    if side.look is None:
        return ""
    inside = "inside the outline that was proposed" if side.area.selections else "all over"
    chart = ", the colour chart left out" if side.area.without else ""
    by_chart = "" if side.as_shot else " Its colours were corrected by the chart."
    light = side.look.settled.asked["light"]
    by_file = "" if light == NOT_KNOWN else f" Light, by its file: {light}."
    notes = "".join(f" {note}" for note in side.look.notes)
    return f"{Path(side.given).name} was measured {inside}{chart}.{by_chart}{by_file}{notes}"


def _named_like_a_file(given: str) -> bool:
    """Whether it ends like `.jpg`, so that a misspelt photograph is missed as a photograph."""
    return Path(given).suffix[1:2].isalpha()


def _exactly(side: PairSide) -> dict[str, Any]:
    return {
        "given": side.given,
        "photograph": side.sample is not None,
        "colour": side.colour.model_dump(mode="json"),
        "corrected_by": side.look.settled.correction.kind if side.look else None,
        "spread": None if side.sample is None else side.sample.spread,
        "measured_in": [str(one) for one in side.area.selections],
        "left_out": [list(ring) for ring in side.area.without],
    }


def _missing(ground: PairSide, line_mm: float | None, asked: Sequence[Condition]) -> list[str]:
    """What is not known of the line and of the wood, and what was done about it."""
    missing = []
    if line_mm is None and any(one.distance_m != BENCH.distance_m for one in asked):
        missing.append(NO_WIDTH)
    if ground.sample is not None:
        missing.append(no_scale("Its photograph"))
    return missing


def _show(ground: PairSide, inlay: PairSide, verdict: PairVerdict, missing: Sequence[str]) -> None:
    out = console()
    out.print(verdict.sentence)
    half = min(CHIP_CELLS, out.width // 2)
    if shows_chips(out):
        chips = Table.grid()
        chips.add_row(*(chip(side.colour, half, rows=3) for side in (ground, inlay)))
        out.print(chips)
    words = Table.grid()
    words.add_column(width=half)
    for of_ground, of_inlay in zip(ground.lines(), inlay.lines(), strict=True):
        words.add_row(of_ground, of_inlay)
    out.print(words)
    elsewhere = [_elsewhere(one) for one in verdict.seen[1:]]
    where = [_where(ground), _where(inlay)]
    lines = [*where, *_figures(verdict), *elsewhere, *missing, about_chips(out)]
    for line in filter(None, lines):
        out.print(line)


def _figures(verdict: PairVerdict) -> list[str]:
    bench = verdict.bench
    apart, harmony = bench.difference, bench.harmony
    lines = [
        f"Difference: {plus_minus(apart.total, bench.uncertainty)} ({SCALE}).",
        f"As seen: contrast {plus_minus(bench.seen, bench.seen_uncertainty)}; in this wood a line "
        f"needs {bench.found:.1f} to be found and {bench.needed:.1f} to stand out.",
        f"Made of: lightness {apart.lightness:+.1f}, strength of colour {apart.chroma:+.1f}, "
        f"hue {apart.hue:+.1f}.",
    ]
    if bench.grain is not None and bench.drowned_share is not None:
        lines.append(
            f"The wood varies by {bench.grain:.1f} along such a line; "
            f"{percent(bench.drowned_share)} of it is close to the inlay’s colour."
        )
    lines.append(
        f"Harmony: {harmony.total:+.2f} by a formula for plain patches on a screen (Ou and "
        "Luo, 2006). Use it to rank your own pairs, not as a mark."
    )
    return lines


def _elsewhere(one: Seen) -> str:
    """One condition in words, with its figures."""
    words = one.condition.words
    said = [
        f"{capital(words)} it {one.does}: "
        f"contrast {plus_minus(one.seen, one.seen_uncertainty)} of the {one.needed:.1f} needed to "
        "stand out."
    ]
    lit = one.condition.light
    if lit != DAYLIGHT:
        kind = "" if lit.words in words else f" ({lit.words})"
        said.append(f"The effect of that light{kind} is known to ± {lit.uncertainty:.1f}.")
    if one.names_colour is False:
        said.append("From there you see it as lighter or darker, without a colour.")
    if one.width_to_read is not None:
        said.append(f"A line would read there from {one.width_to_read:.1f} mm wide.")
    if one.distance_to_read is not None:
        more = " or more" if one.distance_to_read >= DISTANCES_M[1] else ""
        said.append(f"This one reads up to {one.distance_to_read:.1f} m{more} away.")
    return " ".join(said)
