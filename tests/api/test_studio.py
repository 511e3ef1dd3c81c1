"""The studio by the API: asked for, watched, shown to others by choice, on paper."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from brief.services.pages.instrument import studio as sheet
from tests.studio_at_once import taken

ANY = {"If-Match": "*"}


@pytest.fixture(autouse=True)
def where_pictures_can_be_taken(monkeypatch) -> None:
    """The sheet asks for the renderer itself; the studio of these tests needs none."""
    monkeypatch.setattr(sheet, "missing", str)


def test_a_picture_is_asked_for_watched_and_kept(client, brief) -> None:
    job = taken(client, brief["id"], view="close", light="A", fineness="small")
    assert job["state"] == "done"
    kept = client.get(job["studio_picture"]).json()
    assert kept["private"]
    assert kept["said"][0] == "Computed, not photographed."
    assert client.get(job["picture"]).headers["content-type"] == "image/png"
    assert client.get(kept["picture"]["page"]).status_code == 200
    # The same again is there at once, and once.
    again = client.post(
        f"/api/briefs/{brief['id']}/studio",
        json={"view": "close", "light": "A", "fineness": "small"},
    ).json()
    assert (again["state"], again["studio_picture"]) == ("done", job["studio_picture"])
    assert len(client.get("/api/studio-pictures").json()["items"]) == 1


def test_what_cannot_be_taken_is_refused_beside_its_field(client, brief) -> None:
    for fields in ({"view": "above"}, {"light": "candle"}, {"state": "wet"}):
        answer = client.post(f"/api/briefs/{brief['id']}/studio", json=fields)
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == f"/{next(iter(fields))}"
    assert client.post("/api/briefs/nowhere/studio", json={}).status_code == 404
    assert client.get("/api/studio-jobs/nowhere").status_code == 404


def test_a_job_that_ended_cannot_be_cancelled(client, brief) -> None:
    job = taken(client, brief["id"])
    assert client.delete(f"/api/studio-jobs/{job['id']}").json()["state"] == "done"


def test_its_sheet_says_what_is_under_way_and_shows_what_is_done(client, brief) -> None:
    there = f"/briefs/{brief['id']}/studio"
    page = client.get(there).text
    assert "No picture yet" in page
    assert "No wood is chosen yet: the picture will be plain." in page
    taken(client, brief["id"])
    page = client.get(there).text
    assert "Computed, not photographed." in page
    assert "Only you see it." in page
    assert 'data-open="0"' in client.get(f"{there}/under-way").text


def test_others_see_a_picture_only_once_it_is_chosen(client, brief) -> None:
    job = taken(client, brief["id"])
    kept = client.get(job["studio_picture"]).json()
    made = client.post("/api/shares", json={"brief_id": brief["id"], "name": "Ines"}).json()
    page, whole = (
        f"{made['address']}/seen{kept['picture'][size]}" for size in ("page", "original")
    )

    def seen() -> str:
        return str(client.get(made["address"]).text)

    assert "As it will look" not in seen()
    assert client.get(page).status_code == 404
    client.patch(job["studio_picture"], json={"private": False}, headers=ANY)
    assert "As it will look" in seen()
    assert "Computed, not photographed." in seen()
    assert (client.get(page).status_code, client.get(whole).status_code) == (200, 404)
    client.delete(job["studio_picture"], headers=ANY)
    assert "As it will look" not in seen()
    assert client.get(page).status_code == 404


def test_a_cover_and_a_card_by_choice_and_never_a_private_one(client, brief) -> None:
    job = taken(client, brief["id"])
    kept = job["studio_picture"].rpartition("/")[2]
    papers = f"/api/briefs/{brief['id']}"
    for name, field in (("booklet.pdf", "cover"), ("card.pdf", "picture")):
        refused = client.get(f"{papers}/{name}", params={field: kept})
        assert refused.status_code == 422
    client.patch(job["studio_picture"], json={"private": False}, headers=ANY)
    for name, field in (("booklet.pdf", "cover"), ("card.pdf", "picture")):
        answer = client.get(f"{papers}/{name}", params={field: kept})
        assert answer.status_code == 200, answer.text
        assert answer.content.startswith(b"%PDF")
    assert "(computed)" in client.get(f"/briefs/{brief['id']}/paper").text


def test_a_picture_says_when_what_it_is_computed_from_has_changed(client, brief) -> None:
    asked = {"view": "front", "light": "LED-B3", "state": "bare", "fineness": "small"}
    kept = taken(client, brief["id"], **asked)["studio_picture"]
    there = f"/briefs/{brief['id']}/studio"
    assert client.get(kept).json()["is_of_today"]
    assert "Of an earlier state" not in client.get(there).text
    # Words that are not in the picture leave it as it is.
    client.patch(f"/api/briefs/{brief['id']}", json={"theme": "Salt and tar."}, headers=ANY)
    assert client.get(kept).json()["is_of_today"]

    piece = client.post("/api/materials", json={"label": "Cedar", "reading": "Lab 40 9 15"}).json()
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    top = next(f"/api/parts/{one['id']}" for one in parts if one["role"] == "top")
    client.patch(top, json={"material_id": piece["id"]}, headers=ANY)
    assert not client.get(kept).json()["is_of_today"]
    (listed,) = client.get("/api/studio-pictures").json()["items"]
    assert not listed["is_of_today"]
    page = client.get(there).text
    assert "Of an earlier state" in page
    assert "Make it again" in page
    assert 'name="light" value="LED-B3"' in page
    assert 'name="fineness" value="small"' in page
    # Made again it is of today; the first stays what it was, until the wood is put back.
    again = taken(client, brief["id"], **asked)["studio_picture"]
    assert again != kept
    assert client.get(again).json()["is_of_today"]
    client.patch(top, json={"material_id": None}, headers=ANY)
    assert client.get(kept).json()["is_of_today"]
    assert not client.get(again).json()["is_of_today"]


def test_a_picture_of_a_place_that_was_removed_cannot_be_made_again(client, brief) -> None:
    place = client.post(
        "/api/viewings",
        json={"brief_id": brief["id"], "name": "the loft", "light": "A", "distance_m": 2},
    ).json()
    kept = taken(client, brief["id"], light=place["id"])["studio_picture"]
    assert client.get(kept).json()["is_of_today"]
    client.delete(f"/api/viewings/{place['id']}", headers=ANY)
    assert not client.get(kept).json()["is_of_today"]
    page = client.get(f"/briefs/{brief['id']}/studio").text
    assert "Its light is there no more" in page
    assert "Make it again" not in page


def test_guests_and_paper_are_told_of_an_earlier_state(client, brief) -> None:
    kept = taken(client, brief["id"])["studio_picture"]
    client.patch(kept, json={"private": False}, headers=ANY)
    made = client.post("/api/shares", json={"brief_id": brief["id"], "name": "Ines"}).json()

    def told() -> list[bool]:
        answer = client.get(
            f"/api/briefs/{brief['id']}/booklet.pdf", params={"cover": kept.rpartition("/")[2]}
        )
        paper = PdfReader(BytesIO(answer.content)).pages[0].extract_text()
        pages = (client.get(made["address"]).text, " ".join(paper.split()))
        return ["Of an earlier state" in page for page in pages]

    assert told() == [False, False]
    piece = client.post("/api/materials", json={"label": "Cedar", "reading": "Lab 40 9 15"}).json()
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    top = next(f"/api/parts/{one['id']}" for one in parts if one["role"] == "top")
    client.patch(top, json={"material_id": piece["id"]}, headers=ANY)
    assert told() == [True, True]
