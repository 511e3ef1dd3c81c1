"""The whole scheme of a brief, and what the rack could do for it."""

import pytest


@pytest.fixture
def rack(make):
    def piece(label, lab, **more):
        return make("materials", label=label, reading=f"Lab {lab}", **more)

    return {
        "cedar": piece("cedar", "60 14 26", length_mm=550, width_mm=205, thickness_mm=4),
        "spruce": piece("spruce", "80 5 22", length_mm=550, width_mm=205, thickness_mm=4, price=90),
        "short": piece("short spruce", "80 5 22", length_mm=200, width_mm=90, thickness_mm=4),
        "ebony": piece("ebony", "20 1 3", species="Diospyros crassiflora", length_mm=500,
                       width_mm=75, thickness_mm=9),
        "bog oak": piece("bog oak", "24 1 4", species="Quercus robur", length_mm=500, width_mm=75,
                         thickness_mm=9),
        "shell": piece("shell", "84 2 12", stuff="shell"),
        "brass": piece("brass", "70 3 35", stuff="metal"),
    }  # fmt: skip


@pytest.fixture
def parts(client, brief):
    found = client.get(f"/api/parts?brief_id={brief['id']}&limit=50").json()["items"]
    return {part["role"]: part for part in found}


@pytest.fixture
def give(client, parts, rack):
    def given(**materials):
        for role, label in materials.items():
            answer = client.patch(
                f"/api/parts/{parts[role]['id']}",
                json={"material_id": rack[label]["id"]},
                headers={"If-Match": "*"},
            )
            assert answer.is_success, answer.text

    return given


@pytest.fixture
def whole(client, brief, give):
    give(top="cedar", fretboard="bog oak", inlay="brass", bridge="bog oak")
    return lambda: client.get(f"/api/briefs/{brief['id']}/scheme").json()


def ask(client, brief, **asked):
    return client.get(f"/api/briefs/{brief['id']}/proposals", params=asked)


def test_one_part_is_no_scheme(client, brief, give):
    give(top="cedar")
    assert client.get(f"/api/briefs/{brief['id']}/scheme").json() is None


def test_a_scheme_without_a_theme_still_has_its_harmony(whole):
    found = whole()
    assert found["theme"] == []
    assert found["distance"] is None
    assert -1.5 < found["harmony"] < 1.6
    assert {found["worst"]["one"], found["worst"]["other"]} <= {
        "Top", "Fretboard", "Inlay", "Bridge",
    }  # fmt: skip
    assert any("No colour of the theme is named yet" in line for line in found["missing"])
    assert "Rosette" in found["still_open"]


def test_what_of_the_theme_nothing_carries(make, brief, whole):
    make("swatches", brief_id=brief["id"], name="straw", colour="Lab 61 14 25")
    make("swatches", brief_id=brief["id"], name="green", colour="Lab 45 -30 10")
    found = whole()
    by_name = {one["name"]: one for one in found["theme"]}
    assert by_name["straw"]["carried"] > 0.9
    assert by_name["straw"]["nearest"] == "Top"
    assert by_name["green"]["carried"] == 0
    assert found["sentences"][0].startswith("green is missing: closest is the ")
    assert sum(one["share"] for one in found["theme"]) == pytest.approx(1)


def test_every_place_is_asked_about(make, brief, whole):
    make("swatches", brief_id=brief["id"], name="straw", colour="Lab 61 14 25")
    make("viewings", brief_id=brief["id"], name="the hall", light="A")
    assert [one["words"] for one in whole()["under"]] == ["at the bench", "in the hall, from 2 m"]


def test_the_rack_answers_for_the_parts_that_are_open(client, make, brief, whole, parts):
    make("swatches", brief_id=brief["id"], name="light", colour="Lab 80 5 22")
    whole()
    found = ask(client, brief, open=[parts["top"]["id"], parts["inlay"]["id"]]).json()
    assert 1 <= len(found["proposals"]) <= 5
    for one in found["proposals"]:
        assert {swap["part"] for swap in one["swaps"]} <= {"Top", "Inlay"}
        assert one["front"].startswith("<svg")
    tops = {s["material"] for p in found["proposals"] for s in p["swaps"] if s["part"] == "Top"}
    assert "spruce" in tops  # nearer to the theme
    assert not tops & {"short spruce", "shell", "brass"}  # too small, or never a top


