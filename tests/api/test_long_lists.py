"""Lists longer than a page: all of it can be reached and found, by the owner and by a guest."""

from __future__ import annotations

import re

import pytest

from brief.services.pages.people import comments
from brief.services.pages.theme import references
from brief.services.pages.wood import boards, pairings, timber
from brief.services.sharing import guest_view


@pytest.fixture(autouse=True)
def short_pages(monkeypatch):
    """Pages of two, so that few records make several."""
    for module in (boards, comments, pairings, references, timber):
        monkeypatch.setattr(module, "A_PAGE", 2)
    for name in ("PLATES", "PAIRINGS"):
        monkeypatch.setattr(guest_view, name, 2)


@pytest.fixture
def five(make, brief):
    """Five of each: pieces, passages, pairings, comments; ids by noun, as they were made."""
    own = {"brief_id": brief["id"]}
    pieces = [make("materials", label=f"Board {n}", reading=f"Lab {30 + n} 9 15") for n in range(5)]
    passages = [make("references", **own, title=f"Ebb {n}", passage=f"Tide {n}") for n in range(5)]
    pairs = [
        make("pairings", **own, ground_id=pieces[n]["id"], inlay_id=pieces[n - 1]["id"])
        for n in range(5)
    ]
    said = [
        make(
            "comments",
            **own,
            about_kind="reference",
            about_id=passages[n]["id"],
            author="Marsh warden" if n == 0 else "",
            text=f"Said {n}",
        )
        for n in range(5)
    ]
    made = {"materials": pieces, "references": passages, "pairings": pairs, "comments": said}
    return {noun: [one["id"] for one in those] for noun, those in made.items()}


LISTS = {
    "timber": ("materials", "material-"),
    "references": ("references", "reference-"),
    "pairings": ("pairings", "pairing-"),
    "comments": ("comments", "comment-"),
}


@pytest.mark.parametrize("sheet", LISTS)
def test_next_leads_through_all_of_it(client, brief, five, sheet):
    noun, prefix = LISTS[sheet]
    address, seen, pages = f"/briefs/{brief['id']}/{sheet}", [], 0
    while address:
        text = client.get(address).text
        pages += 1
        assert f"Page {pages} of 3" in text
        seen += re.findall(rf'<(?:li|article)[^>]* id="{prefix}(\w{{26}})"', text)
        onward = re.search(r'href="([^"]+)" rel="next"', text)
        address = onward and f"{onward[1]}".replace("&amp;", "&")
    assert pages == 3
    assert len(seen) == len(set(seen)) == 5
    assert set(seen) == set(five[noun])


@pytest.mark.parametrize("sheet", LISTS)
def test_a_link_to_one_leads_to_the_page_that_has_it(client, brief, five, sheet):
    noun, prefix = LISTS[sheet]
    for record_id in five[noun]:
        text = client.get(f"/briefs/{brief['id']}/{sheet}?at={record_id}").text
        assert f'id="{prefix}{record_id}"' in text


def test_what_is_looked_for_is_found_on_whatever_page_it_would_be(client, brief, five):
    timber = client.get(f"/briefs/{brief['id']}/timber?words=board+4").text
    assert "Board 4" in timber
    assert "1 of 5 pieces" in timber
    assert "Pages of" not in timber
    said = client.get(f"/briefs/{brief['id']}/comments?who=Marsh+warden").text
    assert "Said 0" in said
    assert "Said 4" not in said
    planks = client.get(f"/briefs/{brief['id']}/boards?words=board+4").text
    assert planks.count('class="plank"') == 1
    assert "1 of 5 pieces" in planks


def test_what_was_asked_for_goes_along_from_page_to_page(client, brief, five):
    text = client.get(f"/briefs/{brief['id']}/timber?order=light&words=board").text
    onward = re.search(r'href="([^"]+)" rel="next"', text)[1].replace("&amp;", "&")
    assert "words=board" in onward
    assert "order=light" in onward
    assert "Board 2" in client.get(onward).text  # of 4, 3 | 2, 1 | 0


def test_boards_leave_out_the_ground_and_come_in_pages(client, brief, five):
    at = f"/briefs/{brief['id']}/boards?on={five['materials'][0]}"
    seen = []
    for page in (1, 2):
        text = client.get(f"{at}&page={page}").text
        seen += re.findall(r'data-piece="(\w{26})"', text)
        assert ("Show more" in text) == (page == 1)
        assert "4 pieces" in text
    assert seen == five["materials"][1:]


def test_the_form_for_a_question_offers_each_thing_once(client, brief, five):
    text = client.get(f"/briefs/{brief['id']}/comments/ask").text
    for record_id in (*five["materials"], *five["references"], *five["pairings"]):
        assert text.count(f'value="{record_id}"') == 1


def test_a_guest_comes_to_all_of_it_and_to_what_was_said_of_it(client, make, brief, five):
    shown = ["theme", "references", "pairings", "comments"]
    link = make("shares", brief_id=brief["id"], name="a guest", sheets=shown)["address"]
    plates, pairs, said = set(), set(), set()
    for page in (1, 2, 3):
        text = client.get(f"{link}?pictures={page}&pairings={page}").text
        plates |= set(re.findall(r'id="reference-(\w{26})"', text))
        pairs |= set(re.findall(r'data-thing="pairing" data-id="(\w{26})"', text))
        said |= set(re.findall(r"Said \d", text))
        assert text.count(f"Page {page} of 3") == 2
    assert plates == set(five["references"])
    assert pairs == set(five["pairings"])
    assert len(said) == 5
    last = five["references"][4]
    assert f'id="reference-{last}"' in client.get(f"{link}?picture={last}").text


def test_a_file_by_mail_has_all_of_it(client, brief, five):
    text = client.get(f"/api/briefs/{brief['id']}/for-comment.html").text
    for record_id in five["references"]:
        assert f'id="reference-{record_id}"' in text
    assert "Pages of" not in text


def test_a_page_that_is_no_number_is_refused_in_words(client, brief):
    answer = client.get(f"/briefs/{brief['id']}/timber?page=two")
    assert answer.status_code == 422
