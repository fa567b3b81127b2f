"""Wall times and moments: published cases, every zone's transitions, and the laws of a rule."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfoNotFoundError

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from whenever import PlainDateTime, clear_tzcache, reset_tzpath

from bot.clock import by_day, instant, occurrences, recurring, zone_names, zone_of

CASES = json.loads((Path(__file__).parent / "data" / "recurrence.json").read_text())["cases"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["id"]))
def test_the_published_cases(case: dict[str, object]) -> None:
    expected = [datetime.fromisoformat(text) for text in case["expected_utc"]]  # type: ignore[attr-defined]
    found = occurrences(
        start_local=str(case["start_local"]),
        rrule=str(case["rrule"]),
        zone=str(case["tz"]),
        kind=str(case["kind"]),
        overflow=str(case["overflow"]),
        count=len(expected) + 3,
    )
    assert found == expected  # every case says its COUNT, so nothing comes after


@cache
def transitions(name: str) -> tuple[datetime, ...]:
    """The moments between 2024 and 2037 at which a zone's clocks change, found by halving."""
    place = zone_of(name)

    def offset(at: datetime) -> timedelta:
        found = at.astimezone(place).utcoffset()
        assert found is not None
        return found

    found = []
    day, end = datetime(2024, 1, 1, tzinfo=UTC), datetime(2038, 1, 1, tzinfo=UTC)
    while day < end:
        low, high = day, day + timedelta(days=7)
        if offset(low) != offset(high):
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) / 2
                low, high = (middle, high) if offset(middle) == offset(low) else (low, middle)
            found.append(high.replace(microsecond=0))
        day += timedelta(days=7)
    return tuple(found)


@pytest.fixture(autouse=True, scope="module")
def same_data() -> Iterator[None]:
    """The oracle reads the pinned zones too, not the machine's."""
    reset_tzpath([])
    clear_tzcache()
    yield
    reset_tzpath()
    clear_tzcache()


SHARDS = [sorted(zone_names())[n::16] for n in range(16)]


@pytest.mark.parametrize("names", SHARDS, ids=range(16))
def test_every_zone_at_every_transition(names: list[str]) -> None:
    """Against `whenever`, whose "compatible" is the same policy: forward out of a gap, the first
    of two; one second before, at, and after what the clocks show on either side of the change."""
    seen = 0
    for name in names:
        for at in transitions(name):
            for side in (at - timedelta(seconds=1), at):
                shown = side.astimezone(zone_of(name)).replace(tzinfo=None, fold=0)
                for slip in (-1, 0, 1):
                    local = shown + timedelta(seconds=slip)
                    theirs = PlainDateTime(local).assume_tz(name, disambiguation="compatible")
                    assert instant(local, name) == theirs.to_stdlib().astimezone(UTC), (name, local)
                    seen += 1
    assert seen or all(not transitions(name) for name in names)


RULES = st.sampled_from(
    [
        ("FREQ=DAILY", "wall"),
        ("FREQ=DAILY;INTERVAL=3", "wall"),
        ("FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,SU", "wall"),
        ("FREQ=MONTHLY;BYMONTHDAY=31", "wall"),
        ("FREQ=MONTHLY;BYDAY=2SU", "wall"),
        ("FREQ=MONTHLY;BYMONTHDAY=-1", "wall"),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", "wall"),
        ("FREQ=HOURLY;INTERVAL=5", "elapsed"),
        ("FREQ=MINUTELY;INTERVAL=45", "elapsed"),
    ]
)
ZONES = st.sampled_from(
    ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Africa/Casablanca",
     "Antarctica/Troll", "Pacific/Auckland", "Africa/Cairo", "Asia/Kolkata"]
)  # fmt: skip
STARTS = st.datetimes(
    min_value=datetime(2024, 1, 1),  # noqa: DTZ001 - a wall time
    max_value=datetime(2037, 1, 1),  # noqa: DTZ001 - a wall time
).map(lambda at: at.replace(second=0, microsecond=0))


@settings(max_examples=200, deadline=None)
@given(RULES, ZONES, STARTS, st.sampled_from(["omit", "clamp"]))
def test_the_laws_of_a_rule(
    rule: tuple[str, str], zone: str, start: datetime, overflow: str
) -> None:
    rrule, kind = rule
    told = {"start_local": start, "rrule": rrule, "zone": zone, "kind": kind, "overflow": overflow}
    found = occurrences(**told, count=12)  # type: ignore[arg-type]
    assert len(found) == 12
    assert all(a < b for a, b in pairwise(found))  # strictly later
    keyed = [key for key, _ in zip_keys(told, 12)]
    for number, key in enumerate(keyed[:-1]):
        # whatever lies between two, the next is the same: it hangs on the last key alone
        after = recurring(**told, after=key)  # type: ignore[arg-type]
        assert next(after) == (keyed[number + 1], found[number + 1])
    if kind == "wall":
        for key, at in zip(keyed, found, strict=True):
            shown = at.astimezone(zone_of(zone)).replace(tzinfo=None)
            moved = instant(datetime.fromisoformat(key), zone).astimezone(zone_of(zone))
            assert shown == datetime.fromisoformat(key) or shown == moved.replace(tzinfo=None)
            assert shown >= datetime.fromisoformat(key)
    else:
        steps = {b - a for a, b in pairwise(found)}
        assert len(steps) == 1  # real time, whatever the clocks do


