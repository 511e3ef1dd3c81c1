"""Figures in what a test reads. Within an id, a hash or an address such digits come by chance."""

from __future__ import annotations

import re


def says(text: str, *figures: str) -> bool:
    """Whether one of them stands there by itself, with or without what follows its point."""
    either = "|".join(re.escape(figure) for figure in figures)
    return re.search(rf"(?<![\w.])(?:{either})(?!\w)", text) is not None
