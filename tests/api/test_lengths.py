"""Lengths are read as makers type them wherever they are sent, and shown back as typed."""

import json
from io import BytesIO
from zipfile import ZipFile

import pytest

from tests.asking import TestClient

ANY = {"If-Match": "*"}
LAID = {"centre": 38.5, "match": "book-right", "turn": 90}
# Every length of every noun, with the number that it is kept as.
FIELDS = [
    ("materials", "length_mm", "21 1/2 in", 546.1),
    ("materials", "width_mm", "20,3 cm", 203.0),
    ("materials", "thickness_mm", '0.110"', 2.794),
    ("pairings", "line_mm", "1/32 in", 0.79375),
    ("viewings", "distance_m", "10 ft", 3.048),
    ("inlays", "width_mm", "3/16″", 4.7625),
    ("inlays", "along_mm", "1/8 in", 3.175),
    ("inlays", "across_mm", "−1/16 in", -1.5875),
    ("tracings", "body_mm", "19 in", 482.6),
]


@pytest.fixture
def change(client: TestClient):
    def changed(noun: str, record_id: str, **fields):
        return client.patch(f"/api/{noun}/{record_id}", json=fields, headers=ANY)

    return changed


@pytest.mark.parametrize(("noun", "field", "typed", "value"), FIELDS)
def test_a_length_is_read_and_shown_back_as_typed(
    client, one_of, change, noun, field, typed, value
):
    answer = change(noun, one_of(noun)["id"], **{field: typed})
    assert answer.status_code == 200, answer.text
    for shown in (answer.json(), client.get(f"/api/{noun}/{answer.json()['id']}").json()):
        assert shown[field] == value
        assert shown["as_typed"] == {field: typed}


@pytest.mark.parametrize(("noun", "field", "typed", "value"), FIELDS)
def test_a_number_stays_a_number_and_drops_the_text(one_of, change, noun, field, typed, value):
    one = change(noun, one_of(noun)["id"], **{field: typed}).json()
    again = change(noun, one["id"], **{field: value})
    assert again.json()[field] == value
    assert again.json()["as_typed"] == {}


@pytest.mark.parametrize(("noun", "field", "typed", "value"), FIELDS)
def test_1_250_asks_the_same_question_everywhere(
    one_of, change, refused, on_disk, noun, field, typed, value
):
    one = one_of(noun)["id"]
    before = on_disk()
    said = "Does the comma in “1,250” part thousands or decimals\\? Write 1250 or 1.25\\."
    refused(change(noun, one, **{field: "1,250"}), 422, "bad_input", said, pointer=f"/{field}")
    assert on_disk() == before


def test_the_known_length_of_a_photograph_is_read_alike(one_of, change):
    shot = one_of("photographs")["id"]
    answer = change("photographs", shot, scale_points="0,50 100,50", scale_mm="4 in").json()
    assert (answer["scale_mm"], answer["as_typed"]) == (101.6, {"scale_mm": "4 in"})


def test_a_text_of_a_plain_number_is_no_more_than_the_number(make):
    made = make("materials", label="walnut", length_mm="500", width_mm="200,5")
    assert (made["length_mm"], made["width_mm"]) == (500, 200.5)
    assert made["as_typed"] == {"width_mm": "200,5"}


def test_a_change_of_another_field_keeps_the_text(make, change):
    made = make("materials", label="walnut", length_mm="21 1/2 in", width_mm="8 in")
    kept = change("materials", made["id"], label="walnut, no. 2", width_mm=None).json()
    assert kept["as_typed"] == {"length_mm": "21 1/2 in"}


