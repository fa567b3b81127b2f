"""F15-F19: clocks that jump, wall times that are not there, people and zones that move."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot import clock as bot_clock
from bot.app.health import Health
from bot.records.changes import AddRule, SetMember
from bot.records.reminders import Pattern, Rule
from bot.storage.reminding import plans
from bot.storage.seen import note_seen
from tests.faults.office import HOUR, NOW, Office, office, until

pytestmark = pytest.mark.asyncio
CASES = json.loads((Path(__file__).parents[1] / "bot/data/recurrence.json").read_text())["cases"]
DAY = timedelta(days=1)


def moments(made: Office, text: str = "rinse") -> list[datetime]:
    """When each message that says it was created."""
    return [
        datetime.fromisoformat(one["timestamp"]).astimezone(UTC)
        for one in made.server.messages
        if text in one["content"].casefold()
    ]


async def test_f15_two_hours_back_sends_nothing_twice(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "rinse", NOW + HOUR, rrule="FREQ=DAILY")
        await made.start()
        await made.clock.walk_to(NOW + HOUR)
        made.clock.step_to(NOW - HOUR)
        await made.clock.walk_to(NOW + 2 * HOUR)
        assert moments(made) == [NOW + HOUR]
        await made.clock.walk_to(NOW + DAY + 2 * HOUR)
        assert moments(made) == [NOW + HOUR, NOW + DAY + HOUR]


async def test_f15_three_days_ahead_is_late_once(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "rinse", NOW + HOUR, rrule="FREQ=DAILY")
        await made.start()
        await made.clock.walk_to(NOW)
        made.clock.step_to(NOW + 3 * DAY)
        await made.settled(1)
        assert made.times("2 more came due since") == 1
        await made.clock.walk_to(NOW + 3 * DAY + HOUR)
        assert len(moments(made)) == 2


async def test_f15_ten_years_ahead_is_refused_until_somebody_says_it_is_right(
    tmp_path: Path,
) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "rinse", NOW + HOUR)
        await made.start()
        await made.clock.walk_to(NOW)
        made.clock.step_to(NOW + 3652 * DAY)
        await until(lambda: made.pulse.waits == "clock")
        wrong = list(Health(made.store, made.clock, made.pulse)._wrong(None))
        assert any("more than a year ahead" in one for one in wrong)
        await made.stop()
        await made.start()  # a restart believes it no more than before
        await until(lambda: made.pulse.waits == "clock")
        assert made.server.messages == []
        made.clock.step_to(NOW + 2 * HOUR)  # put right
        await made.settled(1)
        made.clock.step_to(NOW + 3652 * DAY)
        await made.remind(1, "trim", NOW + 3652 * DAY + HOUR)
        await note_seen(made.store, made.clock.now())  # tankwren check --clock-is-right
        made.clock.step_to(NOW + 3652 * DAY + HOUR)
        await made.settled(2)
        assert (made.times("rinse"), made.times("trim")) == (1, 1)


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
async def test_f16_f17_each_published_case_comes_at_its_moments(
    tmp_path: Path, case: dict[str, Any]
) -> None:
    wanted = [datetime.fromisoformat(text) for text in case["expected_utc"]]
    pattern = Pattern(
        start_local=case["start_local"], rrule=case["rrule"], zone=case["tz"],
        kind=case["kind"], overflow=case["overflow"],
    )  # fmt: skip
    async with office(tmp_path, now=wanted[0] - HOUR) as made:
        await made.write(1, SetMember(setting="time_zone", value=case["tz"]))
        await made.write(1, AddRule(rule=Rule(text="rinse", pattern=pattern)))
        await made.start()
        await made.clock.walk_to(wanted[-1] + timedelta(seconds=1))
        assert moments(made)[: len(wanted)] == wanted


async def test_f16_an_hour_that_was_left_out_is_said(tmp_path: Path) -> None:
    async with office(tmp_path, now=datetime(2026, 3, 7, 12, tzinfo=UTC)) as made:
        pattern = Pattern(
            start_local="2026-03-08T02:30", rrule="FREQ=DAILY", zone="America/New_York"
        )
        await made.write(1, SetMember(setting="time_zone", value="America/New_York"))
        await made.write(1, AddRule(rule=Rule(text="rinse", pattern=pattern)))
        await made.start()
        await made.clock.walk_to(datetime(2026, 3, 9, 12, tzinfo=UTC))
        first, second = (one["content"] for one in made.server.messages)
        assert "At 03:30 instead of 02:30: the clocks went forward." in first
        assert "instead" not in second


async def test_f18_around_the_world_each_local_date_once(tmp_path: Path) -> None:
    """Auckland -> Honolulu and back, around the hour it is due."""
    begins = datetime(2026, 5, 11, 0, tzinfo=UTC)
    async with office(tmp_path, now=begins) as made:
        await made.write(1, SetMember(setting="time_zone", value="Pacific/Auckland"))
        pattern = Pattern(
            start_local="2026-05-12T07:30", rrule="FREQ=DAILY", zone="Pacific/Auckland"
        )
        await made.write(1, AddRule(rule=Rule(text="rinse", pattern=pattern)))
        await made.start()
        keys = "SELECT key FROM debt WHERE state = 'sent' ORDER BY id"
        for day, zone in enumerate(("Pacific/Honolulu", "Pacific/Auckland") * 3, 1):
            due = datetime(2026, 5, 11, 19, 30, tzinfo=UTC) + day * DAY
            await made.clock.walk_to(due - timedelta(minutes=1) if day % 2 else due)
            await made.write(1, SetMember(setting="time_zone", value=zone))
            await made.clock.walk_to(made.clock.now() + timedelta(minutes=3))
        await made.clock.walk_to(begins + 10 * DAY)
        found = [str(key) for (key,) in made.rows(keys)]
        assert len(found) == len(set(found)) == len(moments(made))
        assert {key[11:] for key in found} == {"07:30"}
        times = moments(made)
        close = [b - a for a, b in pairwise(times) if b - a < 12 * HOUR]
        assert len(close) == made.times("soon after the last one")


@contextmanager
def edition(monkeypatch: pytest.MonkeyPatch, name: str, instead: str) -> Iterator[None]:
    """Zone data called `name`, in which New York goes by the rules of `instead`."""
    with (files("tzdata") / "zoneinfo" / instead).open("rb") as data:
        other = ZoneInfo.from_file(data, key="America/New_York")
    real = bot_clock.zone_of

    def zone_of(zone: str) -> ZoneInfo:
        return other if zone == "America/New_York" else real(zone)

    with monkeypatch.context() as patched:
        patched.setattr(bot_clock, "zone_of", zone_of)
        patched.setattr(plans, "zone_data", lambda: name)
        yield


async def test_f19_newer_zone_data_keeps_the_wall_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with office(tmp_path) as made:
        pattern = Pattern(
            start_local="2026-05-11T18:00", rrule="FREQ=DAILY", zone="America/New_York"
        )
        await made.write(1, AddRule(rule=Rule(text="rinse", pattern=pattern)))
        with edition(monkeypatch, "2026.1", "America/New_York"):
            await made.start()
            await made.clock.walk_to(NOW + DAY)
            await made.stop()
        keys = made.rows("SELECT key FROM debt")
        with edition(monkeypatch, "2026.2", "America/Halifax"):  # an hour ahead of New York
            await made.start()
            assert made.rows("SELECT key FROM debt") == keys
            await made.clock.walk_to(NOW + 2 * DAY)
            await made.stop()
    assert moments(made) == [
        datetime(2026, 5, 11, 22, tzinfo=UTC),
        datetime(2026, 5, 12, 21, tzinfo=UTC),
    ]
