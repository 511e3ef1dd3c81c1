"""Makes munsell.json: `python -m brief.colour.notation.munsell_table`.

The Munsell renotation of Newhall, Nickerson and Judd (1943) with the chromas that its authors
extrapolated to, as colour-science has it (its "Munsell Colours All", after the file `all.dat` of
the Munsell Color Science Laboratory, Rochester). It is kept so that colour-science is not needed
where it is used.
"""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

from brief.colour.reference_library import colour_science


def munsell_table() -> list[dict[str, Any]]:
    """The planes of equal value, from the darkest.

    Each is its value; its luminance Y, 100 for magnesium oxide; and by hue, "2.5R" to "10RP", the
    chromaticities x, y under illuminant C / 2° at chroma 2, 4, 6 and so on.

    Raises
    ------
    ValueError
        If the renotation does not go on step by step at one luminance a plane.
    """
    planes: dict[float, dict[str, Any]] = {}
    for (hue, value, chroma), xyY in sorted(
        colour_science().MUNSELL_COLOURS["Munsell Colours All"], key=lambda one: one[0][1:]
    ):
        x, y, Y = xyY.tolist()
        plane = planes.setdefault(value, {"value": value, "Y": Y, "xy": {}})
        along = plane["xy"].setdefault(hue, [])
        if (Y, chroma) != (plane["Y"], 2 * (len(along) + 1)):
            raise ValueError(f"{hue} {value}/{chroma} is not next in a plane of equal luminance")
        along.append([x, y])
    return list(planes.values())


def write(folder: Path) -> None:
    """Write munsell.json into that folder, one plane a line."""
    planes = ",\n".join(json.dumps(plane, separators=(",", ":")) for plane in munsell_table())
    (folder / "munsell.json").write_text(f"[\n{planes}\n]\n", encoding="utf-8")


if __name__ == "__main__":
    write(Path(str(files("brief.colour.notation"))))
