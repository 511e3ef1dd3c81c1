"""The Run-up sheet: empty, under way, late; and that nobody else sees it."""

import re
from datetime import date, timedelta

import pytest

HOURS = {"quick_h": 2, "likely_h": 3, "slow_h": 5}


@pytest.fixture
def page(client, brief):
    def shown():
        answer = client.get(f"/briefs/{brief['id']}/run-up")
        assert answer.status_code == 200
        return answer.text

    return shown


def _plain(html):
    return " ".join(re.sub("<[^>]+>", " ", html).split())


def test_an_empty_one_offers_the_usual_stages(client, brief, page):
    text = page()
    assert "Use the usual stages" in text
    assert f'action="/api/briefs/{brief["id"]}/run-up"' in text
    assert "run-up-picture" not in text
    client.post(f"/api/briefs/{brief['id']}/run-up")
    assert "Use the usual stages" not in page()


def test_under_way_it_says_the_result_then_what_is_next(client, brief, page, change):
    ready = date.today() + timedelta(days=500)
    change(brief, "briefs", wanted_by=str(ready))
    client.post(f"/api/briefs/{brief['id']}/run-up")
    text = page()
    said = _plain(text)
    assert said.index("In time") < said.index("more than 99 % to be ready by")
    assert "Next: Rest the wood in the workshop" in said
    assert text.count('<svg class="run-up-picture"') == 2
    assert "without Rosette" not in said  # nobody asks what to leave out

    first = client.get("/api/stages", params={"brief_id": brief["id"]}).json()["items"][0]
    change(first, "stages", done_on=str(date.today()), spent_h=2)
    said = _plain(page())
    assert "acclimatising until" in said
    assert "Next: Rest the wood" not in said


def test_when_it_is_tight_it_says_what_a_week_and_what_less_would_buy(client, brief, page, change):
    client.post(f"/api/briefs/{brief['id']}/run-up")
    change(brief, "briefs", week_h=[6] * 7)
    even = client.get(f"/api/briefs/{brief['id']}/run-up").json()["ready_50"]
    change(brief, "briefs", wanted_by=even)
    said = _plain(page())
    assert "Tight" in said
    assert "with a week more" in said
    assert "without Rosette" in said


def test_what_cannot_be_worked_out_is_said_with_the_forms_that_mend_it(make, brief, page, change):
    make("stages", brief_id=brief["id"], name="Carve", quick_h=1, likely_h=2, slow_h=1900)
    change(brief, "briefs", week_h=[0.1, 0, 0, 0, 0, 0, 0])
    text = page()
    assert "more hours than your week has in ten years" in text
    assert "Your week" in text
    assert "Carve" in text


def test_names_are_escaped_in_the_picture_and_the_list(make, brief, page):
    make("stages", brief_id=brief["id"], name='<b>"Join"</b> {0} & rub', **HOURS)
    make("stages", brief_id=brief["id"], name="{wait}", wait_days=5, **HOURS)
    name = "<i>fair</i>"
    make("absences", brief_id=brief["id"], name=name, last_on=str(date.today()))
    text = page()
    assert "<b>" not in text.split('id="sheet"')[1].replace("<b>no day to spare</b>", "")
    assert "<i>fair" not in text


def test_no_guest_sees_any_of_it(client, brief, make, change):
    client.post(f"/api/briefs/{brief['id']}/run-up")
    secret = "Sharpen the heron"
    make("stages", brief_id=brief["id"], name=secret, **HOURS)
    make("absences", brief_id=brief["id"], name=secret, last_on="2030-01-01")
    every = ["theme", "references", "pairings", "spec", "questions", "drawing", "comments"]
    share = make("shares", brief_id=brief["id"], name="Ines", sheets=every)
    outside = [
        client.get(share["address"]).text,
        client.get(f"/api/briefs/{brief['id']}/for-comment.html", params={"sheets": every}).text,
    ]
    for text in outside:
        assert "Saltmarsh" in text
        assert secret not in text
        assert "Run-up" not in text
        assert "run-up" not in text
    at = f"{share['address']}/seen/briefs/{brief['id']}/run-up"
    assert client.get(at).status_code == 404


@pytest.mark.parametrize("ready", ["0001-01-01", "9999-12-31"])
def test_a_slip_of_the_pen_in_a_date_leaves_the_page_and_the_calendar(
    client, brief, make, page, change, ready
):
    make("stages", brief_id=brief["id"], name="Join", **HOURS)
    make("absences", brief_id=brief["id"], name="x", first_on="0001-01-01", last_on="0001-01-02")
    change(brief, "briefs", wanted_by=ready)
    assert "Join" in page()
    assert client.get(f"/api/briefs/{brief['id']}/run-up.ics").status_code == 200