def test_numbers_of_an_instrument_come_back_as_typed(client, brief):
    at = f"/api/briefs/{brief['id']}/numbers"
    typed = {"scale_mm": "25 1/2 in", "nut_mm": "1-3/4″", "body_mm": "", "frets": "19"}
    answer = client.patch(at, json=typed, headers=ANY)
    assert answer.status_code == 200, answer.text
    numbers = {one["name"]: one for one in answer.json()["numbers"]}
    assert (numbers["scale_mm"]["value"], numbers["scale_mm"]["typed"]) == (647.7, "25 1/2 in")
    assert (numbers["nut_mm"]["value"], numbers["nut_mm"]["typed"]) == (44.45, "1-3/4″")
    assert numbers["frets"]["typed"] is None
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert 'name="scale_mm" type="text" value="25 1/2 in"' in page
    assert "647.7\u00a0mm. Usual: 628" in page
    assert "25 1/2 in (647.7\u00a0mm) scale" in client.get(f"/briefs/{brief['id']}/bench").text
    # The usual one counts as typed, too, and so does the same number in other words.
    again = client.patch(at, json={"scale_mm": "62,8 cm"}, headers=ANY).json()["numbers"]
    assert [(one["changed"], one["typed"]) for one in again if one["name"] == "scale_mm"] == [
        (False, "62,8 cm")
    ]


def test_numbers_changed_in_another_way_lose_the_text(client, brief):
    at = f"/api/briefs/{brief['id']}"
    client.patch(f"{at}/numbers", json={"scale_mm": "25 1/2 in"}, headers=ANY)
    assert client.patch(at, json={"numbers": {"scale_mm": 640}}, headers=ANY).is_success
    numbers = client.get(f"{at}/numbers").json()["numbers"]
    assert [one["typed"] for one in numbers if one["name"] == "scale_mm"] == [None]
    assert client.patch(at, json={"numbers": {"scale_mm": "25.4 in"}}, headers=ANY).is_success
    numbers = client.get(f"{at}/numbers").json()["numbers"]
    assert [(one["value"], one["typed"]) for one in numbers if one["name"] == "scale_mm"] == [
        (645.16, "25.4 in")
    ]


def test_a_kind_of_ones_own_keeps_inches(client, brief, make):
    change = {"scale_mm": "25 in", "nut_mm": "1 3/4 in"}
    client.patch(f"/api/briefs/{brief['id']}/numbers", json=change, headers=ANY)
    kind = make("kinds", brief_id=brief["id"], name="Small parlour")
    assert kind["as_typed"] == change
    other = make("briefs", title="Next", kind=kind["id"])
    numbers = client.get(f"/api/briefs/{other['id']}/numbers").json()["numbers"]
    (scale,) = [one for one in numbers if one["name"] == "scale_mm"]
    assert (scale["typed"], scale["usual_typed"], scale["changed"]) == ("25 in", "25 in", False)
    assert "scale 25 in (635\u00a0mm)" in client.get(f"/briefs/{other['id']}/drawing").text


def test_numbers_are_clean(client, brief, make):
    """1.2 + 10 is 11.2, whatever floating point makes of it."""
    numbers = client.get(f"/api/briefs/{brief['id']}/numbers").json()["numbers"]
    kind = make("kinds", brief_id=brief["id"], name="Small parlour")
    for value in [*(one["value"] for one in numbers), *kind["numbers"].values()]:
        assert len(repr(value)) <= 10, value


@pytest.mark.parametrize(
    ("noun", "fields", "kept"),
    [
        ("inlays", {"turn_deg": "45°"}, 45),
        ("inlays", {"turn_deg": "22½ º"}, 22.5),
        ("materials", {"weight_g": "410 g"}, 410),
        ("materials", {"density": "620 kg/m3"}, 620),
        ("materials", {"density": "0.62e3"}, None),
        ("materials", {"price": "€68,50"}, 68.5),
        ("materials", {"price": "68 EUR"}, 68),
        ("materials", {"price": "$68", "currency": "CAD"}, 68),
        ("materials", {"price": "$68"}, None),
        ("materials", {"price": "68 GBP"}, None),
        ("viewings", {"lux": "150 lx"}, 150),
        ("viewings", {"kelvin": "2900 K", "light": "lamp", "rendering": "Ra 83"}, 2900),
        ("viewings", {"rendering": ">80", "light": "lamp", "kelvin": "2 900"}, 80),
        ("viewings", {"kelvin": "2.900", "light": "lamp", "rendering": 80}, None),
        ("parts", {"laying": {"centre": "38,5 %", "turn": 90}}, LAID),
    ],
)  # fmt: skip
def test_a_unit_that_the_label_names_may_be_typed_along(one_of, change, noun, fields, kept):
    answer = change(noun, one_of(noun)["id"], **fields)
    first = next(iter(fields))
    if kept is None:
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == f"/{first}"
    else:
        assert answer.status_code == 200, answer.text
        assert answer.json()[first] == kept


