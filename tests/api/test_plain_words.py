"""Small words that a maker or a caller reads: titles, articles, numbers, the list of lights."""

from __future__ import annotations

import io
import re

import pypdfium2 as pdfium
import pytest

from brief.colour.viewing.light import lights
from brief.services.pairing.viewings import OWN_LAMP, light_choices
from brief.services.sharing import printed_pictures

HTML = {"Accept": "text/html"}


@pytest.fixture
def numbers_page(client, make, brief, monkeypatch):
    """The booklet's words for an instrument with these numbers."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)

    def printed(**changed):
        at = f"/api/briefs/{brief['id']}"
        if changed:
            answer = client.patch(f"{at}/numbers", json=changed, headers={"If-Match": "*"})
            assert answer.status_code == 200, answer.text
        with pdfium.PdfDocument(io.BytesIO(client.get(f"{at}/booklet.pdf").content)) as document:
            return " ".join(" ".join(p.get_textpage().get_text_bounded().split()) for p in document)

    return printed


def labels(client, brief, *names):
    found = client.get(f"/api/briefs/{brief['id']}/numbers").json()["numbers"]
    return [one["label"] for one in found if one["name"] in names]


def test_the_booklet_leaves_out_what_the_instrument_has_not(client, brief, numbers_page):
    cutaway = labels(client, brief, "cutaway_depth_mm", "cutaway_length_mm", "cutaway_round_mm")
    fan = labels(client, brief, "fan_mm", "square_fret")
    assert len(cutaway + fan) == 5
    without = numbers_page()
    for label in (*cutaway, *fan):
        assert label not in without
    for label in cutaway:
        assert label in numbers_page(cutaway_depth_mm=60)
    for label in fan:
        assert label in numbers_page(fan_mm=15)


def test_a_flat_board_has_no_radius_in_the_booklet(client, brief, numbers_page):
    radii = labels(client, brief, "radius_mm", "radius_end_mm")
    assert all(label in numbers_page() for label in radii)
    flat = numbers_page(radius_mm=0)
    assert not any(label in flat for label in radii)


def test_a_number_is_told_without_the_noise_of_arithmetic(client, brief):
    for one in client.get(f"/api/briefs/{brief['id']}/numbers").json()["numbers"]:
        assert len(repr(one["value"]).partition(".")[2]) <= 6, one["name"]


def test_what_begins_with_a_vowel_has_its_article(served):
    said = [
        operation["summary"]
        for path in served.app.openapi()["paths"].values()
        for operation in path.values()
    ]
    assert "Make an inlay" in said
    assert "Read a brief" in said
    assert [one for one in said if re.search(r"\ba [aeiou]", one)] == []


def test_an_error_page_says_what_is_wrong_and_not_what_http_calls_it(client):
    page = client.get("/nope", headers=HTML)
    assert page.status_code == 404
    assert "<title>This is not here" in page.text
    assert "<h2>This is not here</h2>" in page.text
    assert "Not Found" not in page.text
    assert client.get("/api/nope").json()["title"] == "Not Found"  # RFC 9457 asks for its own


def test_lights_with_plain_names_come_first_and_none_is_lost(client, brief):
    groups = light_choices()
    assert [key for key, _ in groups["Usual"]][:2] == [OWN_LAMP, "D65"]
    every = [key for those in groups.values() for key, _ in those]
    assert sorted(every) == sorted([OWN_LAMP, *(one.key for one in lights())])
    page = client.get(f"/briefs/{brief['id']}/pairings").text
    assert page.index("warm white LED (") < page.index('label="By its CIE name"')
    assert page.index('name="light"') < page.index('name="kelvin"') < page.index('name="rendering"')
    assert '<option value="D65" selected>' in page
