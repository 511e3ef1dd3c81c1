"""`brief move`: how far a piece of wood moves from one air to another."""

from __future__ import annotations

from collections.abc import Callable
from typing import get_args

from brief.cli.terminal import print_json
from brief.english import words
from brief.errors import InputError, quoted
from brief.lengths import read_length
from brief.services.spec.movement.climates import read_celsius, read_humidity
from brief.services.spec.movement.movement_words import MEANS_SOMETHING, UNCHANGED, change_words
from brief.wood.moisture import equilibrium
from brief.wood.movement import Cut, change, moves, told


def print_movement(
    wood: str, width: str, dry: str, damp: str, celsius: str, cut: str, *, as_json: bool
) -> None:
    """Print how much narrower or wider a piece becomes from the first humidity to the second.

    Raises InputError for a wood that the table lacks, and for what is no width, humidity,
    temperature or cut.
    """
    if cut not in get_args(Cut):
        raise InputError(f"--cut is one of {', '.join(get_args(Cut))}; got {quoted(cut)}")
    its = moves("timber", wood, "", cut)  # type: ignore[arg-type]  # just checked
    if its is None:
        raise InputError(
            f"how far {quoted(wood)} moves is not known: our table lacks it. "
            "Write a species, such as Picea abies."
        )
    width_mm, at = float(read_length(width, "mm")), _one("--at", read_celsius, celsius)
    before = equilibrium(_one("--from", read_humidity, dry), at)
    after = equilibrium(_one("--to", read_humidity, damp), at)
    found = change(width_mm, before, after, its)
    names = [one.name for one in its.woods]
    if as_json:
        print_json(
            {
                "woods": names,
                "width_mm": width_mm,
                "moisture": [round(before, 1), round(after, 1)],
                "change_mm": {
                    "likely": round(found.likely, 2),
                    "least": round(found.least, 2),
                    "most": round(found.most, 2),
                },
                "source": told(its.woods),
            }
        )
        return
    if abs(after - before) < MEANS_SOMETHING:
        print(f"It {UNCHANGED}")
    else:
        print(change_words(found, f"air of {damp.strip().removesuffix('%').strip()} %"))
    print(f"{words(names)}; wood about {before:.0f} to {after:.0f} % moist. {told(its.woods)}.")


def _one(option: str, read: Callable[[str], list[float]], text: str) -> float:
    try:
        values = set(read(text))
    except InputError as exc:
        raise InputError(f"{option}: {exc}") from exc
    if len(values) > 1:
        raise InputError(f"{option}: give one number; got {quoted(text)}")
    return values.pop()
