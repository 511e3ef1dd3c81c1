"""A colour picked in a picture: looked at, named, and followed to the part that it is meant for."""

from __future__ import annotations

import numpy as np
import pytest

from brief.colour import srgb_to_lab

REED, MUD = (180, 160, 90), (70, 60, 50)
LEFT, ACROSS = "10,10,20,20", "45,10,10,20"  # within the reed; over where it meets the mud


def _lab(colour) -> np.ndarray:
    return srgb_to_lab(np.array(colour) / 255)


@pytest.fixture
def reference(make, send, picture) -> dict:
    brief = make("briefs", title="Reed")
    sent = send(("reed.png", picture(REED, MUD)), brief_id=brief["id"])
    return sent.json()[0]


def _look(client, reference, region):
    return client.get(f"/api/references/{reference['id']}/colour", params={"region": region})


def test_it_is_the_mean_of_what_is_there_and_nothing_is_kept(client, reference) -> None:
    """The mean of a plain area is its colour: arithmetic, IEC 61966-2-1 and CIE 15."""
    seen = _look(client, reference, f"xywh=percent:{LEFT}").json()
    assert seen["colour"]["lab"] == pytest.approx(_lab(REED), abs=0.6)
    assert seen["spread"] == pytest.approx(0, abs=0.5)
    assert seen["colour"]["uncertainty"] > 5  # nothing in the shot says what the light was
    assert seen["corrected"] is False
    assert client.get("/api/palettes").json()["items"] == []


def test_of_two_colours_it_is_between_them_and_says_how_far_they_vary(client, reference) -> None:
    seen = _look(client, reference, f"xywh=percent:{ACROSS}").json()
    between = (_lab(REED) + _lab(MUD)) / 2
    assert seen["colour"]["lab"] == pytest.approx(between, abs=4)
    assert seen["spread"] > 10


def test_named_it_is_a_swatch_that_leads_back_to_its_picture(client, make, reference) -> None:
    brief = {"brief_id": reference["brief_id"]}
    motif = make("motifs", **brief, name="Reed")
    made = client.post(
        f"/api/references/{reference['id']}/swatches",
        json={"region": f"xywh=percent:{LEFT}", "name": "Stalk", "motif_id": motif["id"]},
    )
    assert made.status_code == 201
    swatch = made.json()
    assert swatch["name"] == "Stalk"
    assert swatch["colour"]["lab"] == pytest.approx(_lab(REED), abs=0.6)
    (palette,) = client.get("/api/palettes").json()["items"]
    assert (palette["asked"], palette["region"]) == ("1", f"xywh=percent:{LEFT}")
    assert [one["share"] for one in palette["colours"]] == [1.0]
    part = make("parts", **brief, role="binding", swatch_id=swatch["id"])
    thread = client.get(f"/api/parts/{part['id']}/thread").json()
    assert thread["reference"]["id"] == reference["id"]
    assert [one["name"] for one in thread["motifs"]] == ["Reed"]


def test_without_a_name_it_is_described(client, reference) -> None:
    made = client.post(
        f"/api/references/{reference['id']}/swatches", json={"region": f"xywh=percent:{LEFT}"}
    ).json()
    assert made["name"] == made["colour"]["words"]


@pytest.mark.parametrize("region", ["xywh=percent:0,0,0,0", "here", "xywh=percent:99,0,5,5"])
def test_a_place_that_is_none_is_refused_and_nothing_is_made(client, reference, region) -> None:
    refused = _look(client, reference, region)
    assert refused.status_code == 422
    assert "region" in refused.text
    made = client.post(f"/api/references/{reference['id']}/swatches", json={"region": region})
    assert made.status_code == 422
    assert client.get("/api/swatches").json()["items"] == []
    assert client.get("/api/palettes").json()["items"] == []


def test_a_passage_has_no_colour(client, make, reference) -> None:
    words = make("references", brief_id=reference["brief_id"], title="Note", passage="No wind.")
    refused = _look(client, words, f"xywh=percent:{LEFT}")
    assert refused.status_code == 422
    assert "this is a passage" in refused.json()["detail"]


def test_a_motif_that_is_not_there_keeps_nothing(client, reference) -> None:
    fields = {"region": f"xywh=percent:{LEFT}", "motif_id": "0" * 26}
    made = client.post(f"/api/references/{reference['id']}/swatches", json=fields)
    assert made.status_code == 422
    assert client.get("/api/palettes").json()["items"] == []
