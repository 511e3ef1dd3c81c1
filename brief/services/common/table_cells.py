"""Texts as cells of a table that any program for tables opens."""

from __future__ import annotations

FORMULA = ("=", "+", "-", "@", "\t", "\r")


def cell(text: str) -> str:
    """Text that no such program takes for a formula (OWASP, CSV injection).

    >>> cell("-12"), cell("12-a")
    ("'-12", '12-a')
    """
    return f"'{text}" if _is_marked(text) else text


def uncell(text: str) -> str:
    """What `cell` made a cell of.

    >>> uncell(cell("=1")), uncell(cell("'=1")), uncell("'til")
    ('=1', "'=1", "'til")
    """
    return text[1:] if text.startswith("'") and _is_marked(text) else text


def _is_marked(text: str) -> bool:
    """A formula, or one that was marked as none: so that each is read again as it was."""
    return text.lstrip("'").startswith(FORMULA)
