"""The run-up over HTTP: its list, what is to be expected, what is refused, where it goes along."""

from datetime import date, timedelta

import icalendar
import pytest

HOURS = {"quick_h": 2, "likely_h": 3, "slow_h": 5}


@pytest.fixture
def at(brief):
    return f"/api/briefs/{brief['id']}/run-up"


def test_a_list_is_filled_once_and_says_what_to_expect(client, brief, at, change, refused, on_disk):
    change(brief, "briefs", wanted_by=str(date.today() + timedelta(days=400)))
    made = client.post(at)
    assert made.status_code == 201
    assert made.json()["chance"] > 0.9
    names = [turn["name"] for turn in made.json()["turns"]]
    assert names[0] == "Rest the wood in the workshop"
    assert names[-1] == "Photograph and pack"
    assert client.get(at).json() == made.json()
    before = on_disk()
    refused(client.post(at), 422, "bad_input", "stages already")
    assert on_disk() == before


def test_a_week_more_and_less_to_make_are_put_in_figures(client, brief, at, change):
    client.post(at)
    late = client.get(at).json()["ready_50"]
    change(brief, "briefs", wanted_by=late)
    view = client.get(at).json()
    assert view["chance_a_week_later"] > view["chance"]
    assert {one["name"] for one in view["left_out"]} == {"Rosette", "Purfling"}
    assert all(one["chance"] >= view["chance"] for one in view["left_out"])
    assert view["left_out"][0]["days"] >= view["left_out"][1]["days"]


@pytest.mark.parametrize(
    ("fields", "pointer", "says"),
    [
        ({"quick_h": -1}, "/quick_h", "0 to 2000 h"),
        ({"quick_h": 4}, "/likely_h", "from quick over likely to slow"),
        ({"slow_h": "many"}, "/slow_h", "Write 6"),
        ({"wait_days": -2}, "/wait_days", "0 to 730 days"),
        ({"done_on": "2999-01-01"}, "/done_on", "still to come"),
        ({"follows": ["01JD8Q5Z7M3K2V9X4T6R8W0Y1A"]}, "/follows", "There is no stage"),
        ({"name": " "}, "/name", ""),
    ],
)
def test_a_stage_that_nobody_could_work_is_refused(
    client, brief, refused, on_disk, fields, pointer, says
):
    before = on_disk()
    sent = {"brief_id": brief["id"], "name": "Close", **HOURS} | fields
    refused(client.post("/api/stages", json=sent), 422, "bad_input", says, pointer=pointer)
    assert on_disk() == before


def test_hours_are_read_as_they_are_typed(make, brief):
    typed = {"quick_h": "1,5", "likely_h": "2 h", "slow_h": "3 1/2 hours", "wait_days": "2 days"}
    stage = make("stages", brief_id=brief["id"], name="Close", **typed)
    assert [stage[name] for name in typed] == [1.5, 2, 3.5, 2]


def test_a_circle_is_named_beside_its_field(make, brief, change, refused):
    join = make("stages", brief_id=brief["id"], name="Join", **HOURS)
    brace = make("stages", brief_id=brief["id"], name="Brace", follows=[join["id"]], **HOURS)
    answer = change(join, "stages", follows=[brace["id"]])
    refused(answer, 422, "bad_input", "“Join” and “Brace” wait for one another", pointer="/follows")


@pytest.mark.parametrize(
    ("fields", "pointer", "says"),
    [
        ({"week_h": [0] * 7}, "/week_h", "A week without hours never ends"),
        ({"week_h": [6] * 6}, "/week_h", "At least 7; got 6."),
        ({"week_h": [25, *[0] * 6]}, "/week_h", "0 to 24"),
        ({"opens_on": "2020-05-15"}, "/opens_on", "Choose a later opening"),
        ({"opens_on": "0001-01-01", "travel_days": 9}, "/opens_on", "Choose a later opening"),
        ({"travel_days": -1}, "/travel_days", ""),
    ],
)
def test_a_week_or_a_date_that_cannot_be_is_refused(
    brief, change, refused, on_disk, fields, pointer, says
):
    before = on_disk()
    refused(change(brief, "briefs", **fields), 422, "bad_input", says, pointer=pointer)
    assert on_disk() == before


