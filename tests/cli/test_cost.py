"""`brief cost`: what an instrument costs, and what is left of its price."""

import json

import pytest

from brief.services import nouns
from brief.services.cost.bought_parts import BoughtPartDraft
from brief.services.run_up.stages import StageDraft
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        told = {"hour_rate": "30", "overhead": "20 %", "asking_price": "1.234,50"}
        made = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh", **told))
        nouns.bought_parts.add(desk, BoughtPartDraft(brief_id=made.id, name="Tuners", price="96"))
        hours = {"quick_h": 4, "likely_h": 5, "slow_h": 6}
        nouns.stages.add(desk, StageDraft(brief_id=made.id, name="Box", **hours))
        nouns.briefs.add(desk, BriefDraft(title="Low water"))
    store.close()
    return tmp_path / "home"


def test_what_is_left_comes_first_then_where_the_price_goes(brief, home):
    code, said, err = brief("cost", "salt", "--home", home)
    assert (code, err) == (0, "")
    lines = said.replace("\u00a0", " ").splitlines()
    assert lines[0].startswith("958.50 EUR left of 1,234.50 EUR asked. If it goes quickly ")
    assert lines[1:8] == [
        "wood             0.00 EUR",
        "bought          96.00 EUR",
        "commission       0.00 EUR",
        "overhead        30.00 EUR",
        "hours          150.00 EUR",
        "left           958.50 EUR",
        "asking price 1,234.50 EUR",
    ]
    # (1,234.50 − 96) / (5 × 1.2)
    assert lines[8] == "At this price an hour is worth 189.75 EUR. There are 5.0 h."
    assert lines[-1].endswith("Only you see this.")


def test_exact_values_are_printed_as_json(brief, home):
    code, said, _ = brief("cost", "salt", "--home", home, "--json")
    assert code == 0
    assert json.loads(said)["left"] == 958.5


def test_with_nothing_known_it_says_what_is_missing(brief, home):
    code, said, _ = brief("cost", "low", "--home", home)
    assert code == 0
    assert "Missing: The hours: no stages yet, and no rate an hour." in said
    assert "asking price" not in said.splitlines()[1]


def test_a_brief_that_is_not_there_is_said(brief, home):
    code, _, err = brief("cost", "moor", "--home", home)
    assert code == 2
    assert "no brief is called “moor”" in err
