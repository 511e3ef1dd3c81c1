"""One colour in every notation."""

from __future__ import annotations

import re

import pytest

from brief.colour.notation.munsell import munsell_of


def test_a_colour_is_written_every_way(client) -> None:
    """Munsell notations are held to published ones where they are found: tests/colour."""
    answer = client.get("/api/colours", params={"colour": "Lab 56.11 17.26 33.92"}).json()
    colour = answer["colour"]
    assert colour["hex"] == "#b37a4c"
    assert colour["lab_text"] == "Lab 56.1 17.3 33.9"
    assert colour["lch"] == "LCh 56.1 38.1 63°"
    assert colour["css"].startswith("lab(56.5")
    assert colour["uncertainty"] == 0
    assert answer["munsell"] == munsell_of((56.11, 17.26, 33.92)).notation
    assert re.fullmatch(r"[\d.]+YR [\d.]+/[\d.]+", answer["munsell"])
    assert answer["munsell_reason"] == ""


@pytest.mark.parametrize("value", [2, 3.5, 5, 6.5, 8, 9.5])
def test_a_grey_has_the_value_that_the_standard_gives_its_reflectance(client, value: float) -> None:
    """ASTM D1535, the luminance of a value as a polynomial of the fifth degree, from memory."""
    luminance = (
        1.1914 * value
        - 0.22533 * value**2
        + 0.23352 * value**3
        - 0.020484 * value**4
        + 0.00081939 * value**5
    )
    lightness = 116 * (luminance / 100) ** (1 / 3) - 16  # CIE 15:2004, 8.2.1
    query = {"colour": f"Lab {lightness:.4f} 0 0"}
    assert client.get("/api/colours", params=query).json()["munsell"] == f"N {value:.1f}"


@pytest.mark.parametrize(
    ("colour", "reason"),
    [
        ("Lab 0.5 0 0", "Too dark for the Munsell renotation, which begins at 0.2."),
        ("Lab 50 190 0", "Stronger than any colour in the Munsell renotation."),
    ],
)
def test_where_there_is_no_munsell_notation_the_reason_is_given(client, colour, reason) -> None:
    answer = client.get("/api/colours", params={"colour": colour}).json()
    assert (answer["munsell"], answer["munsell_reason"]) == (None, reason)
    assert answer["colour"]["hex"].startswith("#")


@pytest.mark.parametrize(
    ("query", "detail", "code"),
    [
        ({"colour": "brownish"}, "“brownish” is not a colour", "bad_colour"),
        ({"colour": "Lab 150 0 0"}, "L must lie between 0 and 100", "bad_colour"),
        ({"colour": "#" * 201}, "At most 200 characters", "bad_input"),
        ({}, "Fill this in", "bad_input"),
    ],
)
def test_what_is_no_colour_is_refused(client, refused, query, detail: str, code: str) -> None:
    body = refused(client.get("/api/colours", params=query), 422, code, detail, pointer="/colour")
    assert len(body["errors"]) == 1
