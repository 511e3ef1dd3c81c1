"""What is new on a brief: marked until the maker has seen it, counted, and found by filters."""

from __future__ import annotations

import json
import re

import pytest

from brief.services.feedback.annotations import iri_of


@pytest.fixture
def at(brief):
    return f"/api/briefs/{brief['id']}/new-comments"


@pytest.fixture
def mail(client, brief):
    """Comments by mail, one for each text."""

    def mailed(*texts, about=None, author="a bird counter"):
        items = [
            {
                "id": f"urn:x:{text.replace(' ', '-')}",
                "type": "Annotation",
                "motivation": "commenting",
                "creator": {"type": "Person", "name": author},
                "body": {"type": "TextualBody", "value": text},
                "target": iri_of(about or brief["id"]),
            }
            for text in texts
        ]
        file = f"/api/briefs/{brief['id']}/comment-file"
        page = client.get(file).json() | {"items": items}
        answer = client.post(file, files={"file": ("m.jsonld", _bytes(page))})
        assert answer.status_code == 201, answer.text
        return answer.json()["comments"]

    return mailed


def _bytes(page):
    return json.dumps(page).encode()


@pytest.fixture
def said(brief, make):
    def here(text="too dark", **fields):
        about = {"about_kind": "brief", "about_id": brief["id"]}
        return make("comments", brief_id=brief["id"], **about | {"text": text} | fields)

    return here


@pytest.fixture
def sheet(client, brief):
    """The ids of the comments that the sheet shows, and all of it."""

    def shown(**asked):
        page = client.get(f"/briefs/{brief['id']}/comments", params=asked)
        assert page.status_code == 200
        return re.findall(r'<li id="comment-(\w+)"', page.text), page.text

    return shown


def test_what_comes_by_mail_is_new_until_it_is_seen(client, at, mail, said, sheet):
    said()
    first, second = mail("low water", "high water")
    news = client.get(at).json()
    assert [one["text"] for one in news["comments"]] == ["low water", "high water"]
    assert (news["open"], news["upto"]) == (3, second["id"])
    assert re.search('class="new">2<.*> new<.*>, 3 open<', sheet()[1])
    third = mail("slack water")[0]
    left = client.post(f"{at}/seen", json={"upto": second["id"]}).json()
    assert [one["id"] for one in left["comments"]] == [third["id"]]
    assert client.get(f"/api/comments/{first['id']}").json() == first  # no change, no new ETag
    assert client.post(f"{at}/seen", json={"upto": third["id"]}).json()["upto"] is None
    assert 'class="new"' not in sheet()[1]


def test_what_is_settled_has_been_seen(client, at, mail):
    (comment,) = mail("low water")
    etag = {"If-Match": comment["etag"]}
    client.patch(f"/api/comments/{comment['id']}", json={"state": "settled"}, headers=etag)
    news = client.get(at).json()
    assert (news["comments"], news["open"]) == ([], 0)


def test_new_ones_are_marked_on_the_sheet_of_what_they_are_about(client, make, brief, mail):
    motif = make("motifs", brief_id=brief["id"], name="reed")
    mail("low water", about=motif["id"])
    page = client.get(f"/briefs/{brief['id']}/theme").text
    summary = '<summary aria-label="1 comment, 1 new: reed">1 comment <b class="new">1 new</b>'
    assert summary in page


def test_comments_are_found_by_who_where_and_state(client, make, brief, mail, said, sheet):
    motif = make("motifs", brief_id=brief["id"], name="reed")
    mine = said()["id"]
    settled = said("oil it", state="settled")["id"]
    replied = said("which slack?")
    said("low", reply_to=replied["id"], author="a boatbuilder")
    (new,) = (one["id"] for one in mail("low water", about=motif["id"]))
    assert sheet()[0] == [new, replied["id"], mine, settled]
    assert sheet(state="settled")[0] == [settled]
    assert sheet(state="new")[0] == [new]
    assert sheet(who="a boatbuilder")[0] == [replied["id"]]
    assert sheet(where=motif["id"])[0] == [new]
    assert sheet(who="the maker", where=brief["id"], state="open")[0] == [replied["id"], mine]
    found, page = sheet(who="a boatbuilder", state="settled")
    assert found == []
    assert "No match among 4." in page
    assert '<option value="a boatbuilder" selected>' in page
    assert "3 of 4 still open" in page


@pytest.mark.parametrize("asked", [{"who": "<b>"}, {"state": "lost"}, {"where": "x" * 3000}])
def test_what_nobody_offered_finds_nothing(said, sheet, asked):
    said()
    found, page = sheet(**asked)
    assert found == []
    assert "<b>" not in page.split('id="found"')[1]


def test_what_was_looked_at_must_be_said(client, at, refused):
    refused(client.post(f"{at}/seen", json={}), 422, "bad_input", pointer="/upto")
    gone = "/api/briefs/01JD8Q5Z7M3K2V9X4T6R8W0Y1A/new-comments"
    refused(client.get(gone), 404, "not_found")
    refused(client.post(f"{gone}/seen", json={"upto": "1"}), 404, "not_found")


def test_a_spot_on_the_instrument_is_shown_on_its_front(said, sheet):
    said(region="xywh=percent:40,50,10,10")
    page = sheet()[1]
    assert 'aria-label="The spot on the front of the instrument"' in page
    assert page.count('id="whole-front"') == 1


def test_reading_is_no_change_of_the_brief(client, at, brief, make, mail, refused):
    mail("the blue drowns")
    make("revisions", brief_id=brief["id"])
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    seen = {"upto": client.get(at).json()["upto"]}
    assert client.post(f"{at}/seen", json=seen).json()["comments"] == []
    again = client.post("/api/revisions", json={"brief_id": brief["id"]})
    refused(again, 409, "nothing_changed", "Nothing has changed since Rev A")
    brought = client.post("/api/parcels", files={"file": ("a.zip", packed)}).json()
    assert brought["outcome"] == "here"
