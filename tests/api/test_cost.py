"""What a brief costs: its pieces by the share used, what is bought, hours, and what is left."""

from __future__ import annotations

import json
import re
from datetime import date
from decimal import Decimal
from io import BytesIO
from zipfile import ZipFile

import pytest

from brief.instrument import preset
from brief.instrument.model.cut_list import cut_list
from brief.services import nouns
from brief.services.cost.cost import cost_glance

ANY = {"If-Match": "*"}


@pytest.fixture
def here(brief):
    return {"brief_id": brief["id"]}


@pytest.fixture
def cost(client, brief):
    """What it costs now."""

    def asked():
        answer = client.get(f"/api/briefs/{brief['id']}/cost")
        assert answer.status_code == 200, answer.text
        return json.loads(answer.text, parse_float=Decimal)

    return asked


@pytest.fixture
def terms(client, brief):
    """Change the terms: `terms(hour_rate=30)`."""

    def changed(**fields):
        return client.patch(f"/api/briefs/{brief['id']}", json=fields, headers=ANY)

    return changed


@pytest.fixture
def put(client, brief):
    """Give the part of that role a piece."""

    def given(role, piece):
        parts = client.get("/api/parts", params={"brief_id": brief["id"], "limit": 50}).json()
        part = next(one for one in parts["items"] if one["role"] == role)
        body = {"material_id": piece["id"]}
        assert client.patch(f"/api/parts/{part['id']}", json=body, headers=ANY).status_code == 200

    return given


def portions(found):
    return {one["what"]: one["amount"] for one in found["portions"]}


def test_a_whole_instrument(client, make, here, cost, terms, put):
    """By hand: a neck blank of 40 EUR, half of it; tuners 2 × 45; 3 h noted of one stage and 1, 2,
    3 h of another, on average 5 h at 30, overhead 20 %; the dealer keeps 25 % of 400."""
    put("neck", blank := make("materials", label="sapele", price=40))
    make("pieces-used", **here, material_id=blank["id"], share="50 %")
    make("bought-parts", **here, name="Tuners", price="45", number=2)
    done = make("stages", **here, name="Neck", quick_h=9, likely_h=10, slow_h=11)
    body = {"done_on": str(date.today()), "spent_h": 3}
    client.patch(f"/api/stages/{done['id']}", json=body, headers=ANY)
    make("stages", **here, name="Box", quick_h=1, likely_h=2, slow_h=3)
    told = {"hour_rate": "30", "overhead": "20 %", "commission": "25 %", "asking_price": 400}
    assert terms(**told).status_code == 200
    found = cost()
    assert portions(found) == {
        "wood": 20,
        "bought": 90,
        "commission": 100,
        "overhead": 30,
        "hours": 150,
        "left": 10,
    }
    assert (found["left"], found["hours"]["likely"]) == (10, 5)
    assert 3 < found["hours"]["quick"] < 5 < found["hours"]["slow"] < 6
    assert found["left_quick"] > 10 > found["left_slow"]
    # (400 − 100 − 110) / (5 × 1.2)
    assert found["hour_worth"] == Decimal("31.67")
    assert found["sentence"].startswith("10.00\u00a0EUR left of 400.00\u00a0EUR asked.")
    assert found["private"] is True


def test_the_share_follows_from_the_blanks_and_the_size_of_the_board(make, cost, put):
    """The cut list's own blank, on a board of twice its length, twice its width and thick enough
    for three: a twelfth, 9 % rounded up, as Drawing says it."""
    blank = next(one for one in cut_list(preset("parlour-steel-string")) if one.role == "fretboard")
    board = make(
        "materials",
        label="bog oak",
        price=100,
        length_mm=blank.length_mm * 2,
        width_mm=blank.width_mm * 2,
        thickness_mm=blank.thickness_mm * 3.5,
    )
    put("fretboard", board)
    (piece,) = cost()["wood"]
    assert (piece["share"], piece["by"], piece["cost"]) == (9, "cut list", 9)
    assert piece["parts"] == ["Fretboard"]