def test_addresses_take_lengths_and_prices_as_typed(client, one_of, brief):
    pairing = one_of("pairings")["id"]
    at = f"/api/pairings/{pairing}/picture"
    assert client.get(at, params={"distance_m": "1,250"}).status_code == 422
    assert client.get(at, params={"distance_m": "99 ft"}).status_code == 422
    faults = client.get(at, params={"distance_m": "10 ft"}).json()["errors"]
    assert not faults  # its timber has no scale to draw it by; the distance itself is read
    (part, *_) = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    asked = {"open": part["id"], "most_price": "€ 68,50"}
    assert client.get(f"/api/briefs/{brief['id']}/proposals", params=asked).status_code == 200


def test_no_size_near_nought_divides(client, refused, make, change):
    sizes = {"length_mm": 1e-200, "width_mm": 1e-200, "thickness_mm": 1e-10, "weight_g": 10}
    answer = client.post("/api/materials", json={"label": "dust"} | sizes)
    refused(answer, 422, "bad_input", pointer="/length_mm")
    least = {"length_mm": 0.0001, "width_mm": 0.0001, "thickness_mm": 0.0001, "weight_g": 0.001}
    answer = client.post("/api/materials", json={"label": "dust"} | least)
    refused(answer, 422, "bad_input", "By its sizes this would be", pointer="/weight_g")
    assert make("materials", label="gold leaf", thickness_mm="0,0001")["thickness_mm"] == 0.0001


def test_pages_show_what_was_typed(client, brief, make, one_of, change):
    pairing = one_of("pairings")
    change("pairings", pairing["id"], line_mm="1/32 in")
    make("viewings", brief_id=brief["id"], name="the hall", distance_m="10 ft")
    page = client.get(f"/briefs/{brief['id']}/pairings").text
    assert "line 1/32 in (0.79\u00a0mm)" in page
    assert "from 10 ft (3.05\u00a0m)" in page
    assert 'name="distance_m" type="text" value="10 ft"' in page
    page = client.get(f"/briefs/{brief['id']}/pairings/{pairing['id']}").text
    assert "line 1/32 in (0.79\u00a0mm)" in page
    assert 'name="line_mm" type="text" value="1/32 in"' in page
    assert "in the hall, from 10 ft" in page  # of the verdict
    board = make("materials", label="board", length_mm="21 1/2 in", width_mm=203)
    make("materials", label="offcut", length_mm=148, width_mm="105 mm")
    page = client.get(f"/briefs/{brief['id']}/timber").text
    assert "21 1/2 in × 203 mm (546.1 × 203 mm)" in page
    assert "148 × 105 mm" in page
    assert "(148 × 105 mm)" not in page  # it would only say the same again
    assert board["as_typed"] == {"length_mm": "21 1/2 in"}


def test_what_goes_out_shows_what_was_typed(client, brief, one_of, change):
    pairing = one_of("pairings")
    change("pairings", pairing["id"], line_mm="1/32 in")
    mailed = client.get(f"/api/briefs/{brief['id']}/for-comment.html")
    assert "line 1/32 in (0.79\u00a0mm)" in mailed.text


