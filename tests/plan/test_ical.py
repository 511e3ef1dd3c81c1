"""What is written is read back by two libraries that know nothing of each other."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject

from brief.plan.clock import moment
from brief.plan.ical import Appointment, Event, calendar_text

NOW = datetime(2027, 3, 1, 9, 30, tzinfo=UTC)
ODD = "Glue; clamp, then \\ rest\nuntil “dry” – Größe 3 日本語 " + "x" * 80


def _read(text):
    """(uid, first day, day after the last, summary, description) by each of the readers."""
    by_one = [
        (
            str(one["UID"]),
            one["DTSTART"].dt,
            one["DTEND"].dt,
            str(one["SUMMARY"]),
            str(one.get("DESCRIPTION", "")),
        )
        for one in icalendar.Calendar.from_ical(text).walk("VEVENT")
    ]
    by_other = [
        (
            one.uid.value,
            one.dtstart.value,
            one.dtend.value,
            one.summary.value,
            one.description.value if hasattr(one, "description") else "",
        )
        for one in vobject.readOne(text).contents.get("vevent", [])
    ]
    return by_one, by_other


def test_two_readers_read_what_was_written():
    events = [
        Event("a", date(2027, 3, 1), date(2027, 3, 3), "Join top and back"),
        Event("b", date(2027, 3, 4), date(2027, 3, 4), ODD, "One day.\nLatest start: 9 March"),
    ]
    wanted = [
        ("a", date(2027, 3, 1), date(2027, 3, 4), "Join top and back", ""),
        ("b", date(2027, 3, 4), date(2027, 3, 5), ODD, "One day.\nLatest start: 9 March"),
    ]
    for found in _read(calendar_text("Saltmarsh", events, NOW)):
        assert found == wanted


def test_every_day_of_a_year_stays_that_day_wherever_it_is_read():
    # Over both changes of clocks in Europe and North America, and beyond the date line.
    days = [date(2027, 1, 1) + timedelta(days=at) for at in range(365)]
    events = [Event(str(day), day, day, "x") for day in days]
    for zone in ("Europe/Berlin", "America/New_York", "Pacific/Kiritimati"):
        here = calendar_text("year", events, NOW.astimezone(ZoneInfo(zone)))
        assert here == calendar_text("year", events, NOW)
        for found in _read(here):
            assert [first for _, first, _, _, _ in found] == days
            assert all(type(first) is date for _, first, _, _, _ in found)  # no time, no zone


def test_lines_are_no_longer_than_75_bytes_and_end_as_the_standard_asks():
    text = calendar_text(ODD, [Event("a", date(2027, 3, 1), date(2027, 3, 1), ODD)], NOW)
    assert text.endswith("END:VCALENDAR\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))


def test_a_later_copy_has_the_same_uids_and_a_higher_sequence():
    event = Event("a", date(2027, 3, 1), date(2027, 3, 1), "x")
    first, later = (
        icalendar.Calendar.from_ical(calendar_text("x", [event], now)).walk("VEVENT")[0]
        for now in (NOW, NOW + timedelta(minutes=1))
    )
    assert first["UID"] == later["UID"]
    assert later["SEQUENCE"] > first["SEQUENCE"] > 0
    assert later["DTSTAMP"].dt > first["DTSTAMP"].dt


def test_a_calendar_that_subscribes_is_told_how_often_to_ask():
    calendar = icalendar.Calendar.from_ical(calendar_text("x", [], NOW))
    assert calendar["REFRESH-INTERVAL"].dt == timedelta(hours=6)
    assert calendar["REFRESH-INTERVAL"].params["VALUE"] == "DURATION"


@pytest.mark.parametrize("text", ["a\x00b", "a\x07b", "a\x7fb"])
def test_what_no_text_may_hold_is_left_out(text):
    event = Event("a", date(2027, 3, 1), date(2027, 3, 1), text)
    for found in _read(calendar_text("x", [event], NOW)):
        assert found[0][3] == "ab"


def test_the_first_and_the_last_day_of_all_are_days_like_any_other():
    events = [Event("a", day, day, "x") for day in (date.min, date.max)]
    read = icalendar.Calendar.from_ical(calendar_text("x", events, NOW)).walk("VEVENT")
    assert [one["DTSTART"].dt for one in read] == [date.min, date.max]


def test_times_abroad_over_a_year_with_its_changes_of_clocks_are_read_as_they_were_meant():
    """Nine in the morning by the clocks of each place, on each day of 2027: what two readers make
    of it, put back into that place's own time, is nine in the morning again."""
    for name in ("Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Tokyo"):
        zone = ZoneInfo(name)
        days = [date(2027, 1, 1) + timedelta(days=at) for at in range(365)]
        events = [
            Appointment(
                str(day),
                moment(day, "09:00", name).utc,
                moment(day, "17:30", name).utc,
                ODD,
                place="Hall; stand 12",
                remind=timedelta(hours=3),
            )
            for day in days
        ]
        text = calendar_text("year", events, NOW)
        assert "TZID" not in text  # and so no reader has to know a zone
        assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
        read = icalendar.Calendar.from_ical(text).walk("VEVENT")
        other = vobject.readOne(text).contents["vevent"]
        for day, one, two in zip(days, read, other, strict=True):
            for start, end in ((one["DTSTART"].dt, one["DTEND"].dt), _ends(two)):
                assert start.astimezone(zone).replace(tzinfo=None) == datetime(
                    day.year, day.month, day.day, 9
                )
                assert end.astimezone(zone).hour == 17
            assert str(one["LOCATION"]) == two.location.value == "Hall; stand 12"
            (alarm,) = one.walk("VALARM")
            assert alarm["TRIGGER"].dt == two.valarm.trigger.value == -timedelta(hours=3)


def _ends(event):
    return event.dtstart.value, event.dtend.value


def test_an_end_that_is_not_known_is_left_out():
    begins = moment(date(2027, 5, 12), "21:30", "Europe/Berlin").utc
    text = calendar_text("x", [Appointment("a", begins, None, "ferry")], NOW)
    (one,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert "DTEND" not in one
    assert one["DTSTART"].dt == begins
