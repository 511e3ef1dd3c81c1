"""A brief that is begun from another one: a copy of what is asked for, and nothing else."""

from __future__ import annotations

import pytest

ANY = {"If-Match": "*"}
OWN = ("motifs", "references", "palettes", "swatches", "parts", "inlays", "comments", "notes")


@pytest.fixture
def full(client, brief, make, send, picture):
    """A brief whose parts lead back to a motif, with something said of it."""
    here = {"brief_id": brief["id"]}
    change = {"theme": "Low water.", "show": "the net loft", "wanted_by": "2027-05-15"}
    client.patch(f"/api/briefs/{brief['id']}", json=change, headers=ANY)
    motif = make("motifs", **here, name="Reed")
    shot = send(("reed.jpg", picture((190, 170, 110)))).json()[0]
    facts = {"motif_ids": [motif["id"]], "private": True}
    client.patch(f"/api/references/{shot['id']}", json=facts, headers=ANY)
    palette = make("palettes", reference_id=shot["id"], colours=2)
    straw = make(
        "swatches", **here, name="Straw", palette_id=palette["id"], palette_index=0,
        motif_id=motif["id"],
    )  # fmt: skip
    walnut = make("materials", label="Walnut", reading="Lab 30 9 15")
    part = make(
        "parts", **here, role="bridge", name="Bridge plate", material_id=walnut["id"],
        swatch_id=straw["id"], motif_id=motif["id"],
    )  # fmt: skip
    make("comments", **here, about_kind="brief", about_id=brief["id"], author="Ines", text="Yes.")
    make("notes", about_kind="motif", about_id=motif["id"], text="Cut thin.")
    client.patch(f"/api/briefs/{brief['id']}", json={"numbers": {"scale_mm": 640}}, headers=ANY)
    return {"motif": motif, "shot": shot, "straw": straw, "walnut": walnut, "part": part}


@pytest.fixture
def begin(client, brief):
    def begun(**fields):
        asked = {"brief_id": brief["id"], "title": "Last light", **fields}
        return client.post("/api/briefs/beginnings", json=asked)

    return begun


@pytest.fixture
def all_of(client):
    """All of a noun that a brief has."""

    def listed(noun, brief_id):
        asked = {"limit": 200} | ({} if noun == "notes" else {"brief_id": brief_id})
        items = client.get(f"/api/{noun}", params=asked).json()["items"]
        return [one for one in items if one.get("brief_id", brief_id) == brief_id]

    return listed


def test_a_copy_has_ids_of_its_own_and_leads_back_within_itself(client, brief, full, begin, all_of):
    answer = begin()
    assert answer.status_code == 201, answer.text
    new = answer.json()
    assert answer.headers["location"] == f"/api/briefs/{new['id']}"
    assert answer.headers["etag"] == '"1"'
    assert new["id"] != brief["id"]
    assert (new["title"], new["theme"]) == ("Last light", "Low water.")
    assert (new["show"], new["wanted_by"]) == ("", None)
    assert new["numbers"] == {"scale_mm": 640}

    bridge = next(one for one in all_of("parts", new["id"]) if one["name"] == "Bridge plate")
    assert bridge["id"] != full["part"]["id"]
    assert bridge["material"]["id"] == full["walnut"]["id"]  # the rack belongs to all briefs
    thread = client.get(f"/api/parts/{bridge['id']}/thread").json()
    (motif,) = thread["motifs"]
    assert motif["name"] == "Reed"
    assert thread["reference"]["private"] is True
    for one, old in (
        (motif, full["motif"]),
        (thread["swatch"], full["straw"]),
        (thread["reference"], full["shot"]),
    ):
        assert one["id"] != old["id"]
        assert one["brief_id"] == new["id"]
    assert thread["reference"]["picture"]["sha256"] == full["shot"]["picture"]["sha256"]
    # In the order of making, as the other has it.
    names = [[one["name"] for one in all_of("parts", of)] for of in (brief["id"], new["id"])]
    assert names[0] == names[1]
    assert all_of("comments", new["id"]) == []


