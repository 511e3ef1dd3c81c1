"""Stocks through HTTP: boards a page at a time, what is found among them, and taking one."""

from __future__ import annotations

import csv
import io
import re
import sys
from decimal import Decimal

import numpy as np
import pyarrow.parquet as pq
import pytest

from brief.colour.notation.cgats import read_cgats
from brief.services.stock.boards import boards_page
from brief.services.stock.stocks import stocks
from tests.made_stock import made_stock, wood_like


@pytest.fixture
def stock_id(store, picture, brief) -> str:  # a brief may come as a copy of a whole home
    with store.desk(writing=True) as desk:
        return made_stock(desk, picture((92, 64, 44)), wood_like(60)).id


def test_boards_come_a_page_at_a_time(client, stock_id) -> None:
    at = f"/api/stocks/{stock_id}/boards"
    first = client.get(at, params={"limit": 40})
    rest = client.get(first.links["next"]["url"]).json()
    files = [one["file"] for one in [*first.json()["items"], *rest["items"]]]
    assert sorted(files) == sorted(f"{place}.jpg" for place in range(60))
    assert rest["next"] is None
    assert client.get(f"/api/stocks/{stock_id}").json()["boards"] == 60


def test_all_boards_leave_as_a_table(client, store, stock_id) -> None:
    with store.desk(writing=True) as desk:
        first = boards_page(desk, stocks.get(desk, stock_id), limit=1)[0]
        first.label, first.species, first.price = '=1+1, "old"', "Ölbaum", Decimal("48.50")
        first.grain_deg, first.lightness, first.a, first.b = 12.25, 40.0, -3.5, -0.00001
    at = f"/api/stocks/{stock_id}/boards"
    answer = client.get(f"{at}.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert "boards.csv" in answer.headers["content-disposition"]
    # RFC 4180, 2: lines end in CRLF, quotes are doubled; the cell is no formula (OWASP).
    assert answer.content.count(b"\r\n") == answer.content.count(b"\n") == 61
    assert answer.content.split(b"\r\n")[1].startswith(b'"\'=1+1, ""old""",0.jpg,')
    rows = list(csv.DictReader(io.StringIO(answer.content.decode(), newline="")))
    assert [row["file"] for row in rows] == [f"{place}.jpg" for place in range(60)]
    told = rows[0]
    assert (told["species"], told["price"], told["currency"]) == ("Ölbaum", "48.5", "EUR")
    assert (told["L"], told["a"], told["b"], told["grain_deg"]) == ("40.0", "-3.5", "0.0", "12.25")
    assert (told["length_mm"], told["uncertainty"]) == ("560.0", "4.0")


def test_colours_of_all_boards_leave_as_cgats(client, stock_id) -> None:
    answer = client.get(f"/api/stocks/{stock_id}/boards.cgats")
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    read = read_cgats(answer.content)
    assert [one.name for one in read] == [f"Board {place}" for place in range(60)]
    np.testing.assert_allclose([one.lab for one in read], wood_like(60), atol=1e-4)
    assert {one.uncertainty for one in read} == {4}


def test_all_boards_leave_as_parquet(client, store, stock_id, refused, monkeypatch) -> None:
    at = f"/api/stocks/{stock_id}/boards.parquet"
    answer = client.get(at)
    assert answer.headers["content-type"] == "application/vnd.apache.parquet"  # IANA
    read = pq.read_table(io.BytesIO(answer.content))
    labs = np.column_stack([read[name].to_numpy() for name in ("L", "a", "b")])
    np.testing.assert_allclose(labs, wood_like(60), atol=1e-4)
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    refused(client.get(at), 422, "bad_input", r"luthiers-brief\[parquet\]")


def test_of_an_empty_stock_there_is_a_head_and_no_colour(client, make, refused) -> None:
    at = f"/api/stocks/{make('stocks', name='new')['id']}/boards"
    assert client.get(f"{at}.csv").text.count("\n") == 1
    refused(client.get(f"{at}.cgats"), 422, "bad_colour", "no colour to write")
    refused(client.get(f"{at}.xlsx"), 422, "bad_input")


def test_a_board_is_found_and_taken(client, stock_id, brief, make) -> None:
    at = f"/api/stocks/{stock_id}"
    answer = client.get(f"{at}/nearest", params={"colour": "Lab 50 8 20"})
    assert answer.status_code == 200, answer.text
    (near, *_) = answer.json()
    assert client.get(near["board"]["texture"]).headers["content-type"] == "image/jpeg"
    taken = client.post(f"{at}/boards/{near['board']['id']}/take")
    assert taken.status_code == 201
    piece = client.get(taken.headers["location"]).json()
    assert piece == taken.json()
    assert piece["colour"]["lab"] == pytest.approx(near["board"]["colour"]["lab"])
    assert "Guild store" in piece["provenance"]
    pairs = client.get(f"{at}/pairs/{piece['id']}", params={"line_mm": "1/32 in"}).json()
    assert {one["reading"] for one in pairs} <= {"reads", "doubtful"}
    swatch = make("swatches", brief_id=brief["id"], colour="Lab 50 8 20")
    make("parts", brief_id=brief["id"], role="end graft", swatch_id=swatch["id"])
    (lift,) = client.get(f"{at}/lifts/{brief['id']}").json()
    assert lift["now"] is None
    assert lift["boards"][0]["board"]["id"] == near["board"]["id"]


def test_the_page_shows_what_was_looked_for(client, stock_id, brief, make) -> None:
    at = f"/briefs/{brief['id']}/stock"
    swatch = make("swatches", brief_id=brief["id"], name="reed", colour="Lab 50 8 20")
    piece = make("materials", label="walnut", reading="Lab 38 9 15")
    make("parts", brief_id=brief["id"], role="end graft", swatch_id=swatch["id"])
    for look, said in (
        ("", "All boards"),
        (f"swatch:{swatch['id']}", "Nearest to reed"),
        (f"piece:{piece['id']}", "Nearest to walnut"),
        (f"pair:{piece['id']}", "For an inlay of 1 mm with walnut"),
        ("brief", "still open"),
        ("swatch:nothing", "What you looked for is not there any more."),
    ):
        page = client.get(at, params={"stock": stock_id, "look": look})
        assert page.status_code == 200
        assert said in page.text
        assert "Take into my rack" in page.text
    client.delete(f"/api/stocks/{stock_id}", headers={"If-Match": "*"})
    assert "You have no stock yet" in client.get(at).text


def test_a_board_without_a_photograph_and_one_that_was_taken_say_so(
    client, store, stock_id, brief
) -> None:
    at = f"/briefs/{brief['id']}/stock?look="
    with store.desk(writing=True) as desk:
        first = boards_page(desk, stocks.get(desk, stock_id), limit=1)[0]
        first.image_sha256, first.spread, first.measured, first.figure = None, None, {}, ""
        board_id = first.id
    page = client.get(at).text
    assert page.count("no photograph") == 1
    assert "On your rack" not in page
    piece = client.post(f"/api/stocks/{stock_id}/boards/{board_id}/take").json()
    page = client.get(at).text
    assert f'href="/briefs/{brief["id"]}/timber/{piece["id"]}">On your rack: Board 0<' in page
    assert page.count("Take into my rack</button>") == 11
    again = client.post(f"/api/stocks/{stock_id}/boards/{board_id}/take")
    assert again.status_code == 422
    listed = client.get(f"/api/stocks/{stock_id}/boards").json()["items"][0]
    assert (listed["picture"], listed["piece"]["id"]) == (None, piece["id"])


def test_of_a_long_rack_the_pieces_asked_for_are_offered(
    client, stock_id, brief, make, monkeypatch
) -> None:
    monkeypatch.setattr("brief.services.pages.wood.stock.MOST_OFFERED", 3)
    at = f"/briefs/{brief['id']}/stock"
    elm = make("materials", label="elm", reading="Lab 38 9 15")["id"]
    for place in range(2):
        make("materials", label=f"maple {place}", reading="Lab 80 2 20")
    assert 'name="words"' not in client.get(at).text
    make("materials", label="maple 3", species="Acér rubrum", reading="Lab 80 2 20")
    page = client.get(at, params={"look": f"piece:{elm}", "words": "acer"}).text
    assert "1 of 4 pieces offered" in page
    assert re.findall(r'value="piece:[^>]*>([^<]*)<', page) == ["elm", "maple 3"]
    assert "Nearest to elm" in page
    assert "&amp;words=acer" in page  # the next page asks for the same
    assert "3 of 4 pieces offered" in client.get(at).text


def test_the_page_goes_on(client, stock_id, brief, make) -> None:
    at = f"/briefs/{brief['id']}/stock"
    swatch = make("swatches", brief_id=brief["id"], name="reed", colour="Lab 50 8 20")
    for look in ("", f"swatch:{swatch['id']}"):
        shown = []
        for page in range(1, 6):
            text = client.get(at, params={"look": look, "page": page}).text
            assert f"Page {page} of 5" in text
            shown += re.findall(r"<b>(Board \d+)</b>", text)
        assert sorted(shown) == sorted(f"Board {place}" for place in range(60))
    assert "Page 5 of 5" in client.get(at, params={"page": 99}).text
    assert client.get(at, params={"page": "many"}).status_code == 422


def test_a_swatch_and_a_pairing_lead_to_it(client, stock_id, brief, make) -> None:
    at = f"/briefs/{brief['id']}"
    swatch = make("swatches", brief_id=brief["id"], name="reed", colour="Lab 50 8 20")
    ground = make("materials", label="walnut", reading="Lab 38 9 15")["id"]
    inlay = make("materials", label="maple", reading="Lab 80 2 20")["id"]
    pair = make("pairings", brief_id=brief["id"], inlay_id=inlay, ground_id=ground, line_mm=1)
    links = {
        f"{at}/references": f"{at}/stock?look=swatch:{swatch['id']}",
        f"{at}/pairings/{pair['id']}": f"{at}/stock?look=pair:{ground}",
    }
    for page, link in links.items():
        assert f'href="{link}"' in client.get(page).text
        assert "colour difference" in client.get(link).text or "reads" in client.get(link).text
    client.delete(f"/api/stocks/{stock_id}", headers={"If-Match": "*"})
    for page in links:
        assert "/stock?look=" not in client.get(page).text


def test_what_cannot_be_done_is_refused(client, stock_id, make, refused, on_disk) -> None:
    at = f"/api/stocks/{stock_id}"
    blank = make("materials", label="elm")
    before = on_disk()
    answer = client.get(f"{at}/nearest", params={"colour": "brownish"})
    refused(answer, 422, "bad_colour", "brownish", pointer="/colour")
    refused(client.get(f"{at}/pairs/{blank['id']}"), 422, "bad_input", "has no colour yet")
    line = {"line_mm": "40 mm"}
    refused(client.get(f"{at}/pairs/{blank['id']}", params=line), 422, "bad_input", "0.1 to 10")
    refused(client.get(f"{at}/nearest?colour=red&count=9999"), 422, "bad_input")
    refused(client.post(f"{at}/boards/nothing/take"), 404, "not_found", "has no board")
    client.delete(at, headers={"If-Match": "*"})
    refused(client.get(f"{at}/boards"), 404, "not_found", "in the offcuts bin")
    client.post(f"{at}/take-back")
    assert [len(rows) for rows in on_disk()["rows"].values()] == [
        len(rows) for rows in before["rows"].values()
    ]
