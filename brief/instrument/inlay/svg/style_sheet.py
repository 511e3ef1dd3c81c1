"""The plain style sheets that drawing programs write."""

from __future__ import annotations

import re
from bisect import insort
from collections.abc import Mapping
from dataclasses import dataclass

from brief.errors import InputError
from brief.instrument.inlay.svg.outlines import Drawn
from brief.instrument.inlay.svg.refusals import check_style, uncommented
from brief.instrument.inlay.svg.style import declared
from brief.instrument.inlay.svg.units import short

MAX_RULES = 1000
_SELECTOR = re.compile(r"(\*|[\w-]+)?((?:[.#][\w-]+)*)")  # of one tag, as in rect.st0


@dataclass(frozen=True)
class _Rule:
    """A rule of a style sheet; `weight` is that of its selector (Selectors 4, 17)."""

    tag: str
    parts: frozenset[str]
    weight: tuple[int, int, int]
    style: Mapping[str, str]


class StyleSheets:
    """The rules of all style sheets of a file, by weight and then as they stand."""

    def __init__(self) -> None:
        self._rules: list[_Rule] = []

    def read(self, text: str, drawn: Drawn) -> None:
        """Keep the rules of one style sheet; what of it was left out is remarked in `drawn`.

        Raises
        ------
        InputError
            Where it points outside the file, or all have too many rules.
        """
        check_style(text)
        for rule in uncommented(text).split("}")[:-1]:
            around, _, body = rule.rpartition("{")
            for one in around.rpartition("{")[2].split(","):
                self._keep(one.strip(), declared(body), drawn)

    def _keep(self, selector: str, style: Mapping[str, str], drawn: Drawn) -> None:
        """Keep a rule whose selector is of one tag, and say so of others that could matter."""
        match = _SELECTOR.fullmatch(selector)
        if not style or not selector:
            return
        if match is None:
            drawn.remark(
                f"The rule “{short(selector)}” of its style sheet was left out. See whether the "
                "shape is right."
            )
            return
        if len(self._rules) >= MAX_RULES:
            raise InputError(
                f"The style sheet of the file has more than {MAX_RULES:,} rules. Save it as plain "
                "SVG."
            )
        tag, parts = match[1] or "*", re.findall(r"[.#][\w-]+", match[2])
        ids = sum(part[0] == "#" for part in parts)
        weight = (ids, len(parts) - ids, int(tag != "*"))
        rule = _Rule(tag, frozenset(parts), weight, style)
        insort(self._rules, rule, key=lambda one: one.weight)

    def matching(self, name: str, attributes: Mapping[str, str]) -> dict[str, str]:
        """What they say of a tag, by its name, its id or its classes."""
        known = {f".{one}" for one in attributes.get("class", "").split()}
        known.add(f"#{attributes.get('id', '')}")
        found: dict[str, str] = {}
        for rule in self._rules:
            if rule.tag in ("*", name) and rule.parts <= known:
                found |= rule.style
        return found