def test_limits_are_kept(client, brief, whole, parts):
    whole()
    asked = {"open": parts["fretboard"]["id"], "no_papers": True}
    found = ask(client, brief, **asked).json()
    boards = {swap["material"] for one in found["proposals"] for swap in one["swaps"]}
    assert "ebony" not in boards
    assert any("May need papers" in line and "ebony" in line for line in found["left_out"])
    dear = ask(client, brief, open=parts["top"]["id"], most_price=50).json()
    assert "Over the highest price: spruce." in dear["left_out"]


def test_an_open_part_without_a_piece_is_filled(client, brief, whole, parts):
    whole()
    found = ask(client, brief, open=parts["nut"]["id"], sized=False)
    assert found.status_code == 200
    assert all(one["swaps"][0]["part"] == "Nut" for one in found.json()["proposals"])


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"open": []}, "Say which parts may be chosen anew"),
        ({"open": ["01JD8Q5Z7M3K2V9X4T6R8W0Y1A"]}, "is not of this brief"),
        ({"open": ["top"], "most_price": -1}, "most_price"),
        ({"open": ["top"], "budget": 3}, "budget"),
    ],
)
def test_bad_questions_are_refused(client, brief, whole, parts, asked, said):
    whole()
    known = {"top": parts["top"]["id"]}
    answer = ask(client, brief, **{k: [known.get(v, v) for v in w] if k == "open" else w
                                   for k, w in asked.items()})  # fmt: skip
    assert answer.status_code == 422
    assert said in answer.text or not asked["open"]


def test_nothing_fits_is_said(client, brief, whole, parts):
    whole()
    answer = ask(client, brief, open=parts["sides"]["id"])
    assert answer.status_code == 422
    assert "No piece within these limits suits the sides." in answer.text


def test_what_a_piece_could_be_used_for(client, make, brief, whole, rack):
    make("swatches", brief_id=brief["id"], name="light", colour="Lab 80 5 22")
    whole()
    uses = client.get(f"/api/briefs/{brief['id']}/uses/{rack['spruce']['id']}").json()
    by_part = {use["part"]: use for use in uses}
    assert by_part["Top"]["now"] == "cedar"
    assert "nearer to the theme" in by_part["Top"]["sentence"]
    assert "Headplate" not in by_part  # of a softwood it is a top (common practice, no source)
    oak = client.get(f"/api/briefs/{brief['id']}/uses/{rack['bog oak']['id']}").json()
    assert {use["part"]: use["now"] for use in oak}["Headplate"] is None
    shell = client.get(f"/api/briefs/{brief['id']}/uses/{rack['shell']['id']}").json()
    assert "Top" not in {use["part"] for use in shell}


def test_the_nearest_pieces_of_the_rack(client, rack):
    found = client.get("/api/nearest", params={"colour": "Lab 61 14 25", "count": 2}).json()
    assert found[0]["label"] == "cedar"
    assert len(found) == 2
    assert found[0]["distance"] < 2
    assert client.get("/api/nearest", params={"colour": "mud"}).status_code == 422


def test_the_page_asks_and_says_what_is_wrong(client, brief, whole, parts):
    whole()
    page = f"/briefs/{brief['id']}/spec"
    assert "What the rack offers" in client.get(page).text
    asked = client.get(page, params={"open": parts["top"]["id"]}).text
    assert 'class="proposals"' in asked
    wrong = client.get(page, params={"open": parts["top"]["id"], "most_price": "cheap"}).text
    assert "“cheap” is no price. Write 68.50." in wrong
    assert 'value="cheap"' in wrong
    none = client.get(page, params={"most_price": ""})
    assert "tick at least one" in none.text
