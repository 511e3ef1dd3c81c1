"""Texts as cells of a table that any program for tables opens."""

from __future__ import annotations

FORMULA = ("=", "+", "-", "@", "\t", "\r")


def cell(text: str) -> str:
    """Text that no such program takes for a formula (OWASP, CSV injection).

    >>> cell("-12"), cell("12-a")
    ("'-12", '12-a')
    """
    return f"'{text}" if text.startswith(FORMULA) else text
