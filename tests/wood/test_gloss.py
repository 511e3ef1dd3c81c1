"""How much a finish shines; which counts as which is common practice, no source."""

import pytest

from brief.wood.gloss import BY_GLOSS, BY_STUFF, gloss_of, shine_of
from brief.wood.table import table


@pytest.mark.parametrize(
    ("finish", "gloss"),
    [
        ("", "bare"),
        ("Level with the board, no lacquer", "bare"),
        ("Polished", "bare"),  # a metal or a bone by itself
        ("Bare, one wipe of oil", "oil"),
        ("Waxed", "oil"),
        ("French polish, pores filled with pumice", "gloss"),
        ("2K polyurethane", "gloss"),
        ("2K, semi-gloss", "satin"),
        ("nitro, rubbed to satin", "satin"),
        ("matt lacquer", "satin"),
        ("glossy oil varnish", "gloss"),
        ("stained, then nothing", "bare"),
    ],
)
def test_a_finish_as_it_is_typed(finish: str, gloss: str) -> None:
    assert gloss_of(finish) == gloss


def test_a_finish_shines_once_it_is_on() -> None:
    assert shine_of("timber", "French polish", finished=False) == BY_GLOSS["bare"]
    assert shine_of("timber", "French polish", finished=True).coat == 1


def test_what_is_no_wood_has_its_own_polish() -> None:
    assert shine_of("metal", "", finished=False).metal == 1
    assert set(BY_STUFF) == set(table().stuffs) - {"timber", "veneer", "other"}


def test_more_gloss_spreads_a_reflection_less() -> None:
    by = [BY_GLOSS[one] for one in ("bare", "oil", "satin", "gloss")]
    assert by[0].rough > by[1].rough
    assert [one.coat for one in by] == sorted(one.coat for one in by)
    assert by[2].coat_rough > by[3].coat_rough > 0
