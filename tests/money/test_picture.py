"""The bar of the asking price: its parts are as long as their amounts, and named beside it."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.money.costing import Hours, Overhead, Terms, costing
from brief.money.picture import BAR_TOP, EDGE, LETTER, NAMES, NARROW, WIDE, cost_picture

D = Decimal
SVG = "{http://www.w3.org/2000/svg}"


def drawn(found, width=WIDE):
    return ET.fromstring(
        cost_picture(found, "490 left", width=width).replace(
            "<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '
        )
    )


def whole(asking="6000", rate="30"):
    terms = Terms("EUR", D(rate), Overhead(share=D(25)), None, D(20), D(asking))
    return costing(terms, D(320), D(230), Hours(D(80), D(100), D(130)))


def bars(picture):
    return [one for one in picture.iter(f"{SVG}rect") if one.get("class") == "co-part"]


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_each_part_is_as_long_as_its_share_of_the_price(width) -> None:
    found = whole()
    lengths = [float(one.get("width")) for one in bars(drawn(found, width))]
    # The whole bar reaches to what is more, the price or the costs if it goes slowly (6,625).
    scale = (width - 2 * EDGE) / 6625
    wanted = [float(one.amount) * scale for one in found.portions]
    assert lengths == pytest.approx(wanted, abs=0.11)


def test_what_is_short_is_drawn_beyond_the_price() -> None:
    picture = drawn(whole(asking="3000"))
    *_, short = bars(picture)
    price = next(one for one in picture.iter(f"{SVG}line") if one.get("class") == "co-price")
    assert float(short.get("x")) == pytest.approx(float(price.get("x1")), abs=0.11)
    assert "missing" in "".join(picture.itertext())
    assert float(short.get("y")) > BAR_TOP


@pytest.mark.parametrize(("asking", "anchor"), [("6000", "end"), ("400", "start")])
def test_the_asking_price_is_written_beside_its_line_not_across_it(asking, anchor) -> None:
    """SVG 2, 11.10.2: text anchored at its end lies left of its x, at its start right of it."""
    picture = drawn(whole(asking))
    line = next(one for one in picture.iter(f"{SVG}line") if one.get("class") == "co-price")
    words = next(one for one in picture.iter(f"{SVG}text") if one.get("class") == "co-asked")
    assert words.get("text-anchor") == anchor
    right = float(words.get("x")) - float(line.get("x1"))
    assert -10 < right < -2 if anchor == "end" else 2 < right < 10


def test_the_whisker_goes_from_quick_to_slow() -> None:
    found = whole()
    path = next(one for one in drawn(found).iter(f"{SVG}path") if one.get("class") == "co-whisker")
    left, right = map(float, re.findall(r"M([\d.]+) \d+V", path.get("d")))
    scale = (WIDE - 2 * EDGE) / 6625
    costs = (found.cost_quick, found.cost_slow)
    assert [left - EDGE, right - EDGE] == pytest.approx(
        [float(one) * scale for one in costs], abs=0.11
    )


def test_every_part_has_a_pattern_of_its_own() -> None:
    picture = drawn(whole())
    fills = [one.get("fill") for one in bars(picture)]
    assert len(set(fills)) == len(fills) == 6
    ids = {one.get("id") for one in picture.iter(f"{SVG}pattern")}
    assert {one[5:-1] for one in fills} <= ids
    lines = (one.find(f"{SVG}g") for one in picture.iter(f"{SVG}pattern"))
    inner = {"|".join(f"{shape.tag} {shape.attrib}" for shape in one) for one in lines}
    assert len(inner) == len(NAMES) - 1  # hours and what is left are plain, one dark, one white


def test_without_hours_there_is_no_whisker() -> None:
    found = costing(Terms("EUR", asking=D(100)), D(40), D(0), None)
    assert "co-whisker" not in cost_picture(found, "60 left")


def test_what_is_said_of_it_cannot_leave_its_attribute() -> None:
    assert 'aria-label="&quot;&gt;&lt;b&gt;"' in cost_picture(whole(), '"><b>')


amount = st.decimals("0.01", 90_000, places=2)


@given(amount, amount, amount, amount, st.sampled_from([WIDE, NARROW]))
def test_no_name_is_over_another_or_beyond_the_edge(wood, bought, rate, asking, width) -> None:
    terms = Terms("EUR", rate, Overhead(share=D(30)), None, D(20), asking)
    found = costing(terms, wood, bought, Hours(D(80), D(100), D(130)))
    picture = drawn(found, width)
    boxes = []
    names = [one for one in picture.iter(f"{SVG}text") if one.get("class") == "co-name"]
    texts = list(picture.iter(f"{SVG}text"))
    for one in names:
        amount_text = texts[texts.index(one) + 1].text
        wide = max(len(one.text), len(amount_text)) * LETTER
        x, y = float(one.get("x")), float(one.get("y"))
        boxes.append((x, y, x + wide))
        assert x >= 0
        assert x + wide <= width
    for (left, y, right), (other_left, other_y, other_right) in combinations(boxes, 2):
        assert y != other_y or right <= other_left or other_right <= left
    for one in picture.iter(f"{SVG}path"):
        if one.get("class") == "co-lead":
            at, foot = map(float, re.fullmatch(r".*L([\d.]+) \d+V(\d+)", one.get("d")).groups())
            assert all(y > foot or not left - 2 < at < right for left, y, right in boxes)
