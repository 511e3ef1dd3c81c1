"""The picture of the instrument, in the panel and as files."""

import io
import re

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from brief.colour import linear_to_srgb, srgb_to_linear
from brief.colour.viewing.colour_vision import eyes
from brief.colour.viewing.light import DAYLIGHT, seen_matrix
from brief.instrument.rendering.raster import as_png
from brief.services.drawing import drawing_files
from tests.api.once import fixture_once

pytestmark = pytest.mark.computed


@pytest.fixture
def page(client, brief):
    """The sheet of parts with the switches as `cookie` has them."""

    def shown(cookie=""):
        client.cookies.clear()
        if cookie:
            client.cookies.set("seen", cookie)
        return client.get(f"/briefs/{brief['id']}/spec").text

    yield shown
    client.cookies.clear()


@pytest.mark.parametrize(
    ("view", "title"), [("front", "Front"), ("back", "Back"), ("side", "Side"), ("<b>", "Front")]
)
def test_the_panel_shows_the_side_that_was_chosen(page, view, title):
    text = page(f"view={view}")
    assert f'aria-label="{title} of the instrument:' in text
    pressed = title.lower()
    assert f'data-switch="view" value="{pressed}" aria-pressed="true"' in text
    assert text.count('data-switch="view"') == 3


RED, GREEN = (170, 60, 50), (40, 120, 70)


@fixture_once
def dressed(client, brief, send, picture):
    """A brief whose top has a photograph without a scale: red at its left, green at its right."""
    (piece,) = send(("board.png", picture(RED, GREEN, size=(480, 640))), to="materials").json()
    top = next(
        one
        for one in client.get(f"/api/parts?brief_id={brief['id']}").json()["items"]
        if one["role"] == "top"
    )
    laid = {"centre": 50, "match": "one", "turn": 0}
    changed = client.patch(
        f"/api/parts/{top['id']}",
        json={"material_id": piece["id"], "laying": laid},
        headers={"If-Match": top["etag"]},
    )
    assert changed.status_code == 200, changed.text
    return brief


@pytest.fixture
def taken(client, dressed):
    def asked(form, **query):
        return client.get(f"/api/briefs/{dressed['id']}/picture.{form}", params=query)

    return asked


def pixels(data):
    image = Image.open(io.BytesIO(data))
    return np.asarray(image.convert("RGB")).astype(int)


def hue(level):
    """Which of the two boards a pixel is of."""
    red, green, _ = level
    return "red" if red > green + 40 else "green" if green > red + 20 else "neither"


def test_a_png_shows_the_photograph_where_it_is_laid(taken):
    answer = taken("png", height=600)
    assert answer.headers["content-type"] == "image/png"
    assert 'filename="Saltmarsh-front.png"' in answer.headers["content-disposition"]
    shown = pixels(answer.content)
    assert shown.shape[0] == 600
    low, middle = 560, shown.shape[1] // 2
    assert hue(shown[low, middle - 40]) == "red"
    assert hue(shown[low, middle + 40]) == "green"
    assert (shown[2, 2] == 255).all()


def test_light_and_eyes_are_in_the_file_as_on_the_page(taken):
    plain = pixels(taken("png", height=400).content)
    protan = pixels(taken("png", height=400, eyes="protan").content)
    at = 373, plain.shape[1] // 2 + 27
    assert hue(plain[at]) == "green"
    # The page's own filter is this matrix on linear light (IEC 61966-2-1).
    matrix = seen_matrix(DAYLIGHT, eyes("protan"))
    wanted = linear_to_srgb(np.clip(matrix @ srgb_to_linear(plain[at] / 255), 0, 1)) * 255
    assert np.abs(protan[at] - wanted).max() <= 3


def test_an_svg_holds_its_photographs_or_links_them(taken):
    held = taken("svg", height=400).text
    assert "/images/" not in held
    assert "data:image/jpeg;base64," in held
    linked = taken("svg", textures="linked").text
    assert "/images/" in linked
    assert "data:" not in linked
    assert len(linked.encode()) < 400_000


def test_a_file_is_made_once_for_each_picture_that_it_shows(client, taken, dressed, monkeypatch):
    made = []

    def counted(svg, *, height_px):
        made.append(height_px)
        return as_png(svg, height_px=height_px)

    monkeypatch.setattr(drawing_files, "as_png", counted)
    first = taken("png", height=300)
    assert taken("png", height=300).content == first.content
    taken("pdf")
    taken("pdf")
    assert made == [300, drawing_files.HEIGHT_PX]
    assert taken("png", height=300, eyes="deutan").content != first.content
    parts = client.get(f"/api/parts?brief_id={dressed['id']}").json()["items"]
    top = next(one for one in parts if one["role"] == "top")
    client.patch(
        f"/api/parts/{top['id']}",
        json={"laying": {"centre": 80, "match": "one", "turn": 0}},
        headers={"If-Match": top["etag"]},
    )
    assert taken("png", height=300).content != first.content
    assert len(made) == 4
    svg = taken("svg", height=300)
    assert taken("svg", height=300).content == svg.content != taken("svg", height=200).content


def test_a_pdf_is_one_upright_page_that_says_what_it_shows(taken):
    answer = taken("pdf", view="back", eyes="deutan", height=300)
    (page,) = pypdfium2.PdfDocument(answer.content)
    assert [round(side / 72 * 25.4) for side in page.get_size()] == [210, 297]
    said = page.get_textpage().get_text_bounded()
    assert "Saltmarsh" in said
    assert "back" in said
    assert "to green-blind eyes" in said or "green-blind" in said
    assert "Not to scale" in said


@pytest.mark.parametrize("view", ["front", "back", "side", "head"])
def test_every_view_is_to_be_had(taken, view):
    assert pixels(taken("png", view=view, height=200).content).shape[0] == 200


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"view": "below"}, "/view"),
        ({"state": "wet"}, "/state"),
        ({"light": "moon"}, "/light"),
        ({"eyes": "all"}, "/eyes"),
        ({"height": 9}, "/height"),
    ],
)
def test_what_cannot_be_shown_is_refused(taken, refused, query, pointer):
    refused(taken("png", **query), 422, "bad_input", pointer=pointer)


def test_the_panel_offers_the_files_as_the_switches_stand(page):
    text = page("view=back&eyes=protan&light=gone")
    assert "/picture.png?view=back&amp;state=bare&amp;light=D65&amp;eyes=protan" in text


def test_the_panel_is_a_page_of_its_own_and_the_same(client, brief):
    sheet = client.get(f"/briefs/{brief['id']}/spec").text
    alone = client.get(f"/briefs/{brief['id']}/panel?sheet=spec").text
    aside = re.search('<aside class="panel".*</aside>', sheet, re.DOTALL)[0]
    assert aside in alone
    assert f'data-from="/briefs/{brief["id"]}/panel?sheet=spec"' in aside
    assert client.get(f"/briefs/{brief['id']}/panel?sheet=cellar").status_code == 404
