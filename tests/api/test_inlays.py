"""Inlays over the API: made, measured, laid, changed, and refused beside the field at fault."""

import io
import json
import math
import re
import zipfile

import pytest

LEAF = "M0 2C4 -1 10 -1 14 1.5V2.5C10 5 4 5 0 2Z"
SIZE = 'width="20mm" height="20mm" viewBox="0 0 20 20"'
SVG = f'<svg xmlns="http://www.w3.org/2000/svg" {SIZE}>{{}}</svg>'


@pytest.fixture
def lay(client, brief):
    def laid(**fields):
        return client.post("/api/inlays", json={"brief_id": brief["id"], "name": "leaf", **fields})

    return laid


@pytest.fixture
def parts(client, brief):
    found = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    return {part["role"]: part for part in found}


def test_a_drawing_is_kept_as_plain_path_data_and_measured(lay, parts):
    made = lay(drawing=SVG.format('<circle cx="9" cy="9" r="4"/>'), frets="12").json()
    assert made["width_mm"] == pytest.approx(8)
    assert made["area_mm2"] == pytest.approx(16 * math.pi, rel=1e-3)
    assert made["edge_mm"] == pytest.approx(8 * math.pi, rel=1e-3)
    assert made["thinnest"]["width_mm"] == pytest.approx(8, rel=0.02)
    assert set(made["path"]) <= set("MLZ0123456789.- ")
    assert made["place"] == "fretboard, before fret 12"
    assert made["part_id"] == parts["inlay"]["id"]
    assert made["trouble"] == ""


def test_dots_are_counted(lay):
    made = lay(shape="dot", frets=[3, 5, 7, 9, 12, 12]).json()
    assert (made["count"], made["width_mm"]) == (6, 6)
    assert any(said.startswith("6 of them") for said in made["sentences"])


def test_the_sentences_tell_point_gap_saw_and_blank(lay, make, client, parts):
    shell = make(
        "materials", label="shell", stuff="shell", reading="Lab 88 0 3", length_mm=16, width_mm=30
    )
    etag = {"If-Match": parts["inlay"]["etag"]}
    client.patch(
        f"/api/parts/{parts['inlay']['id']}", json={"material_id": shell["id"]}, headers=etag
    )
    slit = "M0 0H10V4H6.2V1.5H5.8V4H0Z"
    made = lay(drawing=slit, frets=[5]).json()
    said = made["sentences"]
    assert said[0] == "Thinnest place 1.5 mm, at the top."
    assert said[1].startswith("Narrowest gap 0.4 mm")
    assert "1 piece; 33 mm to saw" in said[2]
    assert "14 × 8 mm" in said[3]
    assert made["piece"] == "shell is large enough, 30 × 16 mm."
    shut = lay(drawing=slit.replace("6.2", "6.0001").replace("5.8", "5.9999"), frets=[5]).json()
    assert shut["sentences"][1].startswith("Two pieces all but touch, ")
    wide = lay(drawing=slit, frets=[5], width_mm=28).json()
    assert wide["piece"].startswith("shell is too small")


def test_a_width_left_out_is_the_file_s_own_and_none_keeps_the_drawing(lay, client):
    made = lay(drawing=LEAF, frets=[5]).json()
    etag = {"If-Match": made["etag"]}
    change = {"drawing": None, "width_mm": 10, "turn_deg": None, "across_mm": None}
    wider = client.patch(f"/api/inlays/{made['id']}", json=change, headers=etag).json()
    assert wider["width_mm"] == 10
    assert wider["area_mm2"] == pytest.approx(made["area_mm2"] * (10 / 14) ** 2, rel=1e-3)


def test_an_instrument_that_no_longer_has_room_says_so(lay, client, brief):
    made = lay(drawing=LEAF, along_mm=10, width_mm=44).json()
    etag = {"If-Match": client.get(f"/api/briefs/{brief['id']}").json()["etag"]}
    narrower = client.patch(f"/api/briefs/{brief['id']}/numbers", json={"nut_mm": 42}, headers=etag)
    assert narrower.status_code == 200, narrower.text
    assert "taper" in client.get(f"/api/inlays/{made['id']}").json()["trouble"]


