"""`brief trip`: when it leaves, what is open, what is still to pack."""

import json
import zipfile
from datetime import date, timedelta

import pypdf
import pytest

from brief.services import nouns
from brief.services.theme.briefs import BriefDraft
from brief.services.trip.itinerary.beginning import TripDraft, begin_trip
from brief.services.trip.packing_list import fill_packing
from brief.store.desk import Store

LEAVES = date.today() + timedelta(days=30)


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        made = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh", stand_list="Strap: 120"))
        zones = {"home_zone": "Europe/Berlin", "hall_zone": "Europe/London"}
        days = {"leaves_on": LEAVES, "back_on": LEAVES + timedelta(days=4)}
        begin_trip(desk, made, TripDraft(home="Workshop", hall="Net loft", **zones, **days))
        fill_packing(desk, made)
        nouns.briefs.add(desk, BriefDraft(title="Low water"))
    store.close()
    return tmp_path / "home"


def test_the_result_comes_first_then_the_days_then_what_is_open(brief, home):
    code, said, err = brief("trip", "salt", "--home", home)
    assert (code, err) == (0, "")
    assert said.startswith("In 30 days: leg to Net loft, ")
    assert said.index("Nights: Net loft (open)") < said.index("! Not booked") < said.index("[ ]")


def test_an_empty_one_says_how_to_begin(brief, home):
    code, said, _ = brief("trip", "low", "--home", home)
    assert code == 0
    assert said == "No legs yet.\nBegin on the sheet Trip.\n"


def test_a_thing_is_ticked_by_how_its_name_begins(brief, home):
    code, said, _ = brief("trip", "salt", "--packed", "spare str", "--home", home)
    assert code == 0
    assert said.startswith("Packed: Spare strings.\n")
    assert "[x] Spare strings" in said
    assert "[x] Spare strings" in brief("trip", "salt", "--home", home)[1]


@pytest.mark.parametrize(
    ("wanted", "said"),
    [("anvil", "nothing on the packing list begins with “anvil”"), ("S", "begins several things")],
)
def test_what_is_not_on_it_or_not_one_thing_ends_with_2_and_ticks_nothing(
    brief, home, wanted, said
):
    code, out, err = brief("trip", "salt", "--packed", wanted, "--home", home)
    assert (code, out) == (2, "")
    assert said in err
    assert "[x]" not in brief("trip", "salt", "--home", home)[1]


def test_the_stands_papers_are_written(brief, home, tmp_path):
    files = {name: tmp_path / f"{name}.pdf" for name in ("caption", "prices")}
    asked = [word for name, file in files.items() for word in (f"--{name}", file)]
    code, said, _ = brief("trip", "salt", *asked, "--home", home)
    assert code == 0
    for file in files.values():
        assert str(file) in said
        assert len(pypdf.PdfReader(file).pages) == 1
    code, _, err = brief("trip", "salt", "--caption", tmp_path / "no" / "x.pdf", "--home", home)
    assert code == 2
    assert "cannot be written" in err
    code, _, err = brief("trip", "low", "--prices", tmp_path / "x.pdf", "--home", home)
    assert code == 2
    assert "price list is empty" in err


def test_json_has_it_all(brief, home):
    code, said, _ = brief("trip", "salt", "--json", "--home", home)
    assert code == 0
    assert json.loads(said)["leaves_on"] == str(LEAVES)


def test_a_brief_is_packed_up_without_its_trip_if_that_is_said(brief, home, tmp_path):
    for name, words in (("with.zip", ()), ("without.zip", ("--without-trip",))):
        out = tmp_path / name
        assert brief("export", "salt", "--out", out, *words, "--home", home)[0] == 0
        with zipfile.ZipFile(out) as opened:
            records = json.loads(opened.read("brief.json"))["records"]
        assert ("legs" in records) == (not words)
