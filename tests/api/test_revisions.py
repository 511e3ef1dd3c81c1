"""Freezing a brief, what changed since, and taking things back, through HTTP."""

from __future__ import annotations

import asyncio

import pytest
from httpx2 import ASGITransport, AsyncClient

from brief.services.history.changes.things import same_content
from brief.services.history.parcels.parcel import Parcel
from tests.api.once import fixture_once

ANY = {"If-Match": "*"}


@pytest.fixture
def change(client):
    """Change a record: `change("motifs", id, says="dry")`."""

    def changed(noun: str, record_id: str, **fields: object) -> dict:
        answer = client.patch(f"/api/{noun}/{record_id}", json=fields, headers=ANY)
        assert answer.status_code == 200, answer.text
        return answer.json()

    return changed


@pytest.fixture
def remove(client):
    def removed(noun: str, record_id: str) -> None:
        assert client.delete(f"/api/{noun}/{record_id}", headers=ANY).status_code == 200

    return removed


@fixture_once
def scene(brief, make, send, picture, client) -> dict:
    """A brief with a motif, a picture, a typed swatch, two measured pieces and a part."""
    here = {"brief_id": brief["id"]}
    made = {
        "motif": make("motifs", **here, name="reed", says="the tide goes out at first light"),
        "picture": send(("reeds.png", picture())).json()[0],
        "swatch": make("swatches", **here, name="wet reed", colour="Lab 40 -10.25 20"),
        "walnut": make("materials", label="walnut", reading="Lab 30 9 15"),
        "shell": make("materials", label="shell", reading="Lab 88 0 3"),
        "viewing": make("viewings", **here, name="the hall", light="LED-B3"),
    }
    top = {"role": "rosette", "name": "Ring", "material_id": made["walnut"]["id"]}
    made["part"] = make("parts", **here, **top, swatch_id=made["swatch"]["id"])
    made["palette"] = make("palettes", reference_id=made["picture"]["id"], colours=2)
    change = {"motif_ids": [made["motif"]["id"]]}
    client.patch(f"/api/references/{made['picture']['id']}", json=change, headers=ANY)
    return made


@pytest.fixture
def since(client):
    """What changed since a revision: (kind, label, what) and the fields of each."""

    def told(revision: dict, **query: str) -> dict:
        answer = client.get(f"/api/revisions/{revision['id']}/changes", params=query)
        assert answer.status_code == 200, answer.text
        return {
            (one["kind"], one["label"], one["what"]): {
                field["name"]: field for field in one["fields"]
            }
            for group in answer.json()["groups"]
            for one in group["changes"]
        }

    return told


def document(client, revision: dict) -> Parcel:
    return Parcel.model_validate(client.get(revision["document"]).json())


def test_letters_go_as_on_drawings_and_are_used_once(client, make, brief, change, remove) -> None:
    made = []
    for title in ("Saltmarsh", "Low water", "Slack water"):
        change("briefs", brief["id"], title=title)
        made.append(make("revisions", brief_id=brief["id"]))
    assert [one["letter"] for one in made] == ["A", "B", "C"]
    remove("revisions", made[2]["id"])
    assert make("revisions", brief_id=brief["id"])["letter"] == "D"
    other = make("briefs", title="High moor")
    assert make("revisions", brief_id=other["id"])["letter"] == "A"


def test_nothing_is_frozen_twice(
    client, make, scene, brief, change, remove, refused, on_disk
) -> None:
    """A second press of the button while the first is under way makes no Rev B."""
    make("revisions", brief_id=brief["id"])
    before = on_disk()
    again = {"brief_id": brief["id"], "note": "as shown to the boatbuilder"}
    said = "Nothing has changed since Rev A. .*change its note"
    refused(client.post("/api/revisions", json=again), 409, "nothing_changed", said)
    change("motifs", scene["motif"]["id"], says="dry")
    change("motifs", scene["motif"]["id"], says=scene["motif"]["says"])
    refused(client.post("/api/revisions", json=again), 409, "nothing_changed", said)
    about = {"about_kind": "brief", "about_id": brief["id"]}
    for what in (
        lambda: make("comments", brief_id=brief["id"], **about, text="darker"),  # part of it, too
        lambda: change("materials", scene["walnut"]["id"], reading="Lab 35 9 15"),
        lambda: remove("references", scene["picture"]["id"]),
    ):
        what()
        assert client.post("/api/revisions", json=again).status_code == 201
    frozen = client.get("/api/revisions", params={"brief_id": brief["id"]}).json()["items"]
    assert [one["letter"] for one in frozen] == ["A", "B", "C", "D"]
    assert on_disk()["files"] == before["files"]
    # What was frozen last but removed does not stand in the way.
    remove("revisions", frozen[-1]["id"])
    assert client.post("/api/revisions", json=again).json()["letter"] == "E"


