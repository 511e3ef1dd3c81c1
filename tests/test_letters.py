"""The letters that PDFs can print, by Unicode's own names of them (Python's unicodedata)."""

import unicodedata

import pytest

from brief.letters import lost_letters, printable, runs


@pytest.mark.parametrize("script", ["LATIN", "GREEK", "CYRILLIC"])
def test_every_letter_of_these_scripts_can_be_printed(script):
    letters = [
        letter
        for letter in map(chr, range(0x3000))
        if unicodedata.category(letter) in ("Lu", "Ll")
        and unicodedata.name(letter, "").startswith(f"{script} ")
    ]
    assert len(letters) > 200
    assert lost_letters("".join(letters)) == ""


def test_what_cannot_be_printed_is_told_once_and_in_order():
    # Devanagari is drawn by Noto Sans, but unjoined it cannot be read.
    assert lost_letters("a שלום ש 日 ह\n") == "שלום日ह"


def test_a_letter_that_the_text_font_lacks_comes_from_the_other():
    assert list(runs("oak ῶ日", "Serif")) == [("Serif", "oak "), ("Sans", "ῶ"), ("Serif", "?")]


def test_a_letter_and_its_accent_are_made_one():
    """NFC of Unicode: nothing here moves an accent over its letter."""
    assert printable("e\u0301", "Sans") == "é"
    assert printable("a日b\x00\n c", "Sans") == "a?b c"
