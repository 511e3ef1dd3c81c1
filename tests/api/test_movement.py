"""Climates of a brief, and how its parts move with them."""

import pytest

YEAR = "38 40 42 46 50 55 58 57 53 48 43 39"


@pytest.fixture
def movement(client, brief):
    def asked():
        answer = client.get(f"/api/briefs/{brief['id']}/movement")
        assert answer.status_code == 200, answer.text
        return answer.json()

    return asked


@pytest.fixture
def climate(make, brief):
    def made(name: str, humidity, stage: str = "venue", **fields):
        return make(
            "climates", brief_id=brief["id"], name=name, humidity=humidity, stage=stage, **fields
        )

    return made


@pytest.fixture
def top(client, make, brief, change):
    """A Sitka top, quartersawn; returns the part as it was changed."""
    piece = make("materials", label="Sitka top", species="Picea sitchensis", cut="quartersawn")
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    part = next(one for one in parts if one["role"] == "top")
    return change(part, "parts", material_id=piece["id"]).json()


def of(found, role: str):
    return next(one for one in found["parts"] if one["role"] == role)


def test_one_number_or_twelve(client, climate) -> None:
    hall = climate("the hall", YEAR, temperature="68 °F")
    assert hall["humidity"] == YEAR
    assert hall["humidity_percent"] == [float(one) for one in YEAR.split()]
    assert hall["celsius"] == [20.0] * 12
    loft = climate("the loft", "45,5 %", temperature="18;18;19;20;21;22;23;23;21;20;19;18")
    assert loft["humidity_percent"] == [45.5] * 12
    assert loft["celsius"][5] == 22.0
    assert climate("the van", 50)["humidity_percent"] == [50.0] * 12
    assert climate("the barn", [50] * 12)["humidity_percent"] == [50.0] * 12
    # Wood Handbook, Table 4-2: 9.2 % at 70 °F and 50 %.
    assert climate("the house", 50, temperature="70 °F")["moisture"][0] == pytest.approx(9.2, 0.02)


@pytest.mark.parametrize(
    ("wrong", "pointer", "said"),
    [
        ({"humidity": "0 %"}, "/humidity", "5 to 95 %"),
        ({"humidity": "100"}, "/humidity", "5 to 95 %; got 100"),
        ({"humidity": "38 40 42"}, "/humidity", "has 3 numbers; give one, or twelve"),
        ({"humidity": f"{YEAR} 40"}, "/humidity", "has 13 numbers"),
        ({"humidity": YEAR.replace("55", "5")}, None, None),
        ({"humidity": YEAR.replace("55", "155")}, "/humidity", "got 155"),
        ({"humidity": ""}, "/humidity", "has 0 numbers"),
        ({"humidity": "dry"}, "/humidity", "no number"),
        ({"humidity": "45-55"}, "/humidity", "no number"),
        ({"temperature": "70"}, "/temperature", "Write 70 °F for Fahrenheit"),
        ({"temperature": "−20"}, "/temperature", "−1 to 60 °C"),
        ({"temperature": "200 °F"}, "/temperature", "−1 to 60 °C; got 200."),
        ({"month": 13}, "/month", "12"),
        ({"month": True}, "/month", "number"),
        ({"stage": "the moon"}, "/stage", "workshop"),
        ({"name": " "}, "/name", ""),
    ],
)
def test_what_is_no_climate_is_refused_and_changes_nothing(
    client, brief, refused, on_disk, wrong, pointer, said
) -> None:
    sent = {"brief_id": brief["id"], "name": "the hall", "humidity": "45 %"} | wrong
    before = on_disk()
    answer = client.post("/api/climates", json=sent)
    if said is None:
        assert answer.status_code == 201
        return
    refused(answer, 422, "bad_input", pointer=pointer)
    assert said in answer.text
    assert on_disk() == before


def test_nothing_is_told_until_there_are_two_airs(movement, climate, top) -> None:
    found = movement()
    assert found["base"] is None
    assert "workshop" in found["lead"]
    assert of(found, "top")["known"]
    assert of(found, "top")["dry"] is None
    assert of(found, "top")["sentence"] == ""
    climate("the workshop", 45, "workshop", temperature="21")
    assert movement()["base"] is None


def test_a_top_in_a_dry_hall(movement, climate, top) -> None:
    climate("the workshop", 45, "workshop", temperature="21")
    climate("the hall", 25, temperature="21")
    found = movement()
    assert found["base"]["moisture"] == 8.5
    assert found["driest"] == {
        "where": "the hall",
        "humidity": 25.0,
        "celsius": 21.0,
        "moisture": 5.4,
    }
    its = of(found, "top")
    # Worked by hand for 400 mm of this wood in this air: −1.84 mm (Wood Handbook, ch. 13).
    assert its["dry"]["likely_mm"] == pytest.approx(-1.84 * its["width_mm"] / 400, abs=0.01)
    assert its["damp"] is None
    each = abs(its["dry"]["likely_mm"]) / 2
    assert its["edge"] == f"up to {each:.1f} mm at each edge, under the binding"
    assert of(found, "fretboard")["edge"] == ""
    assert its["band"] == "watch"
    assert "sink" in its["sentence"]
    assert of(found, "bridge")["band"] == "watch"
    assert found["lead"].startswith("Watch Top")
    least, most = found["case_humidity"]
    assert 25 < least < 45 < most
    assert "drier than that" in found["case_sentence"]


