"""The first verdict, from an empty shelf and two photographs; and wood shown in its own colour.

What is truly wood in each picture is known: see `tests.photo.rendered_board`.
"""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, srgb_to_linear, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.photo import Area, Region, Selection, open_photo
from tests.photo.rendered_bench import as_file
from tests.photo.rendered_board import CHART, INSIDE, PAPER, STRIP, scene


def lab(pixels: np.ndarray) -> np.ndarray:
    """CIELAB of the mean of sRGB pixels, shape (n, 3), in linear light."""
    return xyz_to_lab(SRGB_TO_XYZ @ srgb_to_linear(pixels / 255).mean(axis=0))


@pytest.fixture
def shoot(client, send):
    """A piece from one photograph, with that photograph."""

    def shot(name: str, image: Image.Image):
        piece = send((f"{name}.png", as_file(image)), to="materials").json()[0]
        listed = client.get(f"/api/photographs?material_id={piece['id']}").json()["items"]
        return piece, listed[0]

    return shot


@pytest.fixture
def judged(client, make, brief):
    def verdict(ground, inlay, **more):
        return make(
            "pairings", brief_id=brief["id"], ground_id=ground["id"], inlay_id=inlay["id"], **more
        )

    return verdict


def test_two_photographs_one_with_a_chart_give_the_right_verdict(
    client, shoot, judged, brief
) -> None:
    """A dark board with a chart beside it, a pale one with paper: before, chart and bench counted
    for figure, and cream on dark wood was said to sink.
    """
    dark, _ = scene("walnut", "spruce", INSIDE, chart=CHART)
    pale, _ = scene("bone", "bog-oak", STRIP, paper=PAPER)
    ground, shot = shoot("walnut", dark)
    inlay, _ = shoot("bone", pale)
    assert shot["correction"]["correct_by"] == "chart"
    assert shot["where"]["by"] == "proposed"
    assert len(shot["where"]["without"]) == 1
    # As the wood alone has it, outlined by hand; light and camera are as they are.
    outline = " ".join(f"{x},{y}" for x, y in INSIDE)
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        f'<polygon points="{outline}"/></svg>'
    )
    pairing = judged(ground, inlay, line_mm=2)
    by_hand = client.patch(
        f"/api/photographs/{shot['id']}",
        json={"selections": [drawn]},
        headers={"If-Match": shot["etag"]},
    ).json()
    assert delta_e_2000(shot["colour"]["lab"], by_hand["colour"]["lab"]) < 1
    again = client.get(f"/api/pairings/{pairing['id']}").json()["verdict"]
    first = pairing["verdict"]
    assert first["reading"] == again["reading"]
    assert first["seen"][0]["needed"] == pytest.approx(again["seen"][0]["needed"], rel=0.15)
    assert first["seen"][0]["grain"] == pytest.approx(again["seen"][0]["grain"], rel=0.15)


def test_a_verdict_on_what_nobody_outlined_says_so_and_leads_there(
    client, shoot, judged, brief
) -> None:
    proposed, _ = scene("walnut", "spruce", INSIDE)
    ground, shot = shoot("walnut", proposed)
    inlay, whole = shoot("shell", Image.new("RGB", (60, 40), (226, 225, 218)))
    mends = judged(ground, inlay)["mends"]
    assert [(one["form"], one["photograph_id"]) for one in mends] == [
        ("where", shot["id"]),
        ("where", whole["id"]),
        ("size", shot["id"]),
    ]
    assert mends[0]["words"] == "walnut: measured inside an outline that was proposed."
    assert mends[1]["words"] == "shell: the whole photograph was measured."
    (pairing,) = client.get(f"/api/pairings?brief_id={brief['id']}").json()["items"]
    page = client.get(f"/briefs/{brief['id']}/pairings/{pairing['id']}").text
    piece = f"/briefs/{brief['id']}/timber/{ground['id']}"
    for address, form in (
        (f"{piece}#where-{shot['id']}", f'id="where-{shot["id"]}"'),
        (f"{piece}#size-{shot['id']}", f'id="size-{shot["id"]}"'),
    ):
        assert f'href="{address}"' in page
        assert form in client.get(piece).text
    for measured, doubted in ((ground, True), (inlay, False)):
        told = client.get(f"/briefs/{brief['id']}/timber/{measured['id']}").text
        assert ("nine times in ten" in told) is doubted
        assert ("The whole photograph was measured, with" in told) is not doubted
    for one in (shot, whole):
        right = one["where"]["selections"] or ["xywh=percent:0,0,100,100"]
        answer = client.patch(
            f"/api/photographs/{one['id']}",
            json={"selections": right},
            headers={"If-Match": one["etag"]},
        ).json()
        assert answer["colour"]["lab"] == pytest.approx(one["colour"]["lab"], abs=0.05)
    (pairing,) = client.get(f"/api/pairings?brief_id={brief['id']}").json()["items"]
    assert [one["form"] for one in pairing["mends"]] == ["size"]


