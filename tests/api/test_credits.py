"""Who made a picture and under which right: the maker's own, and several at once.

In Copyright is RightsStatements.org's statement for what its holder alone may allow.
"""

from __future__ import annotations

import pytest

IN_COPYRIGHT = "http://rightsstatements.org/vocab/InC/1.0/"
BY = "https://creativecommons.org/licenses/by/4.0/"


@pytest.fixture
def change(client):
    """PATCH a reference; returns the answer."""

    def changed(reference, **said):
        at = f"/api/references/{reference['id']}"
        return client.patch(at, json=said, headers={"If-Match": "*"})

    return changed


@pytest.fixture
def three(send, picture):
    return [send((f"{name}.png", picture())).json()[0] for name in ("reed", "mud", "sky")]


def kept(client, reference):
    view = client.get(f"/api/references/{reference['id']}").json()
    return view["credit"], view["rights"], view["permission"]


def test_mine_is_kept_in_the_open_vocabulary(client, one_of, change):
    reference = one_of("references")
    view = change(reference, rights="mine").json()
    assert (view["rights"], view["permission"], view["own"]) == (IN_COPYRIGHT, "mine", True)
    assert view["rights_in_words"] == "in copyright"  # which is what others read


def test_own_pictures_are_clear_to_be_printed(client, brief, send, picture):
    send(("reed.png", picture()), rights="mine")
    paper = f"/briefs/{brief['id']}/paper"
    assert "Not clear to publish" not in client.get(paper).text
    send(("found.png", picture()))
    assert "Not clear to publish" in client.get(paper).text


def test_other_rights_end_it(client, one_of, change):
    """Or a picture of somebody else's would stay cleared by the maker's word on their own."""
    reference = one_of("references")
    change(reference, rights="mine")
    assert change(reference, rights=BY).json()["permission"] == ""
    change(reference, rights="mine")
    # As the form sends it, where the permission is shown as empty.
    view = change(reference, rights=IN_COPYRIGHT, permission="").json()
    assert (view["permission"], view["own"]) == ("", False)


def test_another_permission_contradicts_it(one_of, change, refused):
    answer = change(one_of("references"), rights="mine", permission="her letter")
    refused(answer, 422, "bad_input", "needs nobody", pointer="/permission")


def test_a_passage_may_be_the_makers_own_words(make, brief):
    said = {"title": "Note", "passage": "No wind.", "rights": "mine"}
    assert make("references", brief_id=brief["id"], **said)["own"]


def test_the_form_shows_what_was_chosen(client, brief, one_of, change):
    reference = one_of("references")
    change(reference, rights="mine")
    page = client.get(f"/briefs/{brief['id']}/references/{reference['id']}").text
    form = page.split(f'id="reference-form-{reference["id"]}"')[1].split("</form>")[0]
    assert '<option value="mine" selected>my own photograph</option>' in form
    assert form.count(" selected") == 1
    permission = form.split('name="permission"')[1].split(">")[0]
    assert 'value=""' in permission


def test_several_take_one_credit_and_one_right(client, three):
    etags = {one["id"]: one["etag"] for one in three[:2]}
    said = {"etags": etags, "credit": "A. Walker", "rights": BY}
    answer = client.patch("/api/references", json=said)
    assert [one["id"] for one in answer.json()] == list(etags)
    assert [kept(client, one) for one in three] == [
        ("A. Walker", BY, ""),
        ("A. Walker", BY, ""),
        ("", "", ""),
    ]


def test_what_is_left_out_stays_as_each_had_it(client, three, change):
    change(three[0], credit="B. Singer", rights="mine")
    now = client.get(f"/api/references/{three[0]['id']}").json()
    etags = {now["id"]: now["etag"], three[1]["id"]: three[1]["etag"]}
    client.patch("/api/references", json={"etags": etags, "credit": "A. Walker", "rights": None})
    assert kept(client, three[0]) == ("A. Walker", IN_COPYRIGHT, "mine")
    assert kept(client, three[1]) == ("A. Walker", "", "")


def test_a_right_for_several_ends_the_permission_of_the_one_before(client, three, change):
    """Also where the right is the same statement: In Copyright, and no longer the maker's own."""
    now = change(three[0], rights="mine").json()
    said = {"etags": {now["id"]: now["etag"]}, "rights": IN_COPYRIGHT}
    client.patch("/api/references", json=said)
    assert kept(client, three[0]) == ("", IN_COPYRIGHT, "")


def test_all_of_them_or_none(client, three, change, refused, on_disk):
    change(three[1], title="changed since")
    before = on_disk()
    etags = {one["id"]: one["etag"] for one in three}
    answer = client.patch("/api/references", json={"etags": etags, "rights": "mine"})
    refused(answer, 412, "changed_meanwhile", "was changed since")
    gone = {three[0]["id"]: three[0]["etag"], "01JD8Q5Z7M3K2V9X4T6R8W0Y1A": '"1"'}
    answer = client.patch("/api/references", json={"etags": gone, "rights": "mine"})
    refused(answer, 404, "not_found")
    assert on_disk() == before


@pytest.mark.parametrize(
    ("said", "pointer", "words"),
    [
        ({"credit": "A. Walker"}, "/etags", "Tick at least one"),
        ({"rights": "a friend's"}, "/rights", "web address"),
        ({"rights": "mine", "permission": "her letter"}, "/permission", "needs nobody"),
        ({}, "/credit", "Say who made them"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(client, three, refused, said, pointer, words):
    etags = {} if pointer == "/etags" else {three[0]["id"]: three[0]["etag"]}
    answer = client.patch("/api/references", json={"etags": etags, **said})
    refused(answer, 422, "bad_input", words, pointer=pointer)


def test_the_list_of_what_is_not_clear_leads_to_the_open_form(client, brief, three):
    page = client.get(f"/briefs/{brief['id']}/paper").text
    for one in three:
        assert f"/references/{one['id']}#reference-form-{one['id']}-rights" in page
        assert one["picture"]["thumb"] in page.replace("&amp;", "&")
    assert "/credits" in page