@pytest.mark.parametrize(
    ("fields", "pointer", "said"),
    [
        ({"drawing": SVG.format("<script/>")}, "/drawing", "script"),
        ({"drawing": SVG.format('<a href="http://example.org"/>')}, "/drawing", "outside"),
        ({"drawing": SVG.format("")}, "/drawing", "draws nothing"),
        ({"drawing": "M0 0L9 9L9 0L0 9Z"}, "/drawing", "crosses itself"),
        ({"drawing": "M0 0L0 0Z"}, "/drawing", "no size"),
        ({"drawing": "x" * 1_000_001}, "/drawing", "At most"),
        ({}, "/drawing", "Choose an SVG file"),
        ({"shape": "dot", "width_mm": 80}, "/width_mm", "larger than the fretboard"),
        ({"shape": "dot", "width_mm": 0}, "/width_mm", "0.5 to 600"),
        ({"shape": "dot", "frets": "3 five"}, "/frets/1", "whole number"),
        ({"shape": "dot", "frets": [19]}, "/frets", "frets 1 to"),
        ({"shape": "dot", "frets": [3], "lies_on": "top"}, "/frets", "Only the fretboard"),
        ({"shape": "dot", "copies": 3}, "/copies", "rosette"),
        ({"shape": "dot", "across_mm": 40}, "/across_mm", "taper"),
        ({"shape": "dot", "lies_on": "bridge", "width_mm": 6}, "/along_mm", "saddle"),
        ({"shape": "dot", "lies_on": "moon"}, "/lies_on", "one of"),
        ({"shape": "dot", "part_id": "01JD8Q5Z7M3K2V9X4T6R8W0Y1A"}, "/part_id", "no part"),
    ],
)  # fmt: skip
def test_bad_input_is_told_beside_its_field_and_changes_nothing(
    lay, refused, on_disk, fields, pointer, said
):
    before = on_disk()
    refused(lay(**fields), 422, "bad_input", said, pointer=pointer)
    assert on_disk() == before


def test_a_bad_change_leaves_the_last_good_one(lay, client, refused):
    made = lay(drawing=LEAF, frets=[5]).json()
    etag = {"If-Match": made["etag"]}
    for change in ({"drawing": "M0 0L9 9L9 0L0 9Z"}, {"width_mm": 300}, {"frets": [30]}):
        answer = client.patch(f"/api/inlays/{made['id']}", json=change, headers=etag)
        refused(answer, 422, "bad_input")
    assert client.get(f"/api/inlays/{made['id']}").json() == made


def test_a_part_in_the_bin_is_no_longer_named(lay, client, parts):
    made = lay(shape="dot", frets=[5]).json()
    etag = {"If-Match": parts["inlay"]["etag"]}
    gone = client.delete(f"/api/parts/{parts['inlay']['id']}", headers=etag).json()
    assert gone["also"] == ["leaf of Saltmarsh"]
    after = client.get(f"/api/inlays/{made['id']}").json()
    assert (after["part_id"], after["role"]) == (None, "inlay")


