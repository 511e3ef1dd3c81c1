"""`brief pair`: whether an inlay stands clear of a timber, from photographs or typed colours."""

from __future__ import annotations

import os
from dataclasses import dataclass
from math import hypot
from pathlib import Path
from typing import Any

from rich.table import Table

from brief.cli.terminal import SCALE, about_chips, chip, console, print_json, shows_chips
from brief.colour import PairVerdict, judge_pair
from brief.colour.notation import parse_colour
from brief.colour.words import figure, plus_minus
from brief.photo import PatchSample, measure_patch
from brief.services.colours import TYPED_UNCERTAINTY, ColourView, colour_view
from brief.services.pairings import verdict_view

CHIP_CELLS = 28


@dataclass(frozen=True)
class Side:
    """The ground or the inlay: what was given, and its colour; `sample` if it was a photograph."""

    given: str
    colour: ColourView
    sample: PatchSample | None

    def lines(self) -> tuple[str, ...]:
        name = Path(self.given).name if self.sample else self.given
        sure = (
            f"from its photograph, ± {figure(self.colour.uncertainty)}"
            if self.sample
            else "typed, taken as exact"
        )
        clipped = "" if self.colour.in_srgb else ", more than a screen shows"
        return name, self.colour.words + clipped, self.colour.hex, self.colour.lab_text, sure


def print_pair(ground: str, inlay: str, *, as_json: bool) -> None:
    """Judge an inlay in a ground and print the verdict.

    Each is the path of a photograph or a colour as text; raises as `measure_patch` and
    `parse_colour` do.
    """
    below, above = _side(ground), _side(inlay)
    verdict = judge_pair(
        below.colour.lab,
        above.colour.lab,
        ground_cells=None if below.sample is None else below.sample.cells,
        uncertainty=hypot(below.colour.uncertainty, above.colour.uncertainty),
        photographed=below.sample is not None or above.sample is not None,
    )
    if as_json:
        print_json(
            {
                "ground": _exactly(below),
                "inlay": _exactly(above),
                "verdict": verdict_view(verdict).model_dump(mode="json"),
            }
        )
    else:
        _show(below, above, verdict)


def _side(given: str) -> Side:
    if os.path.exists(given) or _named_like_a_file(given):
        sample = measure_patch(Path(given))
        return Side(given, colour_view(sample.lab, sample.uncertainty), sample)
    return Side(given, colour_view(parse_colour(given), TYPED_UNCERTAINTY), None)


def _named_like_a_file(given: str) -> bool:
    """Whether it ends like `.jpg`, so that a misspelt photograph is missed as a photograph."""
    return Path(given).suffix[1:2].isalpha()


def _exactly(side: Side) -> dict[str, Any]:
    return {
        "given": side.given,
        "photograph": side.sample is not None,
        "colour": side.colour.model_dump(mode="json"),
        "spread": None if side.sample is None else side.sample.spread,
    }


def _show(ground: Side, inlay: Side, verdict: PairVerdict) -> None:
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
    for line in filter(None, [*_figures(verdict), about_chips(out)]):
        out.print(line)


def _figures(verdict: PairVerdict) -> list[str]:
    bench = verdict.bench
    apart, harmony = bench.difference, bench.harmony
    lines = [
        f"Difference: {plus_minus(apart.total, bench.uncertainty)}, and it takes "
        f"{figure(bench.needed, bench.uncertainty)} ({SCALE}).",
        f"Made of: lightness {apart.lightness:+.1f}, strength of colour {apart.chroma:+.1f}, "
        f"hue {apart.hue:+.1f}.",
    ]
    if bench.grain is not None and bench.drowned_share is not None:
        lines.append(
            f"Grain: {bench.grain:.1f} about the timber's own colour; "
            f"{bench.drowned_share:.0%} of it comes near the inlay."
        )
    lines.append(
        f"Harmony: {harmony.total:+.2f} by a formula made for plain patches on a screen (Ou and "
        "Luo, 2006): to rank pairs of your own by, not a mark."
    )
    return lines
