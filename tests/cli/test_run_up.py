"""`brief run-up`: will it be ready, what is next, and the days for a calendar."""

import json
from datetime import date, timedelta

import icalendar
import pytest

from brief.services import nouns
from brief.services.run_up.stages import StageDraft
from brief.services.run_up.starting_list import fill
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store

READY = date.today() + timedelta(days=400)


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        made = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh", wanted_by=READY))
        first, *_ = fill(desk, made)
        change = nouns.stages.change_model(done_on=date.today())
        nouns.stages.change(desk, first.id, "*", change)
        nouns.briefs.add(desk, BriefDraft(title="Low water"))
        much = nouns.briefs.add(desk, BriefDraft(title="Too much", week_h=[0.1] + [0] * 6))
        hours = {"quick_h": 1, "likely_h": 2, "slow_h": 1900}
        nouns.stages.add(desk, StageDraft(brief_id=much.id, name="Carve", **hours))
    store.close()
    return tmp_path / "home"


def test_the_result_comes_first_and_the_stages_in_the_order_of_work(brief, home):
    code, said, err = brief("run-up", "salt", "--home", home)
    assert (code, err) == (0, "")
    lines = said.splitlines()
    assert lines[0].startswith("In time: more than 99\u00a0% to be ready by ")
    assert "80 % sure" in lines[1]
    assert "Rest the wood in the workshop: done" in said
    assert "at the latest" in said
    assert lines[-1].lstrip().startswith("20 Photograph and pack: ")


def test_its_days_are_written_for_a_calendar(brief, home, tmp_path):
    code, said, _ = brief("run-up", "salt", "--home", home, "--out", tmp_path / "days.ics")
    assert code == 0
    assert said.splitlines()[-1] == str(tmp_path / "days.ics")
    data = (tmp_path / "days.ics").read_bytes()
    assert b"\r\r\n" not in data
    assert len(icalendar.Calendar.from_ical(data).walk("VEVENT")) >= 20


def test_exact_values_are_printed_as_json(brief, home):
    code, said, _ = brief("run-up", "salt", "--home", home, "--json")
    assert code == 0
    assert json.loads(said)["due"] == str(READY)


def test_without_stages_it_says_where_to_start(brief, home):
    code, said, _ = brief("run-up", "low", "--home", home)
    assert code == 0
    assert "the usual stages for this instrument" in said


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["tide"], "no brief is called “tide”"),
        (["too"], "more hours than your week has in ten years"),
        (["salt", "--out", "/nowhere/days.ics"], "cannot be written"),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(brief, home, asked, said):
    code, out, err = brief("run-up", *asked, "--home", home)
    assert (code, out) == (2, "")
    assert said in err
