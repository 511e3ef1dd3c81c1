"""The rack tried on a part: which pieces come, in what order, and how each would be painted."""

import re
from xml.etree import ElementTree

import pytest

# Sharma, Wu, Dalal 2005, table 1, pairs 17 to 20: all from Lab 50 2.5 0, with their CIEDE2000.
REFERENCE = "Lab 50 2.5 0"
PAIRS = {
    "Lab 73 25 -18": 27.1492,
    "Lab 61 -5 29": 22.8977,
    "Lab 56 -27 -3": 31.9030,
    "Lab 58 24 15": 19.4535,
}


@pytest.fixture
def parts(client, brief):
    """The parts of the brief, by role."""

    def now():
        found = client.get("/api/parts", params={"brief_id": brief["id"], "limit": 50})
        return {part["role"]: part for part in found.json()["items"]}

    return now


@pytest.fixture
def tries(client, brief, parts):
    """The strips for a part, as the page has them."""

    def shown(role, **asked):
        at = f"/briefs/{brief['id']}/parts/{parts()[role]['id']}/tries"
        answer = client.get(at, params=asked)
        assert answer.status_code == 200, answer.text
        return answer.text

    yield shown
    client.cookies.clear()


def labels(text):
    return re.findall('data-label="([^"]*)"', text)


def change(client, part, **fields):
    answer = client.patch(
        f"/api/parts/{part['id']}", json=fields, headers={"If-Match": part["etag"]}
    )
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_nearest_to_the_target_comes_first(client, make, brief, parts, tries):
    swatch = make("swatches", brief_id=brief["id"], name="reed", colour=REFERENCE)
    for lab in PAIRS:
        make("materials", label=lab, reading=lab)
    make("materials", label="not measured")
    change(client, parts()["rosette"], swatch_id=swatch["id"])
    text = tries("rosette")
    assert labels(text) == [*sorted(PAIRS, key=PAIRS.__getitem__), "not measured"]
    assert "nearest first" in text


def test_what_suits_the_part_comes_before_what_does_not(make, tries):
    """Softwood makes a top and no neck: common practice, no source."""
    make("materials", label="brass", stuff="metal", reading="Lab 70 5 40")
    make("materials", label="short spruce", species="Picea abies", reading="Lab 80 4 24",
         length_mm=100, width_mm=50, thickness_mm=3)  # fmt: skip
    make("materials", label="spruce", species="Picea abies", reading="Lab 80 4 24")
    text = tries("top")
    assert labels(text) == ["spruce", "brass", "short spruce"]
    assert re.findall('strip-note soft">([^<]*)<', text) == ["unusual here", "too small"]
    assert "unusual here" in tries("neck").partition('data-label="spruce"')[2]


def test_words_are_looked_for_in_label_species_and_kind(make, tries):
    make("materials", label="Érable sycomore", species="Acer pseudoplatanus", reading="Lab 80 4 24")
    make("materials", label="brass", stuff="metal", reading="Lab 70 5 40")
    assert labels(tries("binding", words="ERABLE acer")) == ["Érable sycomore"]
    assert labels(tries("binding", words="metal")) == ["brass"]
    none = tries("binding", words="<b>ebony</b>")
    assert labels(none) == []
    assert "Nothing on the rack is called “&lt;b&gt;ebony" in none


def test_words_of_any_length_and_pages_that_are_not_there(client, brief, parts, make, tries):
    for number in range(26):
        make("materials", label=f"board {number}", reading="Lab 60 10 20")
    assert len(labels(tries("top"))) == 24
    assert labels(tries("top", page=9)) == labels(tries("top", page=2)) != []
    assert labels(tries("top", page=-3)) == labels(tries("top"))
    at = f"/briefs/{brief['id']}/parts/{parts()['top']['id']}/tries"
    assert client.get(at, params={"words": "x" * 101}).status_code == 422
    assert client.get(f"/briefs/{brief['id']}/parts/nowhere/tries").status_code == 404
    assert client.get(f"/briefs/{brief['id']}/parts/nowhere").status_code == 404


def test_a_piece_is_painted_as_the_drawing_would_paint_it(
    client, brief, parts, send, picture, tries
):
    """The patterns of a strip are those of the panel once the piece is kept."""
    (piece,) = send(("cedar.png", picture((170, 60, 50))), to="materials").json()
    for role, seen_from in (("top", "front"), ("bridge", "front"), ("back", "back")):
        client.cookies.set("seen", f"view={seen_from}")
        strip = tries(role).partition(f'data-piece="{piece["id"]}"')[2]
        tried = re.search(r"<svg>(<defs>.*?</defs>)</svg>", strip, re.DOTALL)[1]
        change(client, parts()[role], material_id=piece["id"])
        panel = client.get(f"/briefs/{brief['id']}/panel?sheet=spec").text
        client.cookies.clear()
        drawn = ElementTree.fromstring(re.search(r"<svg .*?</svg>", panel, re.DOTALL)[0])
        ours = ElementTree.fromstring(tried.replace(f"try-{piece['id']}-", "front-"))
        svg = "{http://www.w3.org/2000/svg}"
        name = f"front-{role}"
        (kept,) = [one for one in drawn.iter(f"{svg}pattern") if one.get("id") == name]
        (found,) = [one for one in ours.iter("pattern") if one.get("id") == name]
        assert kept.attrib == found.attrib
        assert [one.attrib for one in kept] == [one.attrib for one in found]
        (group,) = [one for one in drawn.iter(f"{svg}g") if one.get("data-role") == role]
        assert group.get("data-paint") == f"url(#{name})"


def test_other_parts_go_along_and_a_part_that_is_not_seen_has_no_paint(client, make, parts, tries):
    piece = make("materials", label="walnut", species="Juglans nigra", reading="Lab 40 10 20")
    for role in ("back", "sides"):
        change(client, parts()[role], material_id=piece["id"])
    text = tries("back", also=parts()["sides"]["id"])
    others = re.findall(r'data-tries-also value="(\w+)"( checked)?', text)
    assert others[0] == (parts()["sides"]["id"], " checked")
    assert "data-paint" not in text  # from the front neither is seen
    client.cookies.set("seen", "view=back")
    assert re.findall(
        'template data-role="([^"]*)"', tries("back", also=parts()["sides"]["id"])
    ) == [
        "back",
        "back",
    ]
    # What has a piece can be left open again.
    assert labels(tries("back"))[-1] == "still open"


def test_a_row_is_empty_once_its_part_is_in_the_bin_and_belongs_to_its_brief(
    client, make, brief, parts
):
    part = parts()["nut"]
    at = f"/briefs/{brief['id']}/parts/{part['id']}"
    assert f'id="part-{part["id"]}"' in client.get(at).text
    other = make("briefs", title="Another")
    assert client.get(f"/briefs/{other['id']}/parts/{part['id']}").status_code == 404
    client.delete(f"/api/parts/{part['id']}", headers={"If-Match": part["etag"]})
    assert client.get(at).status_code == 200
    assert client.get(at).text.strip() == ""
