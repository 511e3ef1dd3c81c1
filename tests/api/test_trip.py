"""The trip of a brief through HTTP: its times, what cannot be, what is only warned of."""

import re
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject

OPENS = date.today() + timedelta(days=200)


@pytest.fixture
def stops(make, brief):
    """home in Berlin, a ferry and the hall in London."""
    of = {"brief_id": brief["id"]}
    return {
        name: make("stops", **of, name=name, role=role, zone=zone)
        for name, role, zone in (
            ("home", "home", "Europe/Berlin"),
            ("ferry", "border", "Europe/London"),
            ("hall", "hall", "Europe/London"),
        )
    }


@pytest.fixture
def leg(make, brief, stops):
    def made(start, end, leaves_on=OPENS, **fields):
        ends = {"from_id": stops[start]["id"], "to_id": stops[end]["id"]}
        return make("legs", brief_id=brief["id"], **ends, leaves_on=str(leaves_on), **fields)

    return made


@pytest.fixture
def trip(client, brief):
    def asked():
        answer = client.get(f"/api/briefs/{brief['id']}/trip")
        assert answer.status_code == 200, answer.text
        return answer.json()

    return asked


def test_times_are_those_of_each_place_and_as_long_as_they_take(leg):
    made = leg("home", "hall", date(2027, 5, 25), leaves_at="21:30", arrives_at="22:00")
    assert made["words"] == "25 May 2027, 21:30 to 22:00"
    assert made["minutes"] == 90  # an hour is won on the way west
    over = leg("hall", "home", date(2027, 5, 31), arrives_on="2027-06-01", arrives_at="9.30")
    assert over["words"] == "31 May to 1 June 2027 09:30"
    assert over["minutes"] is None


@pytest.mark.parametrize(
    ("fields", "pointer", "said"),
    [
        ({"leaves_at": "09:00", "arrives_at": "07:30"}, "/arrives_at", "not after it begins"),
        ({"arrives_on": "2027-05-24"}, "/arrives_on", "before it begins"),
        ({"leaves_at": "25:00"}, "/leaves_at", "no time of day"),
        ({"leaves_on": "soon"}, "/leaves_on", ""),
        ({"leaves_on": "9999-12-31", "leaves_at": "23:59"}, "", "years"),
    ],
)
def test_an_arrival_before_leaving_is_refused_at_its_field(
    client, brief, stops, refused, on_disk, fields, pointer, said
):
    before = on_disk()
    ends = {"from_id": stops["hall"]["id"], "to_id": stops["home"]["id"]}
    if "years" in said:  # only to the west of Greenwich is there none
        other = client.patch(
            f"/api/stops/{stops['hall']['id']}",
            json={"zone": "America/New_York"},
            headers={"If-Match": "*"},
        )
        assert other.status_code == 200
        before = on_disk()
    sent = {"brief_id": brief["id"], **ends, "leaves_on": "2027-05-25", **fields}
    refused(client.post("/api/legs", json=sent), 422, "bad_input", said, pointer=pointer or None)
    assert on_disk() == before


def test_over_the_date_line_one_may_arrive_the_day_before(make, brief):
    of = {"brief_id": brief["id"]}
    tokyo = make("stops", **of, name="Tokyo", zone="Asia/Tokyo")
    hawaii = make("stops", **of, name="Honolulu", zone="Pacific/Honolulu")
    times = {"leaves_on": "2027-05-25", "leaves_at": "00:30", "arrives_on": "2027-05-24"}
    ends = {"from_id": tokyo["id"], "to_id": hawaii["id"]}
    made = make("legs", **of, **ends, **times, arrives_at="13:00")
    assert made["minutes"] == 7 * 60 + 30


