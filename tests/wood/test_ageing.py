"""Which way woods go with the years: directions as published, each with who says so."""

import re
from pathlib import Path

import pytest

from brief.wood import ageing
from brief.wood.ageing import ageing_words


@pytest.mark.parametrize(
    ("name", "way", "source"),
    [
        # Varga, Tolvaj and Preklet 2025, abstract: spruce, poplar, maple and ash presented the
        # greatest increase in redness and yellowness; cherry, larch and American cherry the best
        # stability.
        ("Picea abies", "yellower and redder", "Varga"),
        ("Acer pseudoplatanus", "yellower and redder", "Varga"),
        ("Fraxinus excelsior", "yellower and redder", "Varga"),
        ("Populus nigra", "yellower and redder", "Varga"),
        ("Prunus serotina", "steadiest of 15 woods under a UV lamp", "Varga"),
        # Vitchev and others 2020: L* -9.2, a* 4.5 to 8.7 after 150 minutes of UV.
        ("Pinus sylvestris", "darker and redder", "Vitchev"),
        # Dudiak and others 2022: steamed, dark beech lightened over 36 months indoors.
        ("Fagus sylvatica", "steamed beech lighter", "Dudiak"),
        # Common practice, no source.
        ("Juglans nigra", "bleaches", "common practice, no source"),
        ("Pterocarpus soyauxii", "from orange to brown", "common practice, no source"),
        ("dyed maple", "dyes fade", "common practice, no source"),
        # Baar and Gryc, abstract: the surface darkened rapidly during the first hours.
        ("jatoba", "fast in the first hours", "Baar and Gryc, about 2011, the year from memory"),
    ],
)
def test_the_way_is_told_with_who_says_so(name, way, source):
    said = ageing_words(name)
    assert way in said
    assert source in said.rpartition(" (")[2]


@pytest.mark.parametrize("name", ["Walnut", "black-walnut", "board (walnut), no. 3", "WALNUT,old"])
def test_a_name_is_known_however_it_is_written(name):
    assert ageing_words(name).startswith("walnut bleaches")


@pytest.mark.parametrize("name", ["", "no label", "Quercus robur", "washed", "spine", "3 × 4"])
def test_what_nobody_told_us_of_is_left_open(name):
    assert ageing_words(name) == ""


def test_no_amounts_are_claimed():
    """Numbers would be of other samples, lamps and finishes: only a count of woods is one."""
    said = " ".join(does for _, does, _ in ageing._DIRECTIONS)
    assert re.findall(r"\d+", said) == ["15"]


def test_what_is_common_practice_says_that_it_has_no_source():
    assert ageing._TOLD_BY
    for told in ageing._TOLD_BY.values():
        assert told.count("common practice") == told.count("common practice, no source")


def test_every_source_named_is_told_in_the_module():
    text = Path(ageing.__file__).read_text(encoding="utf-8")
    assert ageing._DIRECTIONS
    for _, _, source in ageing._DIRECTIONS:
        assert source in ageing._TOLD_BY
        assert f"\n{source} : " in text
