"""The pages of pairings: whose they are, how they are seen, what they leave out."""

from __future__ import annotations

import re

import pytest


@pytest.fixture
def pairing(make, brief):
    ground = make("materials", label="walnut <i>", reading="Lab 30 9 15")
    inlay = make("materials", label="shell", stuff="shell", reading="Lab 84 4 20")
    own = {"brief_id": brief["id"], "ground_id": ground["id"], "inlay_id": inlay["id"]}
    return make("pairings", **own, place="<b>bridge", line_mm=0.5)


def test_a_pairing_is_shown_by_its_own_brief_alone(client, make, brief, pairing):
    at = f"/briefs/{brief['id']}/pairings/{pairing['id']}"
    assert client.get(at).status_code == 200
    assert client.get(f"{at}/pieces").status_code == 200
    other = make("briefs", title="Another")
    for page in (
        f"/briefs/{other['id']}/pairings/{pairing['id']}",
        f"/briefs/{other['id']}/pairings/{pairing['id']}/pieces",
        f"/briefs/{brief['id']}/pairings/gone",
        f"/briefs/gone/pairings/{pairing['id']}",
    ):
        assert client.get(page).status_code == 404
    client.delete(f"/api/pairings/{pairing['id']}", headers={"If-Match": pairing["etag"]})
    assert client.get(at).status_code == 404


def test_the_word_and_the_sentence_are_the_same_on_both_pages(client, make, brief, pairing):
    hall = make("viewings", brief_id=brief["id"], name="the hall", distance_m=3, light="A")
    said = re.compile(
        r'class="verdict (\w+)">\w+</span>.*?(?:<span>|class="sentence">)([^<]+)', re.S
    )
    for query in ("", f"?place={hall['id']}&eyes=deutan", "?place=D65&state=bare", "?place=%00"):
        sheet = client.get(f"/briefs/{brief['id']}/pairings{query}").text
        page = client.get(f"/briefs/{brief['id']}/pairings/{pairing['id']}{query}").text
        one = said.search(sheet[sheet.index('id="pairings"') :]).groups()
        assert one == said.search(page[page.index('class="pair-word"') - 5 :]).groups()
        assert len(one[1].split()) <= 14
    verdict = client.get(f"/api/pairings/{pairing['id']}").json()["verdict"]
    there = next(seen for seen in verdict["seen"] if seen["key"] == hall["id"])
    page = client.get(f"/briefs/{brief['id']}/pairings/{pairing['id']}").text
    assert f'class="pair-word"><span class="verdict {there["reading"]}"' in page


def test_markup_in_names_and_places_is_no_markup(client, brief, pairing):
    for page in ("", f"/{pairing['id']}", "/new", f"/{pairing['id']}/pieces"):
        text = client.get(f"/briefs/{brief['id']}/pairings{page}").text
        assert "walnut &lt;i&gt;" in text
        assert "walnut <i>" not in text
        assert "<b>bridge" not in text


@pytest.mark.slow
def test_the_sheet_stays_light_with_a_hundred_pairings(client, make, brief, pairing):
    """Fewer than 400 kB; each has one picture or drawing and no form of its own. A page has 24."""
    sizes = []
    for count, shown in ((20, 20), (100, 24)):
        have = len(client.get(f"/api/pairings?brief_id={brief['id']}").json()["items"])
        for i in range(have, count):
            own = {name: pairing[name] for name in ("brief_id",)}
            sides = {f"{side}_id": pairing[side]["id"] for side in ("ground", "inlay")}
            make("pairings", **own, **sides, line_mm=0.5 + i / 100)
        page = client.get(f"/briefs/{brief['id']}/pairings").text
        assert page.count('<article class="pairing"') == shown
        assert page.count('data-send="patch"') == 0
        sizes.append(len(page.encode()))
    assert sizes[1] < 400_000
    assert sizes[1] - sizes[0] < 4 * 3_000