def test_a_piece_without_sizes_counts_whole_and_never_more_than_whole(client, make, cost, put):
    put("neck", make("materials", label="sapele", price=40))
    put("back", make("materials", label="small", price=60, length_mm=50, width_mm=50))
    shares = {one["label"]: (one["share"], one["by"], one["cost"]) for one in cost()["wood"]}
    assert shares == {"sapele": (100, "whole", 40), "small": (100, "not enough", 60)}


def test_a_piece_of_another_currency_is_not_counted_until_its_cost_is_said(
    client, make, here, cost, put
):
    make("materials", label="a", price=1, currency="EUR")
    make("materials", label="b", price=1, currency="EUR")
    put("neck", piece := make("materials", label="mahogany", price=60, currency="USD"))
    found = cost()
    assert found["currency"] == "EUR"
    assert found["wood"][0]["cost"] is None
    assert "mahogany cost 60.00\u00a0USD, and this brief counts in EUR." in found["missing"]
    refused = client.post(
        "/api/pieces-used", json={**here, "material_id": piece["id"], "cost": "60 USD"}
    )
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    assert fault["pointer"] == "/cost"
    assert fault["detail"] == (
        "“60 USD” names another currency than EUR. Write what it was in EUR, as your bank "
        "counted it."
    )
    make("pieces-used", **here, material_id=piece["id"], cost="55,20")
    assert cost()["wood"][0]["cost"] == Decimal("55.2")


def test_what_is_missing_is_said(client, make, here, cost, terms):
    assert cost()["sentence"] == "Open nothing has a price yet."
    said = " ".join(cost()["missing"])
    for words in ("no stages yet, and no rate", "parts still have no piece", "Nothing bought yet"):
        assert words in said
    terms(hour_rate=30)
    assert "There is a rate, but no hours yet" in " ".join(cost()["missing"])
    make("stages", **here, name="Box", quick_h=1, likely_h=2, slow_h=3)
    assert "hours" not in " ".join(cost()["missing"])
    terms(hour_rate=None)
    assert "There are 2.0 h, but no rate an hour yet." in cost()["missing"]


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"hour_rate": -1}, "hour_rate", "must be 0 to 10,000,000; got -1"),
        ({"hour_rate": "30 GBP"}, "hour_rate", "names another currency than EUR"),
        ({"hour_rate": "1.234"}, "hour_rate", "EUR has 2 decimals; got 1.234. Write 1.23 or 1234"),
        ({"hour_rate": "1,250"}, "hour_rate", "part thousands or decimals.* Write 1250 or 1.25"),
        ({"hour_rate": "thirty"}, "hour_rate", "“thirty” is no price. Write 68.50"),
        ({"hour_rate": True}, "hour_rate", "must be a number; got true"),
        ({"asking_price": "12.3456"}, "asking_price", "EUR has 2 decimals"),
        ({"margin": 100}, "margin", "must be 0 to below 100; got 100"),
        ({"margin": "120 %"}, "margin", "must be 0 to below 100; got “120 %”"),
        ({"margin": 60, "commission": 40}, "margin", "nothing pays for the work"),
        ({"commission": -1}, "commission", "must be 0 to below 100"),
        ({"overhead": "-5 %"}, "overhead", "Overhead is 0 to 1000 % of the hours"),
        ({"overhead": "400 USD"}, "overhead", "names another currency than EUR"),
        ({"overhead": "400.005"}, "overhead", "EUR has 2 decimals"),
        ({"overhead": "25"}, "overhead", "Is that 25 % of the hours, or 25 EUR in all?"),
        ({"overhead": "plenty"}, "overhead", "is no price. Write 30 % or 400"),
        ({"currency": "XAU"}, "currency", "“XAU” is no currency in use"),
        ({"currency": "euros"}, "currency", "three letters, such as EUR"),
    ],
)
def test_terms_that_cannot_be_are_refused_at_their_field(
    client, brief, terms, fields, field, words
):
    before = client.get(f"/api/briefs/{brief['id']}").json()
    refused = terms(**fields)
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    assert fault["pointer"] == f"/{field}"
    assert re.search(words, fault["detail"]), fault["detail"]
    assert client.get(f"/api/briefs/{brief['id']}").json() == before