def test_texts_travel_with_the_brief_and_are_not_believed_blindly(client, brief, one_of, change):
    pairing = one_of("pairings")["id"]
    change("pairings", pairing, line_mm="1/32 in")
    client.patch(f"/api/briefs/{brief['id']}/numbers", json={"scale_mm": "25 in"}, headers=ANY)
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    with ZipFile(BytesIO(packed)) as archive:
        document = json.loads(archive.read("brief.json"))
        files = {name: archive.read(name) for name in archive.namelist()}
    (row,) = document["records"]["pairings"]
    assert row["as_typed"] == {"line_mm": "1/32 in"}
    assert document["records"]["briefs"][0]["as_typed"] == {"scale_mm": "25 in"}

    def sent(as_typed):
        row["as_typed"] = as_typed
        files["brief.json"] = json.dumps(document).encode()
        out = BytesIO()
        with ZipFile(out, "w") as archive:
            for name, data in files.items():
                archive.writestr(name, data)
        return client.post("/api/parcels", files={"file": ("b.zip", out.getvalue())})

    assert sent({"line_mm": "x" * 41}).status_code == 422
    assert sent(["1/32 in"]).status_code == 422
    arrived = sent({"line_mm": "5 in", "note": "<script>"})  # neither says the number
    assert arrived.is_success, arrived.text
    there = arrived.json()["brief_id"]
    (copy,) = client.get("/api/pairings", params={"brief_id": there}).json()["items"]
    assert (copy["line_mm"], copy["as_typed"]) == (0.79375, {})


def test_what_is_taken_back_from_a_revision_is_as_it_was_typed(client, brief, one_of, change):
    pairing = one_of("pairings")["id"]
    change("pairings", pairing, line_mm="1/32 in")
    kept = client.post("/api/revisions", json={"brief_id": brief["id"], "note": ""}).json()
    change("pairings", pairing, line_mm=1)
    assert "1/32 in (0.79\u00a0mm)" in client.get(f"/api/revisions/{kept['id']}/changes").text
    one = {"kind": "pairing", "id": pairing}
    done = client.post(f"/api/revisions/{kept['id']}/give-back", json=one)
    assert done.is_success, done.text
    back = client.get(f"/api/pairings/{pairing}").json()
    assert (back["line_mm"], back["as_typed"]) == (0.79375, {"line_mm": "1/32 in"})


def test_the_description_says_what_is_read(client):
    schemas = client.get("/api/openapi.json").json()["components"]["schemas"]
    line = schemas["PairingDraft"]["properties"]["line_mm"]["anyOf"]
    assert [one["type"] for one in line] == ["number", "string", "null"]
    assert (line[0]["minimum"], line[0]["maximum"]) == (0.1, 10)
    assert line[1]["examples"] == ["1/32 in"]
    assert schemas["PairingView"]["properties"]["line_mm"]["anyOf"][0] == {"type": "number"}
    page = client.get("/api/docs").text
    assert "1/32 in" in page


OVAL = [[0, 0], [30, 50], [60, 90], [120, 125], [200, 140], [300, 110], [360, 60], [381, 0]]


def test_the_stations_of_an_outline_are_lengths_too(brief, change):
    """3.5 in is 88.9 mm, 15 in 381 mm (NIST SP 811, B.6)."""
    typed = [[0, "0 in"], *OVAL[1:2], ["60 mm", "3 1/2 in"], *OVAL[3:-1], ["15 in", 0]]
    answer = change("briefs", brief["id"], outline=typed)
    assert answer.status_code == 200, answer.text
    read = answer.json()["outline"]
    assert (read[0], read[2], read[-1]) == ([0, 0], [60, 88.9], [381, 0])
    again = change("briefs", brief["id"], outline=read)
    assert again.json()["outline"] == read


@pytest.mark.parametrize("station", [["a hand", 90], [60, "3 1/2"], [60, True], [60, None]])
def test_a_station_that_is_no_length_is_refused_where_it_is(brief, change, refused, station):
    answer = change("briefs", brief["id"], outline=[*OVAL[:2], station, *OVAL[3:]])
    at = 0 if station[0] != 60 else 1
    refused(answer, 422, "bad_input", pointer=f"/outline/2/{at}")
