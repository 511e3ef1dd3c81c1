"""English, as far as sentences are put together by rules: lists, plurals, articles, capitals.

Everything that depends on the language of the pages and is not a text of its own is here, so that
another language begins with this module; `web/static/js/page/words.js` is the same for the scripts.
"""

from __future__ import annotations

from collections.abc import Sequence, Sized

LANGUAGE = "en"
"""BCP 47 tag of all texts, for `<html lang>` and for PDFs."""


def words(items: Sequence[str]) -> str:
    """Things in a row.

    >>> words(["a"]), words(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    return " and ".join([", ".join(items[:-1]), items[-1]]) if len(items) > 1 else "".join(items)


def agree(things: Sized | int, one: str, many: str) -> str:
    """The form that goes with so many things.

    >>> agree(["a", "b"], "is", "are"), agree(1, "is", "are")
    ('are', 'is')
    """
    number = things if isinstance(things, int) else len(things)
    return one if number == 1 else many


def number_of(number: int, one: str, many: str = "") -> str:
    """So many of a thing; `many` where it is not `one` with an s.

    >>> number_of(1, "piece"), number_of(2, "piece"), number_of(0, "copy", "copies")
    ('1 piece', '2 pieces', '0 copies')
    """
    return f"{number} {agree(number, one, many or f'{one}s')}"


def article(noun: str) -> str:
    """With its article, by its first letter; of initials, A alone is said with a vowel.

    >>> article("inlay"), article("part")
    ('an inlay', 'a part')
    """
    return f"{'an' if noun[:1] in 'aeiouA' else 'a'} {noun}"


def capital(text: str) -> str:
    """As a sentence begins; what follows stays as it is.

    >>> capital("the LED lamp")
    'The LED lamp'
    """
    return text[:1].upper() + text[1:]