@pytest.mark.parametrize(
    ("noun", "fields", "field", "words"),
    [
        ("bought-parts", {"name": "Tuners", "price": -0.01}, "price", "must be 0 to"),
        ("bought-parts", {"name": "Tuners", "price": "$ 20"}, "price", "another currency than EUR"),
        ("bought-parts", {"name": "Tuners", "price": "1.999"}, "price", "EUR has 2 decimals"),
        ("bought-parts", {"name": "", "price": 5}, "name", ""),
        ("bought-parts", {"name": "Tuners"}, "price", ""),
        ("bought-parts", {"name": "Tuners", "price": 5, "number": 0}, "number", ""),
        ("pieces-used", {"share": "140 %"}, "share", "must be 0 to 100; got “140 %”"),
        ("pieces-used", {"share": -1}, "share", "must be 0 to 100"),
        ("pieces-used", {"cost": -5}, "cost", "must be 0 to"),
        ("pieces-used", {}, "share", "Say which share of it is used"),
    ],
)
def test_lines_that_cannot_be_are_refused_at_their_field(
    client, make, here, noun, fields, field, words
):
    if noun == "pieces-used":
        fields = fields | {"material_id": make("materials", label="elm")["id"]}
    refused = client.post(f"/api/{noun}", json={**here, **fields})
    assert refused.status_code == 422
    assert [one["pointer"] for one in refused.json()["errors"]] == [f"/{field}"]
    assert words in refused.json()["errors"][0]["detail"]
    assert client.get(f"/api/{noun}", params=here).json()["items"] == []


def test_a_share_is_said_once_for_each_piece(client, make, here):
    piece = make("materials", label="elm")
    first = make("pieces-used", **here, material_id=piece["id"], share=40)
    again = client.post("/api/pieces-used", json={**here, "material_id": piece["id"], "share": 5})
    assert again.json()["errors"][0]["detail"] == (
        "The share of elm is known already. Change that one."
    )
    client.delete(f"/api/pieces-used/{first['id']}", headers=ANY)
    make("pieces-used", **here, material_id=piece["id"], share=5)
    back = client.post(f"/api/pieces-used/{first['id']}/take-back")
    assert back.status_code == 422
    assert "another share of elm by now" in back.json()["detail"]


def test_the_brief_counts_in_what_most_of_the_rack_was_bought_in(client, make, here, cost):
    for currency in ("GBP", "EUR", "GBP"):
        make("materials", label="elm", price=5, currency=currency)
    assert cost()["currency"] == "GBP"
    make("bought-parts", **here, name="Tuners", price="£ 60")
    for _ in range(3):
        make("materials", label="elm", price=5, currency="EUR")
    assert cost()["currency"] == "GBP"


def test_the_currency_cannot_change_under_amounts_that_stay(client, make, here, cost, terms):
    tuners = make("bought-parts", **here, name="Tuners", price=60)
    refused = terms(currency="GBP")
    assert refused.status_code == 422
    assert refused.json()["errors"] == [
        {
            "pointer": "/currency",
            "detail": "1 amount of this brief is in EUR, and nothing is converted here. Stay with "
            "EUR, or remove it first.",
        }
    ]
    client.delete(f"/api/bought-parts/{tuners['id']}", headers=ANY)
    assert terms(currency="GBP", hour_rate=30).status_code == 200
    back = client.post(f"/api/bought-parts/{tuners['id']}/take-back")
    assert back.status_code == 422
    assert "“Tuners” is in EUR, and this brief counts in GBP by now" in back.json()["detail"]
    # What is sent along is in the new one.
    assert terms(currency="JPY").status_code == 422
    assert terms(currency="JPY", hour_rate=5000, asking_price=None).status_code == 200
    assert cost()["currency"] == "JPY"


def test_cents_add_up_where_floats_would_not(make, here, cost, terms):
    for _ in range(10):
        make("bought-parts", **here, name="Pin", price=0.1)
    make("bought-parts", **here, name="Case", price="9999999.99")
    assert portions(cost())["bought"] == Decimal("10000000.99")


def test_sums_may_be_larger_than_any_price(client, make, here, brief, cost, terms):
    pins = make("bought-parts", **here, name="Pins", price="9999999.99", number=1000)
    assert pins["total"] == 9999999990
    assert terms(margin="99.9999999").status_code == 200
    assert cost()["asking_price"] == Decimal("9.99999999e18")
    for page in (f"/briefs/{brief['id']}/cost", f"/briefs/{brief['id']}/today", "/"):
        assert client.get(page).status_code == 200