@pytest.mark.parametrize("outlined", [False, True])
@pytest.mark.parametrize(
    ("board", "bench", "ring", "more"),
    [
        ("walnut", "spruce", STRIP, {"paper": PAPER}),
        ("black-wood", "sycamore", INSIDE, {"chart": CHART}),
        ("sapele", "spruce", INSIDE, {}),
    ],
)
def test_wood_is_shown_in_the_colour_that_was_measured(
    client, shoot, board, bench, ring, more, outlined
) -> None:
    """Of the pixels that were measured. Before, the mean of all that is shown was brought to the
    measured colour, paper and bench with it: dark wood went some 20 CIEDE2000 off.
    """
    image, _ = scene(board, bench, ring, **more)
    piece, shot = shoot(board, image)
    if outlined:  # a triangle, round which much else is shown
        triangle = (
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
            '<polygon points="30,42 74,44 32,70"/></svg>'
        )
        shot = client.patch(
            f"/api/photographs/{shot['id']}",
            json={"selections": [triangle]},
            headers={"If-Match": shot["etag"]},
        ).json()
        piece = client.get(f"/api/materials/{piece['id']}").json()
    shown = np.asarray(open_photo(BytesIO(client.get(piece["texture"]).content)))
    area = Area(
        tuple(Selection.parse(text) for text in shot["where"]["selections"]),
        tuple(tuple(map(tuple, ring)) for ring in shot["where"]["without"]),
    )
    part = Region.parse(piece["region"]) if piece["region"] else Region(0, 0, 100, 100)
    measured = area.mask_in(part, shown.shape[1], shown.shape[0])
    # As much beside the colour of all that was measured as this part of it is in the photograph.
    pixels, everywhere = np.asarray(image), area.mask(*image.size)
    left, top, right, bottom = part.box(*image.size)
    here = np.zeros_like(everywhere)
    here[top:bottom, left:right] = True
    place = lab(pixels[everywhere & here]) - lab(pixels[everywhere])
    assert delta_e_2000(lab(shown[measured]), piece["colour"]["lab"] + place) < 0.6
    if not outlined:  # the part that stands for the piece holds nothing but what was measured
        assert measured.mean() > 0.98


def test_the_address_of_what_is_shown_changes_with_what_was_measured(client, shoot) -> None:
    image, _ = scene("walnut", "spruce", INSIDE)
    piece, shot = shoot("walnut", image)
    before = piece["texture"]
    client.patch(
        f"/api/photographs/{shot['id']}",
        json={"selections": ["xywh=percent:0,0,100,100"]},
        headers={"If-Match": shot["etag"]},
    )
    after = client.get(f"/api/materials/{piece['id']}").json()["texture"]
    assert before.partition("from=")[2] != after.partition("from=")[2]
    kept = client.get(before)
    assert kept.status_code == 200  # an address once given leads there for ever


