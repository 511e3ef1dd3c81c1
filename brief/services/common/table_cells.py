"""Texts as cells of a table that any program for tables opens, and back."""

from __future__ import annotations

FORMULA = ("=", "+", "-", "@", "\t", "\r")


def cell(text: str) -> str:
    """Text that no such program takes for a formula (OWASP, CSV injection).

    >>> cell("-12"), cell("12-a")
    ("'-12", '12-a')
    """
    return f"'{text}" if text.startswith(FORMULA) else text


def text_of(cell: str) -> str:
    """The text that `cell` made a cell of.

    >>> text_of("'-12"), text_of("'12")
    ('-12', "'12")
    """
    return cell[1:] if cell[:1] == "'" and cell[1:].startswith(FORMULA) else cell
