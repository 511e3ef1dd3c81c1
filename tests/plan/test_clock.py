"""Times by the clocks of a place, against what RFC 5545 works out, and against dateutil."""

from datetime import UTC, date, datetime, timedelta

import pytest
from dateutil import tz

from brief.errors import InputError
from brief.plan.clock import moment, read_time, read_zone, zone_names

# Where clocks change in spring, in autumn, by half an hour, in the other half of the year, never.
ZONES = (
    "Europe/Berlin",
    "Europe/London",
    "America/New_York",
    "Australia/Lord_Howe",
    "America/Santiago",
    "Asia/Tokyo",
    "Pacific/Kiritimati",
)


@pytest.mark.parametrize(
    ("day", "time", "utc", "said"),
    [
        # RFC 5545, 3.3.5: “November 4, 2007 at 1:30 A.M. EDT (UTC-04:00)”, the first of two.
        (date(2007, 11, 4), "01:30", datetime(2007, 11, 4, 5, 30, tzinfo=UTC), "comes twice"),
        # The same: “March 11, 2007 at 3:30 A.M. EDT (UTC-04:00)”, of a 2:30 that is left out.
        (date(2007, 3, 11), "02:30", datetime(2007, 3, 11, 7, 30, tzinfo=UTC), "03:30 is meant"),
        (date(2007, 3, 11), "01:30", datetime(2007, 3, 11, 6, 30, tzinfo=UTC), ""),
    ],
)
def test_the_examples_of_the_standard(day, time, utc, said):
    found = moment(day, time, "America/New_York")
    assert found.utc == utc
    assert said in found.remark
    assert bool(found.remark) == bool(said)


@pytest.mark.slow
@pytest.mark.parametrize("zone", ZONES)
def test_every_half_hour_of_a_year_is_the_moment_that_dateutil_has(zone):
    """python-dateutil reads the zones by code of its own. What it calls imaginary it moves on by
    the gap, as RFC 5545 has it; of what it calls ambiguous fold 0 is the first."""
    other = tz.gettz(zone)
    remarks = 0
    for at in range(366 * 24 * 2):
        wall = datetime(2027, 1, 1) + timedelta(minutes=30 * at)
        found = moment(wall.date(), f"{wall:%H:%M}", zone)
        aware = wall.replace(tzinfo=other)
        is_odd = not tz.datetime_exists(aware) or tz.datetime_ambiguous(aware)
        assert found.utc == tz.resolve_imaginary(aware).astimezone(tz.UTC)
        assert bool(found.remark) == is_odd, (wall, found.remark)
        remarks += is_odd
    expected = {"Asia/Tokyo": 0, "Pacific/Kiritimati": 0, "Australia/Lord_Howe": 2}
    assert remarks == expected.get(zone, 4)  # two half hours left out, two that come twice


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("Europe/Berlin", "Europe/Berlin"),
        ("europe/BERLIN ", "Europe/Berlin"),
        ("New York", "America/New_York"),
        ("utc", "UTC"),
    ],
)
def test_a_zone_is_read_by_its_name_or_its_town(typed, zone):
    assert read_zone(typed) == zone


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("Europe/Londn", "Near it: Europe/London"),
        ("Berlim", "Near it: Europe/Berlin"),
        ("", "Examples: Europe/Berlin"),
        ("../../etc/passwd", "is no time zone"),
    ],
)
def test_of_no_zone_the_nearest_is_offered(typed, near):
    with pytest.raises(InputError, match="is no time zone of the IANA list") as raised:
        read_zone(typed)
    assert near in str(raised.value)


@pytest.mark.parametrize("typed", ["24:00", "9:5", "noon", "12:60", "-1:00"])
def test_what_is_no_time_of_day_is_refused_with_an_example(typed):
    with pytest.raises(InputError, match="Write it as 09:40"):
        read_time(typed)


def test_the_ends_of_the_calendar_are_refused_in_words():
    assert moment(date(1, 1, 2), "00:00", "Asia/Tokyo").utc.year == 1
    with pytest.raises(InputError, match="within the years"):
        moment(date(1, 1, 1), "00:00", "Asia/Tokyo")
    with pytest.raises(InputError, match="within the years"):
        moment(date(9999, 12, 31), "23:59", "America/New_York")


def test_all_names_that_are_offered_are_read():
    assert len(zone_names()) > 400
    assert all(read_zone(one) == one for one in zone_names())