def test_the_cost_goes_along_with_a_saved_brief(client, make, here, brief, cost, terms, put):
    put("neck", piece := make("materials", label="sapele", price="40.10"))
    make("pieces-used", **here, material_id=piece["id"], share="33,3 %")
    make("bought-parts", **here, name="Tuners", price="45.05", number=2)
    terms(hour_rate="30.10", overhead="12.5 %", margin="7.5", asking_price="400.99")
    before = cost()
    zipped = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    with ZipFile(BytesIO(zipped)) as members:
        records = json.loads(members.read("brief.json"))["records"]
        leaflet = members.read("read-me.txt").decode()
    assert records["bought-parts"][0]["price"] == "45.05"
    assert records["materials"][0]["price"] == "40.1"
    assert "what it costs" in leaflet
    sent = {"file": ("saltmarsh.zip", zipped, "application/zip")}
    terms(asking_price=500)  # so that what comes in is another
    came = client.post("/api/parcels", files=sent)
    assert came.status_code == 201, came.text
    assert came.json()["brief_id"] != brief["id"]
    after = client.get(f"/api/briefs/{came.json()['brief_id']}/cost")
    other = json.loads(after.text, parse_float=Decimal)
    told = ("asking_price", "portions", "left", "currency", "missing")
    assert {name: other[name] for name in told} == {name: before[name] for name in told}


def test_all_that_can_be_kept_can_be_opened_again(client, store, make, here, brief, terms):
    """A share in as many figures as are taken, and a price of when prices were floats."""
    piece = make("materials", label="sapele", price="40.10")
    share = {**here, "material_id": piece["id"]}
    finer = client.post("/api/pieces-used", json={**share, "share": "33.3333333333 %"})
    assert finer.status_code == 422
    assert "more than 9 decimals" in finer.text
    assert "Write 33.33." in finer.text
    assert terms(margin=100 / 7).status_code == 422
    make("pieces-used", **share, share="33.333333333 %")
    assert terms(commission=-0.0).status_code == 200
    with store.desk(writing=True) as desk:
        nouns.materials.get(desk, piece["id"]).price = Decimal("33.333333333333336")
    assert client.get(f"/api/materials/{piece['id']}").json()["price"] == 33.333333333333336
    zipped = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    terms(asking_price=500)  # so that what comes in is another
    came = client.post("/api/parcels", files={"file": ("saltmarsh.zip", zipped)})
    assert came.status_code == 201, came.text


def test_a_revision_says_what_changed_of_the_cost(client, make, here, brief, terms):
    terms(hour_rate=30)
    made = make("bought-parts", **here, name="Tuners", price=45)
    first = make("revisions", **here, note="")
    terms(hour_rate=32.5)
    client.patch(f"/api/bought-parts/{made['id']}", json={"price": 50}, headers=ANY)
    groups = client.get(f"/api/revisions/{first['id']}/changes").json()["groups"]
    told = {
        (change["label"], field["name"], field["before"]["text"], field["after"]["text"])
        for group in groups
        for change in group["changes"]
        for field in change["fields"]
    }
    assert ("Saltmarsh", "rate an hour", "30", "32.5") in told
    assert ("Tuners", "price", "45", "50") in told


def test_another_brief_begun_from_it_has_its_terms_and_no_price(client, brief, terms):
    terms(hour_rate=30, margin=10, asking_price=4000)
    asked = {"brief_id": brief["id"], "title": "Low water", "keep": ["spec"]}
    begun = client.post("/api/briefs/beginnings", json=asked).json()
    assert (begun["hour_rate"], begun["margin"], begun["asking_price"]) == (30, 10, None)


def test_the_cost_at_a_glance(store, make, here, brief, terms):
    make("bought-parts", **here, name="Tuners", price=45)
    terms(asking_price=100)
    with store.desk() as desk:
        seen = cost_glance(desk, nouns.briefs.get(desk, brief["id"]))
    assert (seen.currency, seen.asking_price, seen.left) == ("EUR", 100, 55)
    assert seen.sentence == "55.00\u00a0EUR left of 100.00\u00a0EUR asked, before your hours."
    assert any("no stages yet" in one for one in seen.missing)
