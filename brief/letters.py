"""Letters: what a file can hold of a text, and the fonts that PDFs and pages carry.

Two families under the SIL Open Font License, embedded as far as they are used, so that a page
prints the same anywhere: Source Serif 4 to be read, Noto Sans for drawings, small print, and
whatever letters Source Serif lacks. Together they have every Latin, Greek and Cyrillic letter
below U+3000.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

Font = Literal["Serif", "SerifItalic", "Sans"]
MISSING = "?"
# By module and file: each is a variable font, of which a PDF has the upright regular instance.
_FILES: dict[Font, tuple[str, str]] = {
    "Serif": ("fontpkg_source_serif_4", "SourceSerif4[opsz,wght].ttf"),
    "SerifItalic": ("fontpkg_source_serif_4", "SourceSerif4-Italic[opsz,wght].ttf"),
    "Sans": ("fontpkg_noto_sans", "NotoSans[wdth,wght].ttf"),
}
# Noto Sans draws them, but they must be joined and reordered, which nothing here does.
_UNJOINED = frozenset(range(0x0900, 0x0980)) | frozenset(range(0xA8E0, 0xA900))
# What XML 1.0 cannot hold, section 2.2 (Char).
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """The text without the characters that XML cannot hold."""
    return _NOT_XML.sub("", text)


def one_line(text: str) -> str:
    """Any text as one line that XML and a drawing file can hold."""
    return " ".join(clean(text).split())


def runs(text: str, font: Font) -> Iterator[tuple[Font, str]]:
    """The text in pieces, each with a font that has its letters: `font` wherever it can be.

    A letter that no font has becomes a question mark.
    """
    letters = [_lettered(letter, font) for letter in unicodedata.normalize("NFC", text)]
    for face, those in groupby(letters, key=lambda one: one[0]):
        yield face, "".join(letter for _, letter in those)


def printable(text: str, font: Font) -> str:
    """The text in that font alone, with a question mark for every letter that it lacks."""
    known = letters_of(font)
    composed = unicodedata.normalize("NFC", one_line(text))
    return "".join(letter if ord(letter) in known else MISSING for letter in composed)


def lost_letters(text: str, fonts: tuple[Font, ...] = ("Serif", "Sans")) -> str:
    """The letters of a text, each once, that none of these fonts can print."""
    known = frozenset().union(*map(letters_of, fonts))
    composed = unicodedata.normalize("NFC", text)
    return "".join(
        dict.fromkeys(one for one in composed if ord(one) not in known and not one.isspace())
    )


@cache
def letters_of(font: Font) -> frozenset[int]:
    """The code points that a font can print rightly."""
    return frozenset(embedded(font).face.charToGlyph) - _UNJOINED


def font_file(font: Font) -> Path:
    """The file of a font: a variable TrueType font."""
    from importlib import import_module

    module, file = _FILES[font]
    return Path(import_module(module).__file__ or "").parent / "files" / file


@cache
def embedded(font: Font) -> TTFont:
    """The font, ready to be used in a PDF under its own name."""
    from reportlab import rl_config
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    rl_config.useA85 = 0  # streams as bytes, not as letters: a fifth smaller, and sooner written
    made = TTFont(font, str(font_file(font)))
    pdfmetrics.registerFont(made)
    return made


@cache
def _lettered(letter: str, font: Font) -> tuple[Font, str]:
    """A letter and the font it is printed in."""
    if letter.isspace() or ord(letter) in letters_of(font):
        return font, letter
    others: tuple[Font, ...] = ("Sans", "Serif")
    for other in others:
        if ord(letter) in letters_of(other):
            return other, letter
    return font, MISSING
