"""What a maker says of the machine that cuts from the sheets, and which sheets it can cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, cast
from urllib.parse import urlencode

from brief.errors import InputError
from brief.instrument.plans.tooled import CUTS, MOST_GAP_MM, WIDEST_MM, Cuts, Tool
from brief.services.common.typed_numbers import ALength

TOOL, GAP = ALength(0, WIDEST_MM, "3.175"), ALength(0, MOST_GAP_MM, "0.05")
ToolWidth = Annotated[float, TOOL]
GapWidth = Annotated[float, GAP]
CUTS_WORDS: dict[Cuts, str] = {
    "all": "everything",
    "through": "what goes through",
    "let in": "what is let in",
}


@dataclass(frozen=True)
class AskedOfMachine:
    """The machine as it was typed: the width of its cut, the gap round inlays, what it cuts."""

    tool_mm: str = ""
    gap_mm: str = ""
    cuts: str = "all"

    @property
    def query(self) -> str:
        """The same for an address; empty where nothing was asked."""
        asked = {"tool_mm": self.tool_mm.strip(), "gap_mm": self.gap_mm.strip()}
        if self.cuts != "all":
            asked["cuts"] = self.cuts
        return urlencode({name: text for name, text in asked.items() if text})


NO_MACHINE = AskedOfMachine()


@dataclass(frozen=True)
class Machine:
    """machine_asked : as it was typed; machine_faults : what is wrong with it, by its field;
    refused : by the name of a sheet, why this tool cannot cut it; machine_query : what an address
    of a sheet says of it; cuts_words : what can be cut.
    """

    machine_asked: AskedOfMachine
    machine_faults: Mapping[str, str]
    refused: Mapping[str, str]
    machine_query: str
    cuts_words: Mapping[Cuts, str]


def tool_of(asked: AskedOfMachine) -> tuple[Tool, dict[str, str]]:
    """The tool that was typed, and what is wrong with it by field; with a fault, no tool."""
    faults, sizes = {}, {}
    for name, kind, text in (("tool_mm", TOOL, asked.tool_mm), ("gap_mm", GAP, asked.gap_mm)):
        try:
            sizes[name] = float(kind.read(text)) if text.strip() else 0.0
        except InputError as exc:
            faults[name] = str(exc)
    if asked.cuts not in CUTS:
        faults["cuts"] = "Choose what is cut."
    if faults:
        return Tool(), faults
    return Tool(sizes["tool_mm"], sizes["gap_mm"], cast(Cuts, asked.cuts)), {}
