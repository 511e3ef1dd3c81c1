"""The tables of the sheets: frets, strings at the nut and at the bridge, and lists of any numbers.

Each is drawn as one block, so that no page cuts it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress

from brief.errors import InputError
from brief.instrument.curve import Point
from brief.instrument.frets.fret_lines import fanned_table, lean
from brief.instrument.frets.string_spacing import equal_gaps, string_places
from brief.instrument.outline.outlines import saddle_y
from brief.instrument.plans.draughting import Draughting
from brief.instrument.plans.plan import Block, Shape
from brief.instrument.presets import Preset

ROW_MM, BESIDE_MM = 5.4, 10.0
PIN_MM, PIN_BEHIND_MM = 5.0, 9.0  # a bridge pin, and behind the saddle: common practice, no source


def table(
    drawn: Draughting,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    at: Point,
    *,
    rights: Sequence[float],
    foot: Sequence[str] = (),
) -> float:
    """Columns that end at `rights` from `at`, mm, under their heads; sentences below.

    Returns where the next thing may stand.
    """
    ends = rights[: len(heads)]
    high, shapes = _columns(heads, rows, at, ends, foot, 1)
    beside = _columns(heads, rows, at, ends, foot, 2)[1]
    drawn.blocks.append(Block(shapes, (beside,)))
    return at[1] + high


def _columns(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    at: Point,
    ends: Sequence[float],
    foot: Sequence[str],
    parts: int,
) -> tuple[float, tuple[Shape, ...]]:
    """How high a table is whose rows stand in so many parts beside each other, and the table."""
    drawn, each = Draughting(), math.ceil(len(rows) / parts)
    for part in range(parts):
        left = at[0] + part * (ends[-1] + BESIDE_MM)
        for i, cells in enumerate([heads, *rows[part * each : (part + 1) * each]]):
            for column, (right, cell) in enumerate(zip(ends, cells, strict=True)):
                place, size = (left + right, at[1] + ROW_MM * i), 3.2 if i else 2.4
                drawn.words(place, cell, size, "end", (i, column))
        drawn.line("dimensions", (left, at[1] + 1.5), (left + ends[-1], at[1] + 1.5))
    low = ROW_MM * (each + 1)
    for i, said in enumerate(foot):
        drawn.words((at[0], at[1] + low + 3.6 * i), said, 2.4)
    return low + 3.6 * len(foot) + 4, tuple(drawn.shapes)


def fret_table(drawn: Draughting, preset: Preset, at: Point) -> float:
    """Fret, its place from the nut, and the length of its slot; along both edges where they fan."""
    if preset.fan_mm:
        fanned = [
            (str(row.fret), f"{row.bass_mm:.2f}", f"{row.treble_mm:.2f}", f"{row.slot_mm:.2f}")
            for row in fanned_table(preset)
        ]
        return table(
            drawn,
            ("fret", "bass edge", "treble edge", "slot"),
            fanned,
            at,
            rights=(7.0, 25.0, 45.0, 59.0),
            foot=(f"Along each edge, from the nut. Fret {preset.square_fret} is square.",),
        )
    rounded = preset.radius_mm > 0
    rows = [
        (
            str(row.fret),
            f"{row.nut_mm:.2f}",
            f"{row.previous_mm:.2f}",
            f"{row.width_mm:.2f}",
            *([f"{row.radius_mm:.0f}"] if rounded else []),
        )
        for row in preset.fretboard.fret_table()
    ]
    heads = ("fret", "from nut", "from last", "slot", *(["radius"] if rounded else []))
    return table(drawn, heads, rows, at, rights=(7.0, 23.0, 39.0, 53.0, 67.0))


def nut_table(drawn: Draughting, preset: Preset, at: Point) -> float:
    """Where the slots of the nut are, from its bass end to the middle of each string.

    Evenly apart by their middles, as drawn, and, where strings are single, by the gaps of air.
    """
    half, spread = preset.nut_mm / 2, preset.nut_spread_mm
    columns: list[tuple[str, Sequence[float]]] = [
        ("equal centres", [half + x for x in string_places(preset, spread)])
    ]
    gauges = [f"{one:.2f}" for one in preset.gauges_mm]
    if preset.strings == preset.courses:
        with suppress(InputError):  # of strings that leave no air the centres alone
            columns.append(("equal gaps", [half + x for x in equal_gaps(spread, preset.gauges_mm)]))
    rows = [
        (str(i + 1), gauges[i], *(f"{places[i]:.2f}" for _, places in columns))
        for i in range(preset.strings)
    ]
    return table(
        drawn,
        ("slot", "string", *(head for head, _ in columns)),
        rows,
        at,
        rights=(7.0, 21.0, 43.0, 65.0),
        foot=("Nut: from its bass end to the middle of each slot, bass first.",),
    )


def bridge_table(drawn: Draughting, preset: Preset, at: Point) -> float:
    """Under each string: from the centre line, and from the nut to saddle and pin, finished."""
    pins = preset.bridge.hold == "pins"
    nut = string_places(preset, preset.nut_spread_mm)
    rows = []
    for i, x in enumerate(string_places(preset, preset.bridge.spread_mm)):
        starts = preset.nut_y + lean(preset, 0) * nut[i]
        along = saddle_y(preset, x) - starts
        rows.append(
            (
                str(i + 1),
                f"{x:+.2f}".replace("-", "\N{MINUS SIGN}"),
                f"{along:.2f}",
                *([f"{along + PIN_BEHIND_MM:.2f}"] if pins else []),
            )
        )
    heads = ("string", "from centre line", "nut to saddle", *(["nut to pin"] if pins else []))
    return table(
        drawn,
        heads,
        rows,
        at,
        rights=(8.0, 33.0, 55.0, 74.0),
        foot=(
            "Bass first, along the centre line, to the",
            "saddle’s middle, compensation included.",
        ),
    )


def outer_saddle_mm(preset: Preset) -> tuple[float, float]:
    """From the nut to the saddle's middle under the first and the last string, mm."""
    nut = string_places(preset, preset.nut_spread_mm)
    at = string_places(preset, preset.bridge.spread_mm)
    bass, treble = (
        saddle_y(preset, at[i]) - preset.nut_y - lean(preset, 0) * nut[i] for i in (0, -1)
    )
    return bass, treble