def test_two_that_freeze_at_the_same_moment_make_one_revision(app, make, brief) -> None:
    async def both() -> list[int]:
        at = ASGITransport(app)
        async with AsyncClient(transport=at, base_url="http://testserver") as browser:
            freeze = {"brief_id": brief["id"]}
            sent = [browser.post("/api/revisions", json=freeze) for _ in range(2)]
            return [answer.status_code for answer in await asyncio.gather(*sent)]

    assert sorted(asyncio.run(both())) == [201, 409]


def test_the_page_offers_to_freeze_only_what_has_changed(client, make, scene, brief, change):
    at = f"/briefs/{brief['id']}/revisions"
    assert 'id="freeze-form"' in client.get(at).text
    first = make("revisions", brief_id=brief["id"])
    page = client.get(at).text
    assert 'id="freeze-form"' not in page
    assert "Nothing has changed since Rev A." in page
    change("motifs", scene["motif"]["id"], says="dry")
    make("revisions", brief_id=brief["id"])
    # It is the last one that counts, whichever are compared.
    assert "Nothing has changed since Rev B." in client.get(f"{at}?since={first['id']}").text
    change("motifs", scene["motif"]["id"], says="wet")
    assert 'id="freeze-form"' in client.get(f"{at}?since={first['id']}").text


def test_a_revision_keeps_all_as_it_was(client, make, scene, brief, change, remove) -> None:
    revision = make("revisions", brief_id=brief["id"])
    frozen = document(client, revision)
    change("motifs", scene["motif"]["id"], says="dry")
    change("materials", scene["walnut"]["id"], reading="Lab 35 9 15")
    remove("references", scene["picture"]["id"])
    assert document(client, revision) == frozen
    assert frozen.records["motifs"][0]["says"] == scene["motif"]["says"]
    assert frozen.records["materials"][0]["lab"] == scene["walnut"]["colour"]["lab"]
    assert frozen.images[0]["sha256"] == scene["picture"]["picture"]["sha256"]
    assert client.get(scene["picture"]["picture"]["original"]).status_code == 200
    assert "revisions" not in frozen.records


def test_nothing_differs_where_nothing_was_changed(make, scene, brief, since, change) -> None:
    revision = make("revisions", brief_id=brief["id"])
    assert since(revision) == {}
    change("motifs", scene["motif"]["id"], says="dry")
    change("motifs", scene["motif"]["id"], says=scene["motif"]["says"])
    assert since(revision) == {}


def test_what_changed_is_told_thing_by_thing(
    client, make, scene, brief, since, change, remove
) -> None:
    first = make("revisions", brief_id=brief["id"])
    change("parts", scene["part"]["id"], material_id=scene["shell"]["id"])
    change("swatches", scene["swatch"]["id"], colour="Lab 44 -10.25 20")
    change("motifs", scene["motif"]["id"], says="the tide comes in at first light")
    change("references", scene["picture"]["id"], motif_ids=[], private=True)
    client.patch(
        f"/api/briefs/{brief['id']}/numbers", json={"scale_mm": 640}, headers=ANY
    ).raise_for_status()
    remove("viewings", scene["viewing"]["id"])
    make("motifs", brief_id=brief["id"], name="smoke")
    told = since(first)
    assert set(told) == {
        ("brief", "Saltmarsh", "changed"),
        ("part", "Ring", "changed"),
        ("swatch", "wet reed", "changed"),
        ("motif", "reed", "changed"),
        ("motif", "smoke", "added"),
        ("reference", "reeds", "changed"),
        ("viewing", "the hall", "removed"),
        ("material", "walnut", "removed"),
        ("material", "shell", "added"),
    }
    made_of = told["part", "Ring", "changed"]["made of"]
    assert (made_of["before"]["text"], made_of["after"]["text"]) == ("walnut", "shell")
    assert made_of["before"]["colours"] == [scene["walnut"]["colour"]["hex"]]
    assert made_of["after"]["colours"] == [scene["shell"]["colour"]["hex"]]
    assert made_of["apart"].endswith("CIEDE2000 apart")
    colour = told["swatch", "wet reed", "changed"]["colour"]
    # Lightness alone differs, by 4 about L 42: CIEDE2000 divides by 1 + 0.015 × 64 ÷ √84 = 1.105.
    assert colour["apart"] == "3.6 CIEDE2000 apart"
    says = told["motif", "reed", "changed"]["meaning"]["marked"]
    assert [(one["how"], one["text"]) for one in says] == [
        ("same", "the tide"),
        ("gone", " goes out"),
        ("new", " comes in"),
        ("same", " at first light"),
    ]
    picture = told["reference", "reeds", "changed"]
    assert (picture["its motifs"]["before"]["text"], picture["its motifs"]["after"]["text"]) == (
        "reed",
        "",
    )
    assert (picture["private"]["before"]["text"], picture["private"]["after"]["text"]) == (
        "no",
        "yes",
    )
    scale = told["brief", "Saltmarsh", "changed"]["Scale length (mm)"]
    assert scale["after"]["text"] == "640"
    # Between two revisions, and the other way round.
    second = make("revisions", brief_id=brief["id"])
    assert since(first, until=second["id"]) == told
    back = since(second, until=first["id"])
    assert ("motif", "smoke", "removed") in back
    assert since(second) == {}


