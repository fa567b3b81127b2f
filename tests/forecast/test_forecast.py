"""The forecast on towers whose water is known, and what it does with logs that cannot be."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from bot.commands.forecast import forecast_batch
from bot.services.exchange import book
from bot.services.log.forecast import Forecast, forecast
from bot.stepping import SetClock
from tests.forecast.judging import figures, judge
from tests.forecast.towers import stands

NOW = datetime(2026, 5, 11, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def level(days_ago: float, litres: float, **more: object) -> dict[str, Any]:
    at = (NOW - days_ago * DAY).isoformat()
    return {"tower": "t", "at": at, "kind": "level", "level_l": litres, **more}


def told(*log: dict[str, Any], tank_l: float = 40.0, mark_l: float = 20.0) -> Forecast:
    tower = {"name": "t", "tank_l": tank_l, "place": "indoor"}
    facts = book({"towers": [tower], "log": list(log)}, now=NOW)
    return forecast(facts.towers[0], facts, mark_l)


def days(found: Forecast) -> tuple[float, float, float]:
    early, likely, late = ((at - NOW) / DAY for at in (found.early, found.likely, found.late))
    return early, likely, late


def test_it_beats_what_anybody_would_do_with_the_last_readings() -> None:
    found = judge(stands(30))
    one = figures(found.cases)
    assert one.count > 900
    assert one.ratio <= 0.8  # of thirty towers; 0.58 of two hundred
    assert 0.72 <= one.covered <= 0.95
    assert one.width <= 11


def test_steady_readings_give_the_plain_rate() -> None:
    """Half a litre a day, 33 L down to 23 L: twenty days by arithmetic."""
    steady = [level(12.0 - 2 * n, 39.0 - 1.0 * n) for n in range(7)]
    early, likely, late = days(told(*steady, mark_l=23.0))
    assert likely == pytest.approx(20.0, rel=0.3)
    assert early < likely < late


def test_more_readings_make_it_surer() -> None:
    few = days(told(level(1, 39.0), level(0, 38.0), mark_l=24.0))
    many = days(told(*(level(10.0 - n, 40.0 - 1.0 * n) for n in range(11)), mark_l=16.0))
    assert (many[2] - many[0]) / many[1] < (few[2] - few[0]) / few[1]


def test_at_the_mark_it_is_now() -> None:
    assert days(told(level(2, 30.0), level(0, 12.0)))[1] == 0


def test_water_lost_over_night_is_told_and_a_fill_that_nobody_logged_is_not() -> None:
    calm = [level(8.0 - n, 40.0 - 1.0 * n) for n in range(8)]
    assert told(*calm, level(0, 14.0)).leak
    assert not told(*calm, level(0, 40.0)).leak
    assert not told(*calm, level(0, 31.5)).leak


@pytest.mark.parametrize(
    "line",
    [
        level(-3, 5.0),  # in the future
        level(1, 4000.0),  # more than it holds
        level(1, 36.0, water_added_l=9000.0),
    ],
)
def test_what_cannot_be_is_not_believed(line: dict[str, Any]) -> None:
    good = [level(6.0 - 2 * n, 40.0 - 2.0 * n) for n in range(4)]
    without, with_it = days(told(*good)), days(told(*good, line))
    assert with_it[1] == pytest.approx(without[1], rel=0.3)


def test_out_of_order_and_told_twice_it_is_the_same_within_a_day() -> None:
    good = [level(6.0 - 2 * n, 40.0 - 2.0 * n) for n in range(4)]
    assert days(told(*reversed(good)))[1] == days(told(*good))[1]


def test_with_nothing_read_it_has_an_answer_and_a_wide_one() -> None:
    early, _, late = days(told())
    assert late - early > 4


def test_a_batch_answers_every_line_and_a_bad_one_with_an_error() -> None:
    records = {"now": NOW.isoformat(), "towers": [{"name": "t", "tank_l": 40, "place": "indoor"}],
               "log": [level(2, 38.0), level(0, 34.0)]}  # fmt: skip
    lines = [json.dumps({"id": "a", "records": records, "mark_l": 20}), "{", "",
             json.dumps({"id": "b", "records": {"towers": []}, "mark_l": 20})]  # fmt: skip
    first, second, third = forecast_batch(lines, SetClock(NOW))
    times = [datetime.fromisoformat(str(first[k])) for k in ("at_low", "at_median", "at_high")]
    assert times == sorted(times)
    assert all(at.tzinfo is not None for at in times)
    assert first["leak"] is False
    assert second["id"] is None
    assert "error" in second
    assert third["id"] == "b"
    assert "error" in third
