"""What was foretold, judged by later readings: times counted by hand on straight lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from bot.records.book import Book
from bot.records.facts import Entry
from bot.records.forecasts import Foretold
from bot.services.log.judging import foretold, judged
from tests.bot.books import GAL, KITCHEN, book
from tests.bot.logs import NOW, entry, logged

DAY = timedelta(days=1)
MADE = NOW - 10 * DAY
# Told ten days ago at 16 gal: half (8 gal) likely after 6 days, between 5 and 7.
ONE = Foretold(
    id=7, tower_id=1, entry_id=1, made_at=MADE, what="refill", mark_l=8 * GAL, level_l=16 * GAL,
    likely=MADE + 6 * DAY, early=MADE + 5 * DAY, late=MADE + 7 * DAY, readings=4,
)  # fmt: skip


def after(*lines: Entry) -> Book:
    return logged(entry(1, days=10, level_l=16 * GAL), *lines)


def outcome(*lines: Entry, **changes: object) -> str:
    facts = after(*lines)
    found = judged([ONE], replace(facts, **changes))  # type: ignore[arg-type]
    return found[0].outcome if found else "open"


@pytest.mark.parametrize(
    ("day", "gallons", "expected"),
    [
        (6, 8.0, "hit"),  # there on the day
        (7, 6.0, "hit"),  # 16 to 6 in 7 days: 8 gal after 5.6
        (4, 7.0, "early"),  # 16 to 7 in 4 days: after 3.6
        (9, 7.0, "late"),  # 16 to 7 in 9 days: after 8
        (8, 10.0, "late"),  # still above on the eighth day
        (3, 12.0, "open"),  # on its way
    ],
)
def test_by_a_line_between_two_readings(day: float, gallons: float, expected: str) -> None:
    assert outcome(entry(2, days=10 - day, level_l=gallons * GAL)) == expected


def test_filled_a_little_above_the_mark_by_the_pace_until_then() -> None:
    read = entry(2, days=5, level_l=9 * GAL)  # 7 gal in 5 days: 8 gal after 5.7
    fill = entry(3, days=4.9, kind="topup", level_l=16 * GAL, water_added_l=7 * GAL)
    assert outcome(read, fill) == "hit"
    far = entry(2, days=8, level_l=14 * GAL)
    early_fill = entry(3, days=7.9, kind="topup", level_l=16 * GAL, water_added_l=2 * GAL)
    assert outcome(far, early_fill) == "void"  # nobody can tell when it would have been


def test_rain_a_change_a_tower_gone_and_long_silence_judge_nothing() -> None:
    assert outcome(entry(2, days=7, level_l=15 * GAL), entry(3, days=6, level_l=16 * GAL)) == "void"
    change = entry(2, days=8, kind="change", level_l=16 * GAL)
    assert outcome(change) == "void"
    assert outcome(towers=()) == "void"
    assert outcome(now=NOW + 80 * DAY) == "void"
    assert outcome() == "open"


def test_both_marks_are_foretold_from_the_last_reading_and_none_that_is_passed() -> None:
    facts = logged(entry(4, days=4, level_l=15.4 * GAL), entry(5, level_l=10.2 * GAL))
    refill, pump = foretold(facts)
    assert (refill.what, pump.what, refill.entry_id) == ("refill", "pump_line", 5)
    # M16: 1.7 days to half, 5.2 to the pump line.
    assert (refill.likely - NOW) / DAY == pytest.approx(2.2 / 1.3)
    assert (pump.likely - NOW) / DAY == pytest.approx(6.7 / 1.3)
    low = logged(entry(4, days=4, level_l=10 * GAL), entry(5, level_l=6 * GAL))
    assert [one.what for one in foretold(low)] == ["pump_line"]
    assert foretold(book(replace(KITCHEN, id=0))) == ()