def zip_keys(told: dict[str, object], count: int) -> list[tuple[str, datetime]]:
    found = recurring(**told)  # type: ignore[arg-type]
    return [next(found) for _ in range(count)]


def test_a_day_that_a_month_has_not() -> None:
    told = {"start_local": "2027-01-31T09:00", "zone": "UTC", "rrule": "FREQ=MONTHLY;BYMONTHDAY=31"}
    omitted = occurrences(**told, overflow="omit", count=4)  # type: ignore[arg-type]
    clamped = occurrences(**told, overflow="clamp", count=4)  # type: ignore[arg-type]
    assert [(at.month, at.day) for at in omitted] == [(1, 31), (3, 31), (5, 31), (7, 31)]
    assert [(at.month, at.day) for at in clamped] == [(1, 31), (2, 28), (3, 31), (4, 30)]


def test_the_leap_day_of_2100_is_left_out() -> None:
    told = {"start_local": "2096-02-29T07:30", "zone": "UTC", "count": 2}
    rule = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29"
    assert [at.year for at in occurrences(**told, rrule=rule)] == [2096, 2104]  # type: ignore[arg-type]
    clamped = occurrences(**{**told, "count": 5}, rrule=rule, overflow="clamp")  # type: ignore[arg-type]
    assert (clamped[4].year, clamped[4].month, clamped[4].day) == (2100, 2, 28)


@pytest.mark.parametrize(
    "rrule",
    ["FREQ=SECONDLY", "FREQ=DAILY;INTERVAL=0", "FREQ=DAILY;INTERVAL=1001", "FREQ=HOURLY",
     "FREQ=DAILY;BYHOUR=9,10", "FREQ=DAILY;COUNT=0", "FREQ=DAILY;FREQ=DAILY", "DAILY",
     "FREQ=WEEKLY;BYMONTHDAY=3"],
)  # fmt: skip
def test_refuses_a_rule_that_we_would_not_write(rrule: str) -> None:
    with pytest.raises(ValueError, match=r"rule of ours|INTERVAL|COUNT"):
        occurrences(start_local="2027-01-01T09:00", rrule=rrule, zone="UTC", count=1)


def test_refuses_a_zone_that_does_not_exist() -> None:
    for name in ("Atlantis/Deep", "../../etc/passwd", ""):
        with pytest.raises(ValueError, match="no time zone"):
            occurrences(start_local="2027-01-01T09:00", rrule="", zone=name, count=1)
        with pytest.raises(ZoneInfoNotFoundError):
            zone_of(name)


@pytest.mark.parametrize(
    ("rrule", "count"),
    [("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=31", 0), ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", 0),
     ("FREQ=YEARLY;INTERVAL=4;BYMONTH=2;BYMONTHDAY=29", 0),
     ("FREQ=MONTHLY;INTERVAL=12;BYMONTHDAY=31", 0), ("FREQ=DAILY;COUNT=1000000000", 5)],
)  # fmt: skip
def test_a_rule_that_never_comes_or_never_ends_is_answered_at_once(rrule: str, count: int) -> None:
    begun = time.perf_counter()
    found = occurrences(start_local="2026-04-01T09:00", rrule=rrule, zone="UTC", count=5)
    assert len(found) == count
    assert time.perf_counter() - begun < 5  # the library alone would look until the year 9999


def test_zones_come_from_the_pinned_data() -> None:
    summer = instant(datetime.fromisoformat("2027-07-01T12:00"), "Europe/Lisbon")
    assert summer == datetime(2027, 7, 1, 11, tzinfo=UTC)
    assert len(zone_names()) > 500


@pytest.mark.parametrize(
    ("at", "due"),
    [
        ("2026-05-11T14:00", "2026-05-11T14:00"),  # 10 am in New York: by day
        ("2026-05-11T06:00", "2026-05-11T12:00"),  # 2 am: at 8
        ("2026-05-12T02:30", "2026-05-12T12:00"),  # 10:30 pm the day before: at 8
    ],
)
def test_what_comes_by_night_waits_for_the_morning(at: str, due: str) -> None:
    moment, expected = (datetime.fromisoformat(text).replace(tzinfo=UTC) for text in (at, due))
    assert by_day(moment, "America/New_York", "08:00") == expected
