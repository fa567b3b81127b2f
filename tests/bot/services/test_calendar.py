"""Calendar files, read back by two libraries that know nothing of ours."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import icalendar
import pytest
import recurring_ical_events

from bot.clock import occurrences, zone_of
from bot.records.book import Book
from bot.records.facts import Member
from bot.records.questions import RemindFile
from bot.records.reminders import Pattern, Reminding, Rule
from bot.services import answer
from bot.services.reminding.calendar_file import calendar

NOW = datetime(2026, 10, 21, 14, 0, tzinfo=UTC)
BOOK = Book(now=NOW, member=Member(units="us", time_zone="America/New_York"))
PATTERNS = [
    Pattern(start_local="2026-10-25T19:30", rrule="FREQ=WEEKLY;INTERVAL=2;BYDAY=SU",
            zone="America/New_York"),
    Pattern(start_local="2027-03-13T08:00", rrule="FREQ=DAILY;COUNT=4", zone="America/New_York"),
    Pattern(start_local="2026-10-31T09:00", rrule="FREQ=MONTHLY;BYMONTHDAY=31",
            zone="Europe/Lisbon"),
    Pattern(start_local="2026-10-31T09:00", rrule="FREQ=MONTHLY;BYMONTHDAY=31",
            zone="Pacific/Auckland", overflow="clamp"),
    Pattern(start_local="2026-11-08T08:00", rrule="FREQ=MONTHLY;BYDAY=2SU",
            zone="Australia/Lord_Howe"),
    Pattern(start_local="2026-10-31T20:00", rrule="FREQ=MONTHLY;BYMONTHDAY=-1", zone="UTC"),
    Pattern(start_local="2028-02-29T07:30", rrule="FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29",
            zone="America/Chicago", overflow="clamp"),
    Pattern(start_local="2026-10-31T18:00", rrule="FREQ=HOURLY;INTERVAL=5;COUNT=6", zone="UTC",
            kind="elapsed"),
    Pattern(start_local="2026-10-22T07:00", rrule="FREQ=DAILY;UNTIL=20261103T235959",
            zone="America/New_York"),
    Pattern(start_local="2026-12-01T07:00", zone="America/New_York"),
]  # fmt: skip


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: f"{p.rrule or 'once'}-{p.overflow}")
def test_a_calendar_shows_the_moments_at_which_it_comes(pattern: Pattern) -> None:
    rule = Rule(id=7, text="rinse, the filter; well", pattern=pattern, next_due=NOW)
    data = calendar([rule], BOOK)
    read = icalendar.Calendar.from_ical(data)
    end = NOW + timedelta(days=6 * 366)
    events = recurring_ical_events.of(read).between(NOW, end)
    found = sorted(event["DTSTART"].dt.astimezone(UTC) for event in events)
    told = {"start_local": pattern.start_local, "rrule": pattern.rrule, "zone": pattern.zone,
            "kind": pattern.kind, "overflow": pattern.overflow}  # fmt: skip
    ours = [at for at in occurrences(**told, count=200) if at < end]  # type: ignore[arg-type]
    assert found[: len(ours)] == ours
    assert str(events[0]["SUMMARY"]) == "rinse, the filter; well"


def test_each_zone_says_when_its_clocks_change() -> None:
    # Eastern time changes on 1 Nov 2026 at 6:00 UTC and on 14 Mar 2027 at 7:00 UTC (US law: first
    # Sunday of November, second of March, 2:00 am by the clock shown before)
    read = icalendar.Calendar.from_ical(calendar([Rule(id=1, text="x", pattern=PATTERNS[0],
                                                       next_due=NOW)], BOOK))  # fmt: skip
    (zone,) = read.walk("VTIMEZONE")
    assert zone["TZID"] == "America/New_York"
    changes = [
        (part["DTSTART"].dt, part["TZOFFSETFROM"].td, part["TZOFFSETTO"].td)
        for part in zone.subcomponents
    ]
    moments = {(local - was).replace(tzinfo=UTC) for local, was, to in changes if was != to}
    assert datetime(2026, 11, 1, 6, tzinfo=UTC) in moments
    assert datetime(2027, 3, 14, 7, tzinfo=UTC) in moments
    place = zone_of("America/New_York")
    for local, was, to in changes[1:]:
        at = (local - was).replace(tzinfo=UTC)
        assert at.astimezone(place).utcoffset() == to
        assert (at - timedelta(seconds=1)).astimezone(place).utcoffset() == was


def test_every_line_is_short_and_text_is_escaped() -> None:
    rule = Rule(id=1, text="ünïcode, comma; " * 10, pattern=PATTERNS[0], next_due=NOW)
    data = calendar([rule], BOOK)
    assert all(len(one) <= 75 for one in data.split(b"\r\n"))
    assert b"BEGIN:VCALENDAR" in data and b"VERSION:2.0" in data


def test_what_the_records_tell_goes_as_a_moment() -> None:
    fact = Rule(id=3, what="refill", next_due=datetime(2026, 10, 22, 22, 30, tzinfo=UTC))
    book = replace(BOOK, reminding=Reminding(rules=(fact,)))
    found = answer(RemindFile(), book)
    (file,) = found.files
    (event,) = icalendar.Calendar.from_ical(file.data).walk("VEVENT")
    assert event["DTSTART"].dt == fact.next_due
    assert str(event["SUMMARY"]) == "top-up"


def test_nothing_to_save_is_said() -> None:
    assert answer(RemindFile(), BOOK).outcome == "refuse"