def test_what_comes_after_the_date_line_comes_after_it_in_the_trip(client, make, brief, trip):
    of = {"brief_id": brief["id"]}
    auckland, hawaii = (
        make("stops", **of, name=zone, zone=zone)["id"]
        for zone in ("Pacific/Auckland", "Pacific/Honolulu")
    )
    there = {"leaves_on": "2027-05-25", "leaves_at": "20:00"}
    there |= {"arrives_on": "2027-05-25", "arrives_at": "06:30", "booked": True}
    on = {"leaves_on": "2027-05-25", "leaves_at": "09:00", "booked": True}
    on |= {"arrives_on": "2027-05-26", "arrives_at": "20:00"}
    # By the clocks alone the second leaves earlier.
    first = make("legs", **of, from_id=auckland, to_id=hawaii, **there)
    second = make("legs", **of, from_id=hawaii, to_id=auckland, **on)
    seen = trip()
    assert [leg for day in seen["days"] for leg in day["leg_ids"]] == [first["id"], second["id"]]
    assert not [one for one in seen["warnings"] if "the leg before" in one or "before the" in one]


def test_a_leg_to_where_it_leaves_and_a_stop_of_another_brief_are_refused(
    client, brief, make, stops, refused
):
    home = stops["home"]["id"]
    sent = {"brief_id": brief["id"], "from_id": home, "to_id": home, "leaves_on": "2027-05-25"}
    refused(client.post("/api/legs", json=sent), 422, "bad_input", "another stop", pointer="/to_id")
    other = make("briefs", title="Low water")
    sent |= {"brief_id": other["id"], "to_id": stops["hall"]["id"]}
    refused(client.post("/api/legs", json=sent), 422, "bad_input", "in another brief")


def test_an_unknown_zone_is_refused_with_the_nearest(client, brief, refused):
    sent = {"brief_id": brief["id"], "name": "hall", "zone": "Europe/Londn"}
    answer = client.post("/api/stops", json=sent)
    refused(answer, 422, "bad_input", "Europe/London", pointer="/zone")


def test_which_time_was_taken_where_clocks_change_is_said(leg, trip):
    """RFC 5545, 3.3.5. The European Union's clocks change on 28 March and 31 October 2027, the
    last Sundays (Directive 2000/84/EC, from memory)."""
    gone = leg("home", "hall", date(2027, 3, 28), leaves_at="02:30")
    twice = leg("home", "hall", date(2027, 10, 31), leaves_at="02:30")
    assert "03:30 is meant" in gone["remarks"][0]
    assert "the first is taken" in twice["remarks"][0]
    assert {*gone["remarks"], *twice["remarks"]} <= set(trip()["warnings"])


def test_what_is_early_late_or_open_is_warned_of_and_not_refused(
    brief, change, leg, make, stops, trip
):
    change(brief, "briefs", opens_on=str(OPENS), travel_days=4, papers_days=10)
    early = OPENS - timedelta(days=20)
    leg("home", "ferry", early, by="night ferry")
    leg("hall", "home", OPENS + timedelta(days=2))
    make("stays", brief_id=brief["id"], stop_id=stops["hall"]["id"], purpose="open",
         from_on=str(OPENS))  # fmt: skip
    found = trip()
    said = " ".join(found["warnings"])
    assert found["ready_on"] == str(OPENS - timedelta(days=14))
    assert found["leave_by"] == str(OPENS - timedelta(days=4))
    assert "“night ferry to ferry” leaves on" in said
    assert "before the instrument is to be ready" in said
    assert "the leg before ends at ferry" in said
    assert "No leg comes to hall" in said
    assert "No bed yet for the nights of" in said
    assert "Not booked" in said
    assert found["sentence"].startswith("In 180 days: night ferry to ferry, ")
    late = leg("ferry", "hall", OPENS + timedelta(days=1))
    assert "arrives after “Stand open: hall” begins" in " ".join(trip()["warnings"])
    change(late, "legs", leaves_on=str(early + timedelta(days=1)))
    assert "arrives after" not in " ".join(trip()["warnings"])