def test_a_year_is_told_by_its_driest_and_dampest_month(movement, climate, top) -> None:
    climate("the workshop", 45, "workshop")
    hall = climate("the hall", YEAR)
    found = movement()
    assert found["driest"]["where"] == "the hall in January"
    assert found["dampest"]["where"] == "the hall in July"
    assert of(found, "top")["dry"]["words"].endswith("in the hall in January")
    assert of(found, "top")["damp"]["likely_mm"] > 0
    assert hall["words"] == "38 to 58 %, wood about 7 to 11 %"


def test_the_month_that_counts(movement, climate, top, change) -> None:
    shop = climate("the workshop", YEAR, "workshop", month=7)
    assert movement()["base"]["where"] == "the workshop in July"
    assert movement()["driest"]["where"] == "the workshop in January"
    assert change(shop, "climates", month="7").json()["month"] == 7  # as a select sends it
    change(shop, "climates", month=None)
    assert movement()["base"]["where"] == "the workshop"
    change(shop, "climates", humidity="45")
    climate("the hall", YEAR, month=7)
    assert movement()["driest"]["where"] == "the workshop"


def test_what_is_not_in_the_table_is_not_known(movement, climate, make, change, top) -> None:
    climate("the workshop", 45, "workshop")
    climate("the hall", 30)
    attic = make("materials", label="A board from the attic")
    change(top, "parts", material_id=attic["id"])
    found = of(movement(), "top")
    assert not found["known"]
    assert found["sentence"].startswith("not known")
    assert "Not known for Top" in movement()["lead"]
    brass = make("materials", label="Brass", stuff="metal")
    change(top, "parts", material_id=brass["id"])
    assert of(movement(), "top")["sentence"] == "not known for metal."


def test_the_cut_narrows_it(movement, climate, change, client, top) -> None:
    climate("the workshop", 45, "workshop")
    climate("the hall", 30)
    quartersawn = of(movement(), "top")["dry"]
    piece = {"id": top["material"]["id"]}
    change(piece, "materials", cut="not said")
    unsaid = of(movement(), "top")["dry"]
    change(piece, "materials", cut="flatsawn")
    flatsawn = of(movement(), "top")["dry"]
    assert quartersawn["likely_mm"] > unsaid["likely_mm"] > flatsawn["likely_mm"]
    assert unsaid["least_mm"] == quartersawn["least_mm"]
    assert unsaid["most_mm"] == flatsawn["most_mm"]


def test_an_inlay_is_squeezed_and_shows_a_gap(movement, climate, make, change, client, brief):
    climate("the workshop", 45, "workshop")
    climate("the hall", 30)
    climate("the harbour", 70)
    walnut = make("materials", label="Walnut board", species="Juglans nigra", cut="flatsawn")
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    board = next(one for one in parts if one["role"] == "fretboard")
    change(board, "parts", material_id=walnut["id"])
    make("inlays", brief_id=brief["id"], name="moon", shape="dot", frets=[5], width_mm=20)
    (moon,) = movement()["inlays"]
    assert moon["width_mm"] == 20
    assert moon["sentence"].startswith("is squeezed by about 0.1")
    assert "shows a gap of about 0.2" in moon["sentence"]
    assert "fret ends" in of(movement(), "fretboard")["sentence"]


def test_the_page_shows_it_and_names_are_escaped(client, climate, brief, top) -> None:
    at = f"/briefs/{brief['id']}/movement"
    assert "Add your workshop" in client.get(at).text
    climate("the workshop", 45, "workshop")
    climate("<b>the hall</b>", 25)
    page = client.get(at).text
    assert "&lt;b&gt;the hall&lt;/b&gt;" in page
    assert "<b>the hall" not in page
    assert "times larger than it is" in page
    assert page.count('class="moved-line dry"') == 1


def test_a_removed_climate_can_be_taken_back(client, climate, movement, top) -> None:
    climate("the workshop", 45, "workshop")
    hall = climate("the hall", 25)
    before = movement()
    removed = client.delete(f"/api/climates/{hall['id']}", headers={"If-Match": "*"})
    assert movement()["base"] is None
    assert client.post(removed.json()["take_back"]).is_success
    assert movement() == before


def test_a_revision_keeps_it(client, climate, make, brief, change, top) -> None:
    shop = climate("the workshop", 45, "workshop")
    rev = make("revisions", brief_id=brief["id"], note="dry")
    change(shop, "climates", humidity="50 %")
    changed = client.get(f"/api/revisions/{rev['id']}/changes")
    assert "relative humidity" in changed.text


def test_no_guest_sees_it(client, climate, make, brief, top) -> None:
    climate("my private loft", 45, "workshop")
    climate("the hall", 25)
    link = make("shares", brief_id=brief["id"], name="Ines", sheets=["theme", "spec"])
    page = client.get(link["address"])
    assert page.status_code == 200
    mailed = client.get(f"/api/briefs/{brief['id']}/for-comment.html")
    assert mailed.status_code == 200
    for text in (page.text, mailed.text):
        assert "my private loft" not in text
        assert "humidity" not in text