def test_the_other_brief_stays_as_it_was(client, brief, full, begin, all_of):
    def seen():
        return [all_of(noun, brief["id"]) for noun in OWN if noun != "notes"] + [
            client.get(f"/api/briefs/{brief['id']}").json(),
            client.get("/api/materials").json(),
        ]

    before = seen()
    new = begin().json()
    client.patch(f"/api/briefs/{new['id']}", json={"theme": "Another."}, headers=ANY)
    for motif in all_of("motifs", new["id"]):
        client.delete(f"/api/motifs/{motif['id']}", headers=ANY)
    assert seen() == before


@pytest.mark.parametrize(
    ("keep", "counts"),
    [
        ([], (0, 0, 0)),
        (["motifs"], (1, 0, 0)),
        (["references"], (0, 1, 1)),
        (["motifs", "references"], (1, 1, 1)),
    ],
)
def test_only_what_is_asked_for_is_copied(full, begin, all_of, client, keep, counts):
    new = begin(keep=keep).json()
    found = tuple(len(all_of(noun, new["id"])) for noun in ("motifs", "references", "swatches"))
    assert found == counts
    assert new["theme"] == ""
    assert new["numbers"] == {}
    parts = all_of("parts", new["id"])
    assert len(parts) > 10  # those of its instrument, still open
    assert not any(one["material"] or one["swatch"] for one in parts)
    for swatch in all_of("swatches", new["id"]):
        assert (swatch["motif_id"] is None) == ("motifs" not in keep)


def test_parts_alone_keep_their_pieces_and_lose_what_stayed_behind(full, begin, all_of):
    new = begin(keep=["spec"]).json()
    bridge = next(one for one in all_of("parts", new["id"]) if one["name"] == "Bridge plate")
    assert bridge["material"]["label"] == "Walnut"
    assert (bridge["swatch"], bridge["motif_id"]) == (None, None)


def test_a_brief_can_be_begun_from_twice_and_from_a_copy(full, begin, all_of):
    first, second = begin().json(), begin().json()
    third = begin(brief_id=first["id"], title="Third").json()
    assert len({first["id"], second["id"], third["id"]}) == 3
    assert [len(all_of("references", one["id"])) for one in (first, second, third)] == [1, 1, 1]


def test_what_is_in_the_bin_stays_there(client, full, begin, all_of):
    client.delete(f"/api/swatches/{full['straw']['id']}", headers=ANY)
    new = begin().json()
    assert all_of("swatches", new["id"]) == []
    bridge = next(one for one in all_of("parts", new["id"]) if one["name"] == "Bridge plate")
    assert bridge["swatch"] is None


def test_the_copy_can_be_saved_and_opened_again(client, full, begin):
    new = begin().json()
    packed = client.get(f"/api/briefs/{new['id']}/parcel.zip").content
    answer = client.post("/api/parcels", files={"file": ("last.zip", packed)})
    assert answer.json()["outcome"] == "here"


def test_what_cannot_be_begun_from_is_refused_and_adds_nothing(client, brief, begin, refused):
    before = client.get("/api/briefs").json()
    refused(begin(brief_id="01JD8Q5Z7M3K2V9X4T6R8W0Y1A"), 404, "not_found")
    refused(begin(title=" "), 422, "bad_input")
    refused(begin(keep=["prices"]), 422, "bad_input")
    client.delete(f"/api/briefs/{brief['id']}", headers=ANY)
    refused(begin(), 404, "not_found")
    assert len(client.get("/api/briefs").json()["items"]) == len(before["items"]) - 1


def test_the_shelf_offers_it(client, brief):
    page = client.get("/").text
    assert 'action="/api/briefs/beginnings"' in page
    assert f'<option value="{brief["id"]}" selected>{brief["title"]}</option>' in page