def test_one_thing_is_taken_back_as_an_ordinary_change(
    client, make, scene, brief, since, change
) -> None:
    first = make("revisions", brief_id=brief["id"])
    change("parts", scene["part"]["id"], material_id=scene["shell"]["id"], finish="oil")
    changed = change("motifs", scene["motif"]["id"], says="dry")
    at = f"/api/revisions/{first['id']}/give-back"
    answer = client.post(at, json={"kind": "motif", "id": scene["motif"]["id"]})
    assert answer.status_code == 200, answer.text
    assert answer.json() == {
        "taken": 1,
        "frozen": "B",
        "left": [],
        "said": "reed is as in Rev A again. The version before is frozen as Rev B.",
    }
    motif = client.get(f"/api/motifs/{scene['motif']['id']}").json()
    assert motif["says"] == scene["motif"]["says"]
    assert motif["etag"] > changed["etag"]
    assert ("part", "Ring", "changed") in since(first)
    # Nothing has changed since Rev B but this, so it is not frozen again, and leads back.
    newest = client.get(f"/api/revisions?brief_id={brief['id']}").json()["items"][-1]
    undone = client.post(f"/api/revisions/{newest['id']}/give-back", json={})
    assert undone.json()["frozen"] == "C"
    assert client.get(f"/api/motifs/{scene['motif']['id']}").json()["says"] == "dry"


def test_all_is_taken_back_but_the_rack_and_what_was_said(
    client, make, scene, brief, since, change, remove
) -> None:
    first = make("revisions", brief_id=brief["id"])
    then = document(client, first)
    about = {"brief_id": brief["id"], "about_kind": "brief", "about_id": brief["id"]}
    make("comments", **about, text="darker")
    change("briefs", brief["id"], title="Low water", kind="classical")
    change("materials", scene["walnut"]["id"], price=40)
    change("parts", scene["part"]["id"], material_id=scene["shell"]["id"])
    change("swatches", scene["swatch"]["id"], colour="#2f6f62", name="dye")
    remove("references", scene["picture"]["id"])  # and its palette with it
    remove("motifs", scene["motif"]["id"])
    make("motifs", brief_id=brief["id"], name="smoke")
    answer = client.post(f"/api/revisions/{first['id']}/give-back", json={}).json()
    assert answer["left"] == []
    assert "frozen as Rev B" in answer["said"]
    assert set(since(first)) == {("comment", "darker", "added"), ("material", "walnut", "changed")}
    now = document(client, make("revisions", brief_id=brief["id"]))
    for kind in ("comments", "materials"):
        for parcel in (then, now):
            parcel.records.pop(kind, None)
    assert same_content(then, now)
    second = client.get(f"/api/revisions?brief_id={brief['id']}").json()["items"][1]
    client.post(f"/api/revisions/{second['id']}/give-back", json={})
    again = {key for key in since(second) if key[0] != "comment"}
    assert again == set()


def test_an_inlay_and_an_own_kind_are_taken_back(client, make, brief, since, change) -> None:
    here = {"brief_id": brief["id"]}
    curlew = "M0 0C8 -3 16 1 24 0L24 2C16 3 8 1 0 4Z"
    inlay = make("inlays", **here, name="Curlew", drawing=curlew, frets=[12])
    own = make("kinds", **here, name="Small parlour")
    change("briefs", brief["id"], kind=own["id"])
    first = make("revisions", **here)
    change("inlays", inlay["id"], drawing="M0 0L10 0L10 9Z", width_mm=9, frets=[5])
    change("briefs", brief["id"], kind="classical")
    told = since(first)
    assert told["inlay", "Curlew", "changed"]["drawing"]["after"]["text"] == "something else"
    drawn_as = told["brief", "Saltmarsh", "changed"]["model"]
    assert (drawn_as["before"]["text"], drawn_as["after"]["text"]) == (
        "Small parlour",
        "Classical guitar",
    )
    assert client.get(f"/briefs/{brief['id']}/revisions").status_code == 200
    answer = client.post(f"/api/revisions/{first['id']}/give-back", json={}).json()
    assert answer["left"] == []
    assert since(first) == {}
    assert client.get(f"/api/inlays/{inlay['id']}").json()["path"] == inlay["path"]


