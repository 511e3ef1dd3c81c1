"""A grey and a white card in one photograph: the tone curve is told, undone, kept and taken along.

What a colour truly is follows from its spectrum alone: see `tests.photo.rendered_bench`.
"""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from brief.colour import delta_e_2000
from brief.store.desk import Store
from tests.photo.rendered_bench import (
    CARD,
    LAMP,
    SECOND_CARD,
    WOOD,
    Shot,
    as_file,
    board_by_card,
    true_lab,
    woods,
)

MAPLE = woods()[25]
GREY, PAPER = "grey card 18 %", "white paper"
BY_GREY = {"correct_by": "card", "card": GREY, "card_region": CARD, "light": "daylight"}
SECOND = {"second_card": PAPER, "second_card_region": SECOND_CARD}
DAYLIGHT = Shot(LAMP.camera, "D50", exposure=0.8)


@pytest.fixture(scope="module", params=["none", "a phone's"])
def shot(request) -> bytes:
    return as_file(board_by_card(MAPLE, 0.18, DAYLIGHT, second=0.85, camera=request.param))


@pytest.fixture(scope="module")
def strong() -> bytes:
    return as_file(board_by_card(MAPLE, 0.18, DAYLIGHT, second=0.85, camera="a phone's"))


@pytest.fixture
def elsewhere(tmp_path: Path, empty_database: Path) -> Iterator[Store]:
    """An empty home."""
    home = tmp_path / "elsewhere"
    home.mkdir()
    shutil.copy(empty_database, home)
    opened = Store(home)
    yield opened
    opened.close()


def off(view) -> float:
    return float(delta_e_2000(view["colour"]["lab"], true_lab(MAPLE)))


def test_a_second_card_brings_the_wood_nearer_and_says_so(add_shot, change, shot) -> None:
    """Whether the camera has no tone curve or a strong one."""
    photograph = change(add_shot(shot), selections=[WOOD]).json()
    one = change(photograph, **BY_GREY).json()
    two = change(photograph, **SECOND).json()
    assert off(two) < 0.7 * off(one)
    assert two["correction"] | BY_GREY | SECOND == two["correction"]
    assert two["correction"]["sentence"] == (
        "Corrected by the grey card 18 % and the white paper in the shot, which show the camera’s "
        "tone curve. It was taken by daylight."
    )
    assert two["colour"]["uncertainty"] == pytest.approx(5.7, abs=0.05)
    assert two["colour"]["uncertainty"] < one["colour"]["uncertainty"]


def test_the_order_of_the_cards_does_not_matter(add_shot, change, strong) -> None:
    one, other = add_shot(strong), add_shot(strong)
    swapped = {
        **BY_GREY,
        **{"card": PAPER, "card_region": SECOND_CARD},
        **{"second_card": GREY, "second_card_region": CARD},
    }
    labs = [
        change(photograph, **by, selections=[WOOD]).json()["colour"]["lab"]
        for photograph, by in ((one, BY_GREY | SECOND), (other, swapped))
    ]
    assert labs[0] == pytest.approx(labs[1])


def test_without_a_second_card_all_is_as_before(add_shot, change, strong) -> None:
    photograph = add_shot(strong)
    one = change(photograph, **BY_GREY, selections=[WOOD]).json()
    assert (one["correction"]["second_card"], one["correction"]["second_card_region"]) == (
        None,
    ) * 2
    assert one["correction"]["sentence"] == (
        "Corrected by the grey card 18 % in the shot. It was taken by daylight."
    )
    change(photograph, **SECOND)
    back = change(photograph, second_card=None, second_card_region=None).json()
    assert back["correction"] == one["correction"]
    assert back["colour"]["lab"] == pytest.approx(one["colour"]["lab"])


def test_both_cards_are_left_out_to_their_edges(add_shot, change, strong) -> None:
    """What was drawn is well inside of them; the wood is of one colour."""
    whole = {"selections": ["xywh=percent:0,0,100,100"]}
    inside = {
        "card_region": "xywh=percent:67,17,16,16",
        "second_card_region": "xywh=percent:67,62,16,16",
    }
    photograph = add_shot(strong)
    answer = change(photograph, **(BY_GREY | SECOND | inside | whole)).json()
    wood = change(photograph, selections=[WOOD]).json()
    assert delta_e_2000(answer["colour"]["lab"], wood["colour"]["lab"]) < 0.5
    for ring, (left, top, right, bottom) in zip(
        answer["where"]["without"], ((60, 10, 90, 40), (60, 55, 90, 85)), strict=True
    ):
        assert (np.min(ring, axis=0) < (left, top)).all()
        assert (np.max(ring, axis=0) > (right, bottom)).all()


def test_a_reference_is_corrected_by_both_and_its_palette_with_it(send, make, change, strong):
    reference = send(("bench.png", strong)).json()[0]
    off_by = []
    for fields in (BY_GREY, SECOND):
        doubt = change(reference, "references", **fields).json()["correction"]["uncertainty"]
        palette = make("palettes", reference_id=reference["id"], colours=2, region=WOOD)
        colour = palette["colours"][0]["colour"]
        off_by.append(float(delta_e_2000(colour["lab"], true_lab(MAPLE))))
        assert colour["uncertainty"] == doubt
    assert off_by[1] < 0.7 * off_by[0]