def test_days_away_that_end_before_they_begin_are_refused(client, brief, refused):
    sent = {"name": "Easter", "first_on": "2027-03-29", "last_on": "2027-03-26"}
    answer = client.post("/api/absences", json=sent | {"brief_id": brief["id"]})
    refused(answer, 422, "bad_input", "before the first day", pointer="/last_on")


def test_more_work_than_ten_years_have_is_said_and_not_simulated(
    make, brief, client, change, at, refused
):
    change(brief, "briefs", week_h=[0.1, 0, 0, 0, 0, 0, 0])
    make("stages", brief_id=brief["id"], name="Carve", quick_h=1, likely_h=2, slow_h=900)
    refused(client.get(at), 422, "bad_input", "more hours than your week has in ten years")


def test_the_days_come_as_a_calendar(client, brief, at):
    client.post(at)
    answer = client.get(f"{at}.ics")
    assert answer.headers["content-type"].startswith("text/calendar")
    assert "Saltmarsh-run-up.ics" in answer.headers["content-disposition"]
    assert len(icalendar.Calendar.from_ical(answer.content).walk("VEVENT")) > 20


def test_a_stage_and_the_week_are_given_back_as_they_were_frozen(client, brief, make, change):
    change(brief, "briefs", week_h=[4] * 7)
    join = make("stages", brief_id=brief["id"], name="Join", **HOURS)
    brace = make("stages", brief_id=brief["id"], name="Brace", follows=[join["id"]], **HOURS)
    frozen = make("revisions", brief_id=brief["id"])
    change(brief, "briefs", week_h=[6] * 7)
    change(brace, "stages", likely_h=4, follows=[])
    told = client.get(f"/api/revisions/{frozen['id']}/changes").json()
    fields = {
        (one["name"], one["before"]["text"], one["after"]["text"])
        for group in told["groups"]
        for each in group["changes"]
        for one in each["fields"]
    }
    assert ("after", "Join", "") in fields
    assert ("likely (h)", "3", "4") in fields
    assert ("hours from Monday to Sunday", ", ".join("4" * 7), ", ".join("6" * 7)) in fields
    back = client.post(f"/api/revisions/{frozen['id']}/give-back", json={})
    assert back.is_success, back.text
    assert client.get(f"/api/stages/{brace['id']}").json()["follows"] == [join["id"]]
    assert client.get(f"/api/briefs/{brief['id']}").json()["week_h"] == [4] * 7


def test_a_brief_begun_from_another_keeps_the_week_and_not_the_opening(client, brief, change):
    opens = str(date.today() + timedelta(days=200))
    change(brief, "briefs", opens_on=opens, travel_days=4, week_h=[4] * 7)
    asked = {"brief_id": brief["id"], "title": "Low water"}
    begun = client.post("/api/briefs/beginnings", json=asked).json()
    assert (begun["opens_on"], begun["wanted_by"], begun["travel_days"]) == (None, None, 0)
    assert begun["week_h"] == [4] * 7


def test_an_opening_is_given_back_with_the_day_that_follows_from_it(client, brief, make, change):
    soon = date.today() + timedelta(days=3)
    change(brief, "briefs", opens_on=str(soon))
    frozen = make("revisions", brief_id=brief["id"])
    change(brief, "briefs", opens_on=None, wanted_by=None)
    back = client.post(f"/api/revisions/{frozen['id']}/give-back", json={})
    assert back.is_success, back.text
    read = client.get(f"/api/briefs/{brief['id']}").json()
    assert (read["opens_on"], read["wanted_by"]) == (str(soon), str(soon))