def test_an_address_of_before_is_toned_by_what_shines_least(client, shoot) -> None:
    """Without what was measured, glare and paper at the end of its range count for nothing."""
    board = Image.new("RGB", (200, 100), (120, 70, 30))
    board.paste((255, 255, 255), (140, 0, 200, 100))
    piece, _ = shoot("walnut", board)
    sha256 = piece["picture"]["sha256"]
    for told in ("", "&from=seen"):
        answer = client.get(f"/images/{sha256}/texture?mean=40.0,20.0,25.0{told}")
        shown = np.asarray(open_photo(BytesIO(answer.content)))[:, :120].reshape(-1, 3)
        assert delta_e_2000(lab(shown), (40, 20, 25)) < 2
    assert client.get(f"/images/{sha256}/texture?mean=40.0,20.0,25.0&from=x").status_code == 422


# ---- in one sending, from an empty shelf ----


def sent_first(client, **fields):
    files = {
        name: (f"{name}.png", as_file(image), "image/png")
        for name, image in fields.items()
        if isinstance(image, Image.Image)
    }
    data = {name: text for name, text in fields.items() if name not in files}
    return client.post("/api/first-verdicts", files=files, data=data)


def test_two_photographs_make_a_brief_and_two_pieces_and_the_right_verdict(client) -> None:
    dark, _ = scene("walnut", "spruce", INSIDE, chart=CHART)
    pale, _ = scene("bone", "bog-oak", STRIP, paper=PAPER)
    answer = sent_first(client, timber=dark, inlay=pale, line_mm="1/16 in")
    assert answer.status_code == 201
    pairing = answer.json()
    assert pairing["verdict"]["reading"] == "reads"
    assert pairing["line_mm"] == pytest.approx(1.5875)
    (brief,) = client.get("/api/briefs").json()["items"]
    assert (brief["id"], brief["title"]) == (pairing["brief_id"], "inlay on timber")
    assert len(client.get("/api/materials").json()["items"]) == 2


def test_one_photograph_and_a_colour(client) -> None:
    dark, _ = scene("walnut", "spruce", INSIDE, chart=CHART)
    pairing = sent_first(client, timber=dark, inlay_colour="#f0e6d0", line_mm="1").json()
    assert pairing["verdict"]["reading"] == "reads"
    inlay = client.get(f"/api/materials/{pairing['inlay']['id']}").json()
    assert inlay["colour"]["uncertainty"] == 10  # as screens have it
    assert inlay["label"] == inlay["colour"]["words"].capitalize()
    assert inlay["stuff"] == "other"  # nobody said that it is wood
    assert "wood dust" not in inlay["care"]


def test_what_is_missing_is_all_said_at_once(client) -> None:
    answer = client.post("/api/first-verdicts", data={"line_mm": "1"})
    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == ["/timber", "/inlay"]


@pytest.mark.parametrize(
    ("fields", "pointer", "said"),
    [
        ({}, "/inlay", "Add a photograph of the inlay, or type its colour"),
        ({"inlay_colour": "reed"}, "/inlay_colour", "reed"),
        ({"inlay_colour": "#f0e6d0", "line_mm": "30"}, "/line_mm", "10"),
    ],
)
def test_what_is_wrong_is_said_of_its_field_and_nothing_is_made(
    client, fields, pointer, said
) -> None:
    plain = Image.new("RGB", (60, 40), (120, 80, 50))
    answer = sent_first(client, timber=plain, **fields)
    assert answer.status_code == 422
    (fault,) = answer.json()["errors"]
    assert fault["pointer"] == pointer
    assert said in fault["detail"]
    for noun in ("briefs", "materials", "pairings"):
        assert client.get(f"/api/{noun}").json()["items"] == []


def test_a_file_that_is_no_picture_is_said_of_its_field(client) -> None:
    plain = as_file(Image.new("RGB", (60, 40), (120, 80, 50)))
    files = {"timber": ("a.png", plain), "inlay": ("b.png", b"glue, fret wire")}
    answer = client.post("/api/first-verdicts", files=files)
    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == ["/inlay"]
    assert client.get("/api/materials").json()["items"] == []
    missing = client.post("/api/first-verdicts", data={"inlay_colour": "#f0e6d0"})
    assert missing.status_code == 422
    assert [fault["pointer"] for fault in missing.json()["errors"]] == ["/timber"]