def test_both_cards_go_along_in_the_zip_and_into_a_revision(
    app, client, elsewhere, add_shot, change, make, brief, strong
) -> None:
    photograph = change(add_shot(strong), **BY_GREY, selections=[WOOD]).json()
    piece = photograph["material_id"]
    make("parts", brief_id=brief["id"], role="top", material_id=piece)
    make("revisions", brief_id=brief["id"])
    photograph = change(photograph, **SECOND).json()
    since = client.get(f"/briefs/{brief['id']}/revisions").text
    assert "second card" in since
    parcel = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    app.state.store = elsewhere
    sent = client.post("/api/parcels", files={"file": ("a.zip", parcel)})
    assert sent.status_code == 201, sent.text
    there = client.get(f"/api/photographs/{photograph['id']}").json()
    assert there["correction"] == photograph["correction"]
    assert there["colour"]["lab"] == photograph["colour"]["lab"]
    # It is measured there by both again.
    again = change(there, selections=["xywh=percent:10,20,30,60"]).json()
    assert again["correction"] == photograph["correction"]


@pytest.mark.parametrize(
    ("fields", "detail"),
    [
        ({"second_card": "napkin"}, "second_card"),
        ({"second_card_region": "<script>"}, "second_card_region"),
    ],
)
def test_a_zip_whose_second_card_is_none_is_refused(
    client, refused, add_shot, change, make, brief, strong, fields, detail: str
) -> None:
    photograph = change(add_shot(strong), **BY_GREY, **SECOND).json()
    make("parts", brief_id=brief["id"], role="top", material_id=photograph["material_id"])
    parcel = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    with zipfile.ZipFile(io.BytesIO(parcel)) as packed:
        members = {name: packed.read(name) for name in packed.namelist()}
    document = json.loads(members["brief.json"])
    (row,) = document["records"]["photographs"]
    row |= fields
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as packed:
        for name, data in (members | {"brief.json": json.dumps(document)}).items():
            packed.writestr(name, data)
    answer = client.post("/api/parcels", files={"file": ("a.zip", target.getvalue())})
    refused(answer, 422, "bad_parcel", detail, pointer="/file")


REFUSED = {
    "not said which": ({"second_card": None}, "/second_card", "Choose what the second card is"),
    "not drawn": ({"second_card_region": None}, "/second_card_region", "Draw where the second"),
    "as dark": ({"second_card": GREY}, "/second_card", "only if one is grey and the other white"),
    "as light": (
        {"card": "white card 90 %", "card_region": SECOND_CARD, "second_card_region": CARD},
        "/second_card",
        "only if one is grey and the other white, such as a grey card and white paper",
    ),
    "unknown": ({"second_card": "napkin"}, "/second_card", "must be one of"),
    "in one place": (
        {"second_card_region": "xywh=percent:80,20,5,5"},
        "/second_card_region",
        "The two cards overlap",
    ),
    "outside the picture": (
        {"second_card_region": "xywh=percent:80,80,30,30"},
        "/second_card_region",
        "must lie inside the picture",
    ),
    "in words": (
        {"second_card_region": "at the top"},
        "/second_card_region",
        "A part of the picture is four numbers of percent",
    ),
    "over its edge": (
        {"second_card_region": "xywh=percent:40,55,40,30"},
        "/second_card_region",
        "(?i)not (one even surface|evenly lit)",
    ),
    "on the wood": (
        {"second_card_region": "xywh=percent:10,55,20,30"},
        "/second_card_region",
        "too dark for white|too little for the same light on both",
    ),
    "the first not drawn": ({"card_region": None}, "/card_region", "Draw where the card or paper"),
    "swapped": ({"card": PAPER, "second_card": GREY}, "/card_region", "too dark for white"),
}


@pytest.mark.parametrize(("fields", "pointer", "detail"), REFUSED.values(), ids=REFUSED.keys())
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_changed(
    add_shot, once, change, refused, on_disk, strong, fields, pointer: str, detail: str
) -> None:
    photograph = once("strong", lambda: add_shot(strong))
    before = on_disk()
    answer = change(photograph, **(BY_GREY | SECOND | fields))
    body = refused(answer, 422, answer.json()["type"].rsplit("-", 1)[1], detail, pointer=pointer)
    assert len(body["errors"]) == 1
    assert on_disk() == before


def test_a_second_card_that_is_blown_out_is_refused(add_shot, change, refused, on_disk) -> None:
    photograph = add_shot(as_file(board_by_card(MAPLE, 0.18, DAYLIGHT, second=1.6)))
    before = on_disk()
    answer = change(photograph, **BY_GREY, **SECOND)
    refused(answer, 422, "bad_image", "The paper is blown out", pointer="/second_card_region")
    assert on_disk() == before


def test_what_counts_for_nothing_is_still_read(add_shot, change, refused, strong) -> None:
    answer = change(add_shot(strong), second_card_region="at the top")
    refused(answer, 422, "bad_input", "four numbers of percent", pointer="/second_card_region")
