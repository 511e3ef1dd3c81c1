"""The studio by the API: asked for, watched, shown to others by choice, on paper."""

from __future__ import annotations

from tests.studio_at_once import taken

ANY = {"If-Match": "*"}


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
