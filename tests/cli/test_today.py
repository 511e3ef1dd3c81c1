"""`brief today`: how all briefs stand."""

import json

import pytest

from brief.services import nouns
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        nouns.briefs.add(desk, BriefDraft(title="High moor"))
    store.close()
    return tmp_path / "home"


def test_all_briefs_or_one(brief, home):
    code, said, err = brief("today", "--home", home)
    assert (code, err) == (0, "")
    first, stands, parts, between, second, *_ = said.splitlines()
    assert (first, between, second) == ("Saltmarsh", "", "High moor")
    assert stands == "  Open: no stages yet."
    assert parts.startswith("  Parts: 14 without wood: Top, Back, Sides and ")
    _, said, _ = brief("today", "high", "--home", home)
    assert said.splitlines()[0] == "High moor"
    _, said, _ = brief("today", "--json", "--home", home)
    assert [one["title"] for one in json.loads(said)["items"]] == ["Saltmarsh", "High moor"]


def test_an_empty_shelf_and_a_wrong_title(brief, tmp_path, home):
    assert "Nothing on the shelf yet" in brief("today", "--home", tmp_path / "new")[1]
    code, out, err = brief("today", "tide", "--home", home)
    assert (code, out) == (2, "")
    assert "no brief is called “tide”" in err
