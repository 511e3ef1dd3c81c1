"""The terminal: chips of colour, and figures that keep their meaning without any colour."""

from __future__ import annotations

import json
from typing import Any

from rich.console import Console
from rich.style import Style
from rich.text import Text

from brief.services.common.colour_view import ColourView

FOUND = 1  # the exit code where something is wrong with the briefs or their copy
SCALE = "CIEDE2000, where 1 is about the least that can be seen side by side"


def console() -> Console:
    """Standard output; where that is no terminal, rich writes plain text."""
    return Console(markup=False, highlight=False)


def shows_chips(out: Console) -> bool:
    """Whether there are enough colours: the nearest of sixteen would be another colour."""
    return out.color_system in ("truecolor", "256") and not out.no_color


def chip(colour: ColourView, width: int, rows: int = 1) -> Text:
    """A patch of colour, `width` cells wide."""
    row = Text(" " * width, style=Style(bgcolor=colour.hex))
    return Text("\n").join([row] * rows)


def about_chips(out: Console) -> str | None:
    """What has to be said of the chips, if anything."""
    if not out.is_terminal or out.no_color or out.color_system == "truecolor":
        return None
    if out.color_system == "256":
        return "This terminal has 256 colours: the chips are only near to the codes beside them."
    return "This terminal has too few colours to show chips; the codes say what they are."


def print_json(value: dict[str, Any]) -> None:
    """Print a value as indented JSON."""
    # Plain ASCII: a pipe on Windows may be of any code page.
    print(json.dumps(value, indent=2))
