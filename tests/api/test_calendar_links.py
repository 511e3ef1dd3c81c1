"""A calendar that subscribes to a run-up: by a secret told once, and by nothing else."""

import icalendar
import pytest

HOURS = {"quick_h": 2, "likely_h": 3, "slow_h": 5}


@pytest.fixture
def link(make, brief):
    make("stages", brief_id=brief["id"], name="Close the box", **HOURS)
    return make("calendar-links", brief_id=brief["id"], name="my phone")


def _names(answer):
    read = icalendar.Calendar.from_ical(answer.content)
    return [str(one["SUMMARY"]) for one in read.walk("VEVENT")]


def test_the_days_are_those_of_now_each_time_it_asks(client, brief, link, make):
    answer = client.get(link["address"])
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/calendar")
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["x-robots-tag"] == "noindex"
    assert _names(answer) == ["Close the box"]
    make("stages", brief_id=brief["id"], name="Bind the edges", **HOURS)
    assert _names(client.get(link["address"])) == ["Close the box", "Bind the edges"]


@pytest.mark.sqlite
def test_the_address_is_told_once_and_its_secret_not_kept(client, link, store):
    assert link["link"].endswith(link["address"])
    read = client.get(f"/api/calendar-links/{link['id']}").json()
    assert (read["address"], read["link"]) == (None, None)
    secret = link["address"].split("/")[2]
    assert len(secret) == 43  # 256 bits
    assert secret.encode() not in b"".join(
        file.read_bytes() for file in store.home.rglob("brief.sqlite3*")
    )


def test_in_the_offcuts_bin_it_opens_nothing(client, brief, link):
    client.delete(f"/api/calendar-links/{link['id']}", headers={"If-Match": "*"})
    gone = client.get(link["address"])
    never = client.get("/s/guessed/run-up.ics")
    assert gone.status_code == never.status_code == 404
    assert gone.json()["detail"] == never.json()["detail"]
    client.post(f"/api/calendar-links/{link['id']}/take-back")
    client.delete(f"/api/briefs/{brief['id']}", headers={"If-Match": "*"})
    assert client.get(link["address"]).status_code == 404


def test_a_link_for_others_opens_no_calendar_and_a_calendars_no_page(client, brief, link, make):
    share = make("shares", brief_id=brief["id"], name="Ines")
    assert client.get(f"{share['address']}/run-up.ics").status_code == 404
    assert client.get(link["address"].removesuffix("/run-up.ics")).status_code == 404


def test_whoever_guesses_is_made_to_wait_and_who_knows_is_not(client, link):
    statuses = {client.get(f"/s/guess-{at}/run-up.ics").status_code for at in range(30)}
    assert statuses == {404, 429}
    assert client.get(link["address"]).status_code == 200


def test_without_a_name_it_is_refused(client, brief, refused):
    answer = client.post("/api/calendar-links", json={"brief_id": brief["id"], "name": " "})
    refused(answer, 422, "bad_input", "", pointer="/name")
