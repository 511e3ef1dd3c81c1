"""Words quoted from a passage: where they stand in it.

A quote is what the Web Annotation Data Model (4.2.4) calls a text quote selector: the exact words,
and some of what stands before and behind them. White space counts as one blank, however much of
it there is: a passage is broken into lines otherwise on every page.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

CONTEXT = 32  # characters kept before and behind, enough to tell one place from another


@dataclass(frozen=True)
class Quote:
    """The exact words, and what stands before and behind them. Without words it quotes nothing."""

    exact: str = ""
    prefix: str = ""
    suffix: str = ""


@dataclass(frozen=True)
class QuotedRun:
    """A stretch of a passage, and by what it is quoted."""

    text: str
    by: tuple[str, ...]


def places(text: str, quote: Quote) -> list[tuple[int, int]]:
    """Where the quote stands in `text`: start and end of each place, in characters.

    All places that fit, as the model has it. Where none fits with what stands round the words but
    the words are there just once, they are what is meant.
    """
    words = quote.exact.split()
    if not words:
        return []
    found = [
        match.span() for match in re.finditer(r"\s+".join(re.escape(one) for one in words), text)
    ]
    fitting = [
        (start, end)
        for start, end in found
        if _blank(text[:start]).endswith(_blank(quote.prefix))
        and _blank(text[end:]).startswith(_blank(quote.suffix))
    ]
    return fitting or (found if len(found) == 1 else [])


def in_context(text: str, place: tuple[int, int]) -> Quote:
    """What stands at a place, with what is round it."""
    start, end = place
    return Quote(text[start:end], text[max(0, start - CONTEXT) : start], text[end : end + CONTEXT])


def runs(text: str, quotes: Mapping[str, Quote]) -> list[QuotedRun]:
    """`text` cut where quotes begin and end; joined again the runs are the text."""
    marked = [(place, by) for by, quote in quotes.items() for place in places(text, quote)]
    edges = sorted({0, len(text), *(edge for place, _ in marked for edge in place)})
    return [
        QuotedRun(
            text[start:end],
            tuple(dict.fromkeys(by for (first, last), by in marked if first <= start < last)),
        )
        for start, end in pairwise(edges)
    ]


def _blank(text: str) -> str:
    return " ".join(text.split())