def test_the_drawing_sheet_shows_it_in_its_place_and_asks_with_its_thinnest(
    lay, client, brief, make, parts
):
    shell = make("materials", label="shell <b>", stuff="shell", reading="Lab 88 0 3")
    oak = make("materials", label="bog oak", reading="Lab 20 1 4")
    for role, piece in (("inlay", shell), ("fretboard", oak)):
        etag = {"If-Match": parts[role]["etag"]}
        at = f"/api/parts/{parts[role]['id']}"
        assert client.patch(at, json={"material_id": piece["id"]}, headers=etag).is_success
    made = lay(name="leaf <u>", drawing=LEAF, frets=[12], turn_deg=90).json()
    page = client.get(f"/briefs/{brief['id']}/inlay").text
    assert "<u>" not in page
    assert f'id="inlay-{made["id"]}"' in page
    assert "shell &lt;b&gt;" in page
    line = made["thinnest"]["width_mm"]
    assert f'name="line_mm" value="{round(line, 2)}"' in page
    pair = {"brief_id": brief["id"], "ground_id": oak["id"], "inlay_id": shell["id"]}
    asked = make("pairings", **pair, line_mm=round(line, 2))
    page = client.get(f"/briefs/{brief['id']}/inlay").text
    judged = client.get(f"/briefs/{brief['id']}/pairings").text
    (sentence,) = re.findall(r'<p class="sentence">.*?<span>(.*?)</span>', judged)
    assert f"<span>{sentence}</span>" in page
    assert asked["id"] in page
    form = client.get(f"/briefs/{brief['id']}/pairings/new").text
    assert "Thinnest places of your inlays" in form


def test_a_change_since_a_revision_is_told_without_its_numbers(lay, client, brief, make):
    made = lay(drawing=LEAF, frets=[5], width_mm=12).json()
    frozen = make("revisions", brief_id=brief["id"])
    change = {"drawing": SVG.format('<circle cx="9" cy="9" r="4"/>'), "frets": [5, 7]}
    etag = {"If-Match": made["etag"]}
    assert client.patch(f"/api/inlays/{made['id']}", json=change, headers=etag).is_success
    groups = client.get(f"/api/revisions/{frozen['id']}/changes").json()["groups"]
    (one,) = [one for group in groups for one in group["changes"] if one["kind"] == "inlay"]
    told = {each["name"]: each for each in one["fields"]}
    assert set(told) == {"drawing", "at frets"}
    assert told["at frets"]["after"]["text"] == "5, 7"
    drawing = told["drawing"]
    assert (drawing["before"]["text"], drawing["after"]["text"]) == (
        "as it was drawn",
        "something else",
    )
    assert drawing["marked"] == []


@pytest.fixture
def packed(lay, client, brief):
    """A brief with an inlay as a parcel, its document changed by a function."""
    lay(drawing=LEAF, frets=[5])
    data = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    members = zipfile.ZipFile(io.BytesIO(data))
    document = json.loads(members.read("brief.json"))

    def changed(**fields):
        document["records"]["inlays"][0].update(fields)
        target = io.BytesIO()
        with zipfile.ZipFile(target, "w") as out:
            for name in members.namelist():
                if name != "brief.json":
                    out.writestr(name, members.read(name))
            out.writestr("brief.json", json.dumps(document))
        return client.post("/api/parcels", files={"file": ("brief.zip", target.getvalue())})

    return changed


def test_an_inlay_travels_with_its_brief(packed, client, brief):
    assert client.delete(f"/api/briefs/{brief['id']}", headers={"If-Match": "*"}).is_success
    answer = packed()
    assert answer.status_code == 201, answer.text
    (one,) = client.get("/api/inlays").json()["items"]
    assert (one["name"], one["frets"]) == ("leaf", [5])


@pytest.mark.parametrize(
    "fields",
    [
        {"path": "M0 0L1 1L2 0Z<script>"},
        {"path": "M0 0L1 1Z"},
        {"path": "M0 0L0 0L0 0Z"},
        {"path": "M-50 0L50 50L50 0L-50 50Z"},
        {"path": "M0 0L1 1L2 0Z"},
        {"path": ""},
        {"measured": {}},
        {"measured": None},
        {"frets": ["5"]},
        {"frets": [0]},
        {"remarks": [{"a": 1}]},
        {"lies_on": "moon"},
        {"width_mm": 1e9},
        {"copies": 10_000},
    ],
)
def test_an_inlay_that_could_not_have_been_made_here_is_not_taken(packed, on_disk, refused, fields):
    before = on_disk()
    answer = packed(**fields)
    body = refused(answer, 422, "bad_parcel", pointer="/file")
    assert "inlay" in body["detail"], body["detail"]
    assert on_disk() == before