def test_a_whole_trip_has_nothing_to_warn_of(brief, change, leg, make, stops, trip):
    change(brief, "briefs", opens_on=str(OPENS), travel_days=2)
    booked = {"booked": True}
    there, back = OPENS - timedelta(days=2), OPENS + timedelta(days=1)
    leg("home", "hall", there, leaves_at="08:00", arrives_at="17:00", **booked)
    leg("hall", "home", back, **booked)
    of = {"brief_id": brief["id"], "stop_id": stops["hall"]["id"], **booked}
    make("stays", **of, from_on=str(there), until_on=str(back))
    make("stays", **of, purpose="open", from_on=str(OPENS), from_at="10:00", until_at="18:00")
    assert trip()["warnings"] == []


def test_beginning_makes_home_hall_and_two_open_legs_once(client, brief, change, trip, refused):
    change(brief, "briefs", opens_on=str(OPENS), travel_days=3)
    at = f"/api/briefs/{brief['id']}/trip"
    days = {
        "leaves_on": str(OPENS - timedelta(days=3)),
        "back_on": str(OPENS + timedelta(days=2)),
    }
    sent = {"home": "Workshop", "home_zone": "Berlin", "hall": "Loft", "hall_zone": "London"}
    answer = client.post(at, json=sent | days | {"back_on": str(OPENS - timedelta(days=9))})
    refused(answer, 422, "bad_input", "before you leave", pointer="/back_on")
    assert client.post(at, json=sent | days).status_code == 201
    found = trip()
    assert (found["leaves_on"], found["back_on"]) == (days["leaves_on"], days["back_on"])
    (said,) = [one for one in found["warnings"] if one.startswith("Not booked")]
    assert "leg to Loft" in said
    refused(client.post(at, json=sent | days), 422, "bad_input", "a trip already")


def test_the_packing_list_is_filled_once_and_what_was_removed_stays_away(
    client, brief, make, change, refused
):
    at = f"/api/briefs/{brief['id']}/packing-list"
    added = client.post(at).json()
    names = [one["name"] for one in added]
    assert "Spare strings" in names
    assert next(one for one in added if one["name"] == "Spare strings")["why"].startswith(
        "2 sets of 6"
    )
    refused(client.post(at), 409, "nothing_changed", "on the list, or in the offcuts bin")
    client.delete(f"/api/things-to-pack/{added[0]['id']}", headers={"If-Match": "*"})
    refused(client.post(at), 409, "nothing_changed")
    # What the spec now asks for is added, and nothing else.
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    rosewood = make("materials", label="Rosewood", species="Dalbergia latifolia")
    change(parts[0], "parts", material_id=rosewood["id"])
    more = client.post(at).json()
    assert more
    assert {(one["heap"], one["why"]) for one in more} == {("papers", "From Papers")}
    assert any("CITES" in one["name"] for one in more)


def test_the_case_is_packed_for_the_humidity_that_movement_works_out(client, brief, make, change):
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    cedar = make("materials", label="Cedar", species="Thuja plicata")
    change(next(one for one in parts if one["role"] == "top"), "parts", material_id=cedar["id"])
    of = {"brief_id": brief["id"]}
    make("climates", **of, name="the workshop", stage="workshop", humidity="45 %")
    make("climates", **of, name="the hall", humidity="60 %")
    case = client.get(f"/api/briefs/{brief['id']}/movement").json()["case_humidity"]
    names = [one["name"] for one in client.post(f"/api/briefs/{brief['id']}/packing-list").json()]
    assert f"Humidity packs for {case[0]} to {case[1]} %" in names


