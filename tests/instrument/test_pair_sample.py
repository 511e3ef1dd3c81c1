"""The line and dot of an inlay on its timber."""

import math
from xml.etree import ElementTree as ET

import pytest

from brief.errors import InputError
from brief.instrument import Fill, draw_pair_sample

SVG = "{http://www.w3.org/2000/svg}"
BOG_OAK = Fill("#231d18", "/images/1e/texture", "bog oak")
BRASS = Fill("#b8893b", None, "brass")


def sample(ground=BOG_OAK, **options):
    return draw_pair_sample(ground, BRASS, **{"line_mm": 0.8, "prefix": "pair", **options})


def test_the_line_has_its_width_on_a_view_of_60_by_40_mm():
    root = ET.fromstring(sample(line_mm=0.8))
    assert root.get("viewBox") == "0 0 60 40"
    line = root.find(f"{SVG}path")
    assert (line.get("stroke-width"), line.get("stroke")) == ("0.8", "#b8893b")
    assert root.find(f"{SVG}circle").get("fill") == "#b8893b"
    assert root.get("aria-label") == "A line of 0.8 mm and a dot, brass on bog oak"


@pytest.mark.parametrize(("width", "pictures"), [(150.0, 1), (60.0, 1), (45.0, 3), (20.0, 3)])
def test_the_ground_is_at_its_own_scale_and_covers_the_view(width, pictures):
    images = ET.fromstring(sample(ground_width_mm=width)).findall(f"{SVG}image")
    assert len(images) == pictures
    assert {float(image.get("width")) for image in images} == {width}
    assert len(images) * width >= 60
    assert len(images) == 2 * math.ceil((60 / width - 1) / 2) + 1


def test_without_a_photograph_the_ground_is_its_colour():
    root = ET.fromstring(sample(ground=Fill("#231d18", None, "bog oak")))
    assert root.find(f"{SVG}rect").get("fill") == "#231d18"
    assert not root.findall(f"{SVG}image")


def test_hostile_labels_stay_text():
    text = sample(ground=Fill("#231d18", '"><script>', '"><script>'))
    assert "<script" not in text
    assert ET.fromstring(text).get("aria-label").endswith('brass on "><script>')


@pytest.mark.parametrize("value", [0.0, 0.05, 10.5, math.nan])
def test_a_line_outside_its_range_is_refused(value):
    with pytest.raises(InputError, match=f"line_mm must be between 0.1 and 10 mm; got {value}"):
        sample(line_mm=value)


@pytest.mark.parametrize("value", [19.0, 2001.0])
def test_a_photograph_of_unbelievable_width_is_refused(value):
    with pytest.raises(InputError, match=f"between 20 and 2000 mm; got {value}") as caught:
        sample(ground_width_mm=value)
    assert caught.value.faults[0].pointer == "/ground_width_mm"
