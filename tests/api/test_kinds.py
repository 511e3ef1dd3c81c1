"""Kinds of instrument of the maker's own: kept from a brief, chosen for the next, removed."""

import pytest

from tests.api.once import fixture_once

ANY = {"If-Match": "*"}


@fixture_once
def kept(client, brief, make):
    """A kind kept from a brief with a longer scale, a wider waist and a part of its own."""
    at = f"/api/briefs/{brief['id']}/numbers"
    assert client.patch(at, json={"scale_mm": 640, "waist_mm": 214}, headers=ANY).is_success
    make("parts", brief_id=brief["id"], role="arm rest", name="Arm rest", sizes="6 mm")
    return make("kinds", brief_id=brief["id"], name="Small saltmarsh parlour")


@pytest.fixture
def numbers(client):
    def of(brief):
        found = client.get(f"/api/briefs/{brief['id']}/numbers").json()["numbers"]
        return {one["name"]: one for one in found}

    return of


def test_a_new_brief_of_it_has_its_numbers_and_its_parts(client, make, kept, numbers) -> None:
    second = make("briefs", title="Slack water", kind=kept["id"])
    assert second["instrument"] == "Small saltmarsh parlour"
    now = numbers(second)
    assert now["scale_mm"]["value"] == now["scale_mm"]["usual"] == 640
    assert now["waist_mm"]["value"] == pytest.approx(214)
    assert not any(one["changed"] for one in now.values())
    parts = client.get("/api/parts", params={"brief_id": second["id"]}).json()["items"]
    (rest,) = (part for part in parts if part["role"] == "arm rest")
    assert (rest["name"], rest["sizes"], rest["material"]) == ("Arm rest", "6 mm", None)
    assert kept["numbers"] == {name: one["value"] for name, one in now.items()}


def test_what_becomes_of_the_first_brief_changes_nothing(client, brief, make, kept, numbers):
    second = make("briefs", title="Slack water", kind=kept["id"])
    client.patch(f"/api/briefs/{brief['id']}/numbers", json={"scale_mm": 630}, headers=ANY)
    client.delete(f"/api/briefs/{brief['id']}", headers=ANY)
    assert numbers(second)["scale_mm"]["value"] == 640


def test_a_kind_of_a_kind_keeps_both_their_numbers(client, make, kept, numbers) -> None:
    second = make("briefs", title="Slack water", kind=kept["id"])
    client.patch(f"/api/briefs/{second['id']}/numbers", json={"nut_mm": 45}, headers=ANY)
    further = make("kinds", brief_id=second["id"], name="Narrow saltmarsh parlour")
    third = numbers(make("briefs", title="Ebb", kind=further["id"]))
    assert (third["scale_mm"]["usual"], third["nut_mm"]["usual"]) == (640, 45)


def test_removed_it_leaves_its_briefs_whole_but_is_not_offered(client, make, kept, refused):
    second = make("briefs", title="Slack water", kind=kept["id"])
    at = f"/briefs/{second['id']}/drawing"
    assert kept["id"] in client.get("/").text
    removed = client.delete(f"/api/kinds/{kept['id']}", headers=ANY).json()
    assert removed["also"] == ["Slack water"]
    assert kept["id"] not in client.get("/").text
    page = client.get(at)
    assert page.status_code == 200
    assert "320.00" in page.text  # the 12th fret of 640 mm
    assert "Small saltmarsh parlour (in the offcuts bin)" in page.text
    # Its own form sends the kind along as it is.
    same = {"kind": kept["id"], "title": "Slack tide"}
    assert client.patch(f"/api/briefs/{second['id']}", json=same, headers=ANY).is_success
    late = client.post("/api/briefs", json={"title": "Ebb", "kind": kept["id"]})
    refused(late, 422, "bad_input", "is in the offcuts bin", pointer="/kind")
    client.post(removed["take_back"])
    assert make("briefs", title="Ebb", kind=kept["id"])["kind"] == kept["id"]


@pytest.mark.parametrize("name", ["small SALTMARSH parlour", "Classical guitar", "", " \u200b "])
def test_a_name_that_is_taken_or_none_is_refused(client, brief, kept, on_disk, name) -> None:
    before = on_disk()
    answer = client.post("/api/kinds", json={"name": name, "brief_id": brief["id"]})
    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == ["/name"]
    assert on_disk() == before


def test_an_unknown_kind_is_refused_beside_its_field(client, refused) -> None:
    answer = client.post("/api/briefs", json={"title": "Ebb", "kind": "01JD8Q5Z7M3K2V9X4T6R8W0Y1A"})
    refused(answer, 422, "bad_input", "not a kind of instrument", pointer="/kind")


def test_numbers_sent_with_a_brief_are_those_of_its_kind(client, make, kept) -> None:
    """A waist beyond what its own kind allows is refused by that kind's own limits."""
    made = make("briefs", title="Ebb", kind=kept["id"], numbers={"nut_mm": 44})
    assert made["numbers"] == {"nut_mm": 44}
    wide = {"title": "Ebb", "kind": kept["id"], "numbers": {"waist_mm": 400}}
    assert client.post("/api/briefs", json=wide).status_code == 422