def test_the_calendar_of_the_run_up_has_the_trip_in_utc(client, brief, change, leg, make, stops):
    change(brief, "briefs", opens_on=str(OPENS), travel_days=4)
    on = OPENS - timedelta(days=4)
    leg("home", "hall", on, leaves_at="08:15", arrives_at="17:00", by="train", booking="KX7Q2P")
    leg("hall", "home", OPENS + timedelta(days=2))
    make("things-to-pack", brief_id=brief["id"], name="Hygrometer")
    text = client.get(f"/api/briefs/{brief['id']}/run-up.ics").text
    events = {str(one["SUMMARY"]): one for one in icalendar.Calendar.from_ical(text).walk("VEVENT")}
    other = {one.summary.value: one for one in vobject.readOne(text).contents["vevent"]}
    there = events["train to hall"]
    assert there["DTSTART"].dt == other["train to hall"].dtstart.value
    wall = datetime(on.year, on.month, on.day, 8, 15, tzinfo=ZoneInfo("Europe/Berlin"))
    assert there["DTSTART"].dt == wall
    assert there["DTEND"].dt == wall.replace(hour=17, minute=0, tzinfo=ZoneInfo("Europe/London"))
    assert str(there["LOCATION"]) == "home"
    assert "KX7Q2P" not in text  # a calendar is shown to others more readily than a trip
    assert type(events["leg to home"]["DTSTART"].dt) is date  # its time is not known
    assert events["Pack 1 thing"]["DTSTART"].dt == on - timedelta(days=1)
    assert events["Last day to leave: Saltmarsh"]["DTSTART"].dt == on


def test_the_calendar_says_when_to_begin_with_the_papers(client, brief, change, leg, make):
    """Ninety days, which `wood/border.toml` allows for the longest of them."""
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    rosewood = make("materials", label="Rosewood", species="Dalbergia latifolia")
    change(parts[0], "parts", material_id=rosewood["id"])
    leg("home", "hall")
    at = f"/api/briefs/{brief['id']}"

    def on():
        read = icalendar.Calendar.from_ical(client.get(f"{at}/run-up.ics").text).walk("VEVENT")
        return [one["DTSTART"].dt for one in read if "papers" in str(one["SUMMARY"])]

    assert on() == []
    things = client.post(f"{at}/packing-list").json()
    days = client.get(f"{at}/passport").json()["days"]
    assert on() == [OPENS - timedelta(days=days)]
    for one in things:
        if one["name"].startswith("Asked about"):
            change(one, "things-to-pack", packed=True)
    assert on() == []


def test_removing_a_stop_takes_its_legs_and_stays_along_and_brings_them_back(
    client, leg, stops, trip
):
    leg("home", "hall")
    at = f"/api/stops/{stops['hall']['id']}"
    removed = client.delete(at, headers={"If-Match": "*"}).json()
    assert removed["along"] == ["1 leg"]
    assert trip()["days"] == []
    client.post(removed["take_back"])
    assert len(trip()["days"]) == 1


def test_going_back_to_a_revision_brings_the_trip_of_then_back(
    client, brief, change, leg, make, stops, trip
):
    made = leg("home", "hall", date(2027, 5, 25), by="train")
    leg("hall", "ferry", date(2027, 5, 28))
    make("things-to-pack", brief_id=brief["id"], name="Hygrometer")
    frozen = make("revisions", brief_id=brief["id"], note="as booked")
    change(made, "legs", by="car", leaves_on="2027-05-26")
    client.delete(f"/api/stops/{stops['ferry']['id']}", headers={"If-Match": "*"})
    page = client.get(f"/briefs/{brief['id']}/revisions", params={"since": frozen["id"]}).text
    assert "Legs" in page
    back = client.post(f"/api/revisions/{frozen['id']}/give-back", json={})
    assert back.status_code == 200, back.text
    assert back.json()["left"] == []
    assert [one["on"] for one in trip()["days"]] == ["2027-05-25", "2027-05-28"]
    assert client.get(f"/api/legs/{made['id']}").json()["by"] == "train"


def test_a_change_of_a_leg_is_told_by_the_names_of_its_stops(
    client, brief, change, leg, make, stops
):
    made = leg("home", "ferry")
    frozen = make("revisions", brief_id=brief["id"], note="as booked")
    change(made, "legs", to_id=stops["hall"]["id"])
    page = client.get(f"/briefs/{brief['id']}/revisions", params={"since": frozen["id"]}).text
    told = " ".join(re.sub("<[^>]+>", " ", page).split())
    assert re.search(r"comes to.{0,40}ferry.{0,40}hall", told, re.IGNORECASE), told[-1500:]