def test_on_another_part_an_inlay_begins_in_its_middle(lay, client):
    made = lay(shape="dot", frets=[5, 7], along_mm=-3, across_mm=4).json()
    address, etag = f"/api/inlays/{made['id']}", {"If-Match": made["etag"]}
    moved = client.patch(address, json={"lies_on": "headplate"}, headers=etag)
    assert moved.status_code == 200
    told = moved.json()
    assert (told["frets"], told["along_mm"], told["across_mm"]) == ([], None, 0)
    # What is said with it counts.
    etag = {"If-Match": told["etag"]}
    back = client.patch(address, json={"lies_on": "fretboard", "along_mm": 100}, headers=etag)
    assert back.json()["along_mm"] == 100


def test_the_sheet_has_what_an_inlay_is_moved_by(lay, client, brief):
    made = lay(shape="dot", lies_on="headplate", along_mm=60).json()
    page = client.get(f"/briefs/{brief['id']}/inlay").text
    (hold,) = re.findall(r'<svg class="inlay-hold"[^>]*>', page)
    told = dict(re.findall(r'data-([a-z-]+)="([^"]*)"', hold))
    assert (told["along"], told["across"], told["width"]) == ("60.0", "0.0", "6.0")
    x, y, _, *step = map(float, told["spots"].split())
    assert (x, step) == (0, [0, -1, 1, 0])  # up the head is away from the nut
    assert y < 0
    assert page.count(f'data-inlay="{made["id"]}"') >= 1
    assert re.search(r'<input[^>]* id="place-[^"]*-along_mm"[^>]* value="60"', page)


def test_shell_without_a_photograph_is_plain_and_the_panel_says_so(make, client, brief, parts):
    shell = make("materials", label="Abalone strip", stuff="shell", reading="Lab 60 -5 3")
    etag = {"If-Match": parts["inlay"]["etag"]}
    client.patch(
        f"/api/parts/{parts['inlay']['id']}", json={"material_id": shell["id"]}, headers=etag
    )
    said = "No photograph, so no play of light: Abalone strip."
    panel = f"/briefs/{brief['id']}/panel?sheet=spec"
    assert said not in client.get(panel).text
    client.cookies.set("seen", "relief=on")
    assert said in client.get(panel).text


def test_all_of_an_inlay_is_judged_as_drawn(lay, client, brief, make, parts):
    oak = make("materials", label="bog oak", reading="Lab 20 1 4")
    bone = make("materials", label="bone", stuff="bone", reading="Lab 88 0 10")
    near = make("materials", label="ebony", reading="Lab 21 1 4")
    made = lay(shape="dot", width_mm=6, frets=[5, 7]).json()
    at = f"/api/inlays/{made['id']}/seen"
    nothing = client.get(at).json()
    assert nothing == {"inlay_id": made["id"], "seen": [], "missing": []}

    def of(role, piece):
        part = f"/api/parts/{parts[role]['id']}"
        changed = client.patch(part, json={"material_id": piece["id"]}, headers={"If-Match": "*"})
        assert changed.is_success
        return [(one["key"], one["reading"]) for one in client.get(at).json()["seen"]]

    assert of("fretboard", oak) == []
    assert of("inlay", oak) == []  # into itself
    page = client.get(f"/briefs/{brief['id']}/inlay").text
    assert "of the same piece as the fretboard, so it cannot be seen" in page
    assert of("inlay", near)[0] != ("bench", "reads")
    shown = of("inlay", bone)
    assert shown[0] == ("bench", "reads")
    assert len(shown) == 4  # to three other eyes, too
    page = client.get(f"/briefs/{brief['id']}/inlay").text
    assert "All of it: shows clearly" in page
    assert "No finish test" in client.get(at).json()["missing"][0]
    assert client.get("/api/inlays/01ARZ3NDEKTSV4RRFFQ69G5FAV/seen").status_code == 404