def test_where_nothing_can_be_taken_back_it_is_refused_and_one_thing_is_one(
    client, make, brief, change, remove, refused
) -> None:
    own = make("kinds", brief_id=brief["id"], name="Small parlour")
    change("briefs", brief["id"], kind=own["id"])
    first = make("revisions", brief_id=brief["id"])
    at = f"/api/revisions/{first['id']}/give-back"
    change("briefs", brief["id"], kind="classical")
    remove("kinds", own["id"])
    refused(client.post(at, json={}), 422, "bad_input", "Small parlour.*in the offcuts bin")
    make("motifs", brief_id=brief["id"], name="smoke")
    assert client.post(at, json={}).json()["said"].startswith("1 thing is as in Rev A again.")


def test_what_cannot_be_taken_back_is_said(client, make, scene, brief, refused, change) -> None:
    first = make("revisions", brief_id=brief["id"])
    at = f"/api/revisions/{first['id']}/give-back"
    nothing = "No such change since Rev A"
    refused(client.post(at, json={}), 422, "bad_input", nothing)
    refused(client.post(at, json={"kind": "spell", "id": "7"}), 422, "bad_input", nothing)
    refused(client.post(at, json={"spell": 1}), 422, "bad_input", "no such field", pointer="/spell")
    change("parts", scene["part"]["id"], material_id=scene["shell"]["id"])
    walnut = {"kind": "material", "id": scene["walnut"]["id"]}
    refused(client.post(at, json=walnut), 422, "bad_input", "Walnut.*on the rack; choose it again")
    listed = client.get(f"/api/revisions?brief_id={brief['id']}").json()["items"]
    assert [one["letter"] for one in listed] == ["A"]  # a refusal freezes nothing
    other = make("revisions", brief_id=make("briefs", title="High moor")["id"])
    refused(
        client.get(f"/api/revisions/{first['id']}/changes?until={other['id']}"),
        422,
        "bad_input",
        "another brief",
        pointer="/until",
    )
    refused(client.get("/api/revisions/nowhere/changes"), 404, "not_found", "no revision")
    refused(client.post("/api/revisions", json={"brief_id": "7"}), 422, "bad_input", "no brief “7”")


def test_the_title_blocks_name_the_last_revision(client, make, brief, change) -> None:
    sheet = f"/api/briefs/{brief['id']}/drawings/body.svg"
    assert "none + 1" in client.get(sheet).text
    make("revisions", brief_id=brief["id"])
    assert ">A<" in client.get(sheet).text
    change("briefs", brief["id"], show="the hall")
    assert "A + 1" in client.get(sheet).text
    page = client.get(f"/briefs/{brief['id']}/spec").text
    assert f'<a href="/briefs/{brief["id"]}/revisions">A</a>' in page


def test_the_page_shows_what_changed_escaped(client, make, scene, brief, change) -> None:
    at = f"/briefs/{brief['id']}/revisions"
    assert "The first will be Rev A" in client.get(at).text
    first = make("revisions", brief_id=brief["id"], note="<b>bold</b>")
    assert "No differences" in client.get(at).text
    change("motifs", scene["motif"]["id"], name="<i>reed</i>", says="a <script> of mud")
    second = make("revisions", brief_id=brief["id"])
    page = client.get(f"{at}?since={first['id']}").text
    assert "<script> of mud" not in page
    assert "<i>reed" not in page
    assert "&lt;b&gt;bold" in page
    assert "Restore" in page
    page = client.get(f"{at}?since={first['id']}&until={second['id']}").text
    assert "From Rev A to Rev B" in page
    assert "Restore" not in page
    assert client.get(f"{at}?since=nowhere").status_code == 200


def test_a_revision_goes_along_in_the_zip_and_is_relinked_in_a_copy(
    client, make, scene, brief, change
) -> None:
    first = make("revisions", brief_id=brief["id"])
    change("parts", scene["part"]["id"], material_id=scene["shell"]["id"])
    data = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    change("motifs", scene["motif"]["id"], says="dry")
    answer = client.post("/api/parcels", files={"file": ("a.zip", data)}).json()
    assert answer["outcome"] == "copy"
    (copy,) = client.get(f"/api/revisions?brief_id={answer['brief_id']}").json()["items"]
    assert (copy["letter"], copy["id"] != first["id"]) == ("A", True)
    kept = document(client, copy)
    assert kept.brief_id == answer["brief_id"]
    client.post(f"/api/revisions/{copy['id']}/give-back", json={}).raise_for_status()
    parts = client.get(f"/api/parts?brief_id={answer['brief_id']}").json()["items"]
    rosette = next(one for one in parts if one["name"] == "Ring")
    assert rosette["material"]["id"] == scene["walnut"]["id"]
