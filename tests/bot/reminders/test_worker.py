"""The worker on a real SQLite file: once each, whatever happens between two commits."""

from __future__ import annotations

import asyncio
from datetime import timedelta

import pytest
from sqlalchemy import update

from bot.records.changes import AddRule, SetMember
from bot.records.reminders import Failed, Rule
from bot.reminders import worker
from bot.storage import Store, tidy
from bot.storage.models import rule
from bot.storage.reminding import begun
from tests.bot.reminders.acting import NOW, Running, every, once, standing, stop, until, write
from tests.bot.reminders.platform import HANGS, HANGS_AFTER, LOST_ANSWER, REFUSED, Platform
from tests.bot.storage.asking import rows

pytestmark = pytest.mark.asyncio
HOUR = timedelta(hours=1)
NOTES = "SELECT debt.state FROM debt JOIN rule ON rule.id = rule_id WHERE what = 'note'"


async def add(store: Store, *rules: Rule) -> None:
    await write(store, NOW, *(AddRule(rule=one) for one in rules))


async def quiet(store: Store) -> None:
    """Nothing from the records: only what a test sets."""
    async with store.write() as connection:
        await connection.execute(update(rule).where(rule.c.what != "note").values(stopped_at=NOW))


async def done(url: str, wanted: int = 1) -> None:
    """Until so many notes were sent."""
    await until(lambda: [s for (s,) in rows(url, NOTES)].count("sent") >= wanted)


async def test_it_comes_when_it_is_due_and_not_before(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await add(store, once("rinse", NOW + HOUR))
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + HOUR - timedelta(seconds=1))
    assert platform.messages == []
    await clock.walk_to(NOW + HOUR)
    assert platform.times("rinse") == 1
    await running.stop()
    assert rows(url, NOTES) == [("sent",)]


@pytest.mark.parametrize("what", [LOST_ANSWER, REFUSED])
async def test_an_unknown_outcome_is_tried_again_under_the_same_nonce(
    url: str, store: Store, what: str
) -> None:
    clock, platform = standing(), Platform()
    platform.script.extend([what, what])
    await add(store, once("rinse", NOW + HOUR))
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + HOUR)
    await done(url)
    await running.stop()
    assert (platform.times("rinse"), platform.sends) == (1, 3)


@pytest.mark.parametrize("what", [HANGS, HANGS_AFTER])
async def test_killed_while_sending_it_is_sent_once_by_the_next(
    url: str, store: Store, what: str
) -> None:
    clock, platform = standing(), Platform()
    platform.script.append(what)
    await add(store, once("rinse", NOW + HOUR))
    first = await Running(store, clock, platform).start()
    clock.step_to(NOW + HOUR)
    await until(lambda: platform.sends > 0)
    await first.kill()
    assert rows(url, NOTES) == [("posted",)]
    second = await Running(store, clock, platform).start()
    await done(url)
    await second.stop()
    assert platform.times("rinse") == 1


async def test_after_the_nonces_are_forgotten_it_looks_before_it_sends(
    url: str, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(begun, "_NONCE_S", -1.0)
    clock, platform = standing(), Platform()
    platform.script.append(LOST_ANSWER)
    await add(store, once("rinse", NOW + HOUR))
    running = await Running(store, clock, platform).start()
    clock.step_to(NOW + HOUR)
    await until(lambda: bool(platform.messages))
    platform.nonces.clear()
    await done(url)
    await running.stop()
    assert (platform.times("rinse"), platform.looks) == (1, 1)


async def test_a_worker_that_slept_past_its_lease_is_refused(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    platform.script.append(HANGS_AFTER)
    await add(store, once("rinse", NOW + HOUR))
    first = await Running(store, clock, platform, lease_s=0.2).start()
    first.worker._renew = _never  # type: ignore[method-assign]  # stopped like by SIGSTOP
    clock.step_to(NOW + HOUR)
    await until(lambda: platform.sends > 0)
    await first.kill()
    second = await Running(store, clock, platform, lease_s=0.2).start(alone=False)
    await done(url)
    await second.stop()
    assert platform.times("rinse") == 1
    assert rows(url, "SELECT attempt, state FROM post") == [(2, "sent")]


async def _never() -> None:
    await asyncio.Event().wait()


async def test_two_workers_send_each_once(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await add(store, *(once(f"thing {n:02d}", NOW + HOUR) for n in range(40)))
    one = await Running(store, clock, platform).start(alone=False)
    two = await Running(store, clock, platform).start(alone=False)
    clock.step_to(NOW + HOUR)
    await done(url, 40)
    await one.stop()
    await two.stop()
    assert [platform.times(f"thing {n:02d}") for n in range(40)] == [1] * 40


async def test_stopped_between_claim_and_send_it_is_not_sent(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await add(store, once("rinse", NOW + HOUR), once("trim", NOW + HOUR + HOUR))
    running = await Running(store, clock, platform).start()
    async with (
        running.worker._delivery._pacing
    ):  # its turn under the platform's cap is still to come
        clock.step_to(NOW + HOUR)
        await until(lambda: rows(url, "SELECT 1 FROM post WHERE body IS NOT NULL") != [])
        await stop(store, "rinse", NOW + HOUR)
    await until(lambda: rows(url, "SELECT state FROM post") == [("void",)])
    await running.stop()
    assert platform.times("rinse") == 0
    assert rows(url, NOTES) == [("stopped",), ("due",)]
    assert rows(url, "SELECT state FROM post") == [("void",)]


async def test_an_outage_of_days_is_one_message_and_the_next_is_on_time(
    url: str, store: Store
) -> None:
    clock, platform = standing(), Platform()
    await add(store, every("rinse", NOW + HOUR, "FREQ=DAILY"))
    await quiet(store)
    clock.step_to(NOW + timedelta(days=5))
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + timedelta(days=5, minutes=1))
    assert platform.times("rinse") == 1
    assert platform.times("4 more came due since") == 1
    await clock.walk_to(NOW + timedelta(days=5) + HOUR)
    await running.stop()
    assert platform.times("rinse") == 2


async def test_a_clock_put_back_sends_nothing_twice(store: Store) -> None:
    clock, platform = standing(), Platform()
    await add(store, every("rinse", NOW + HOUR, "FREQ=DAILY"))
    await quiet(store)
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + HOUR)
    clock.step_to(NOW - HOUR)
    await clock.walk_to(NOW + 2 * HOUR)
    await running.stop()
    assert platform.times("rinse") == 1


async def test_a_closed_door_is_tried_once_a_token_that_is_void_never(
    url: str, store: Store
) -> None:
    clock, platform = standing(), Platform(fails=Failed(why="closed", code=50007))
    await add(store, every("rinse", NOW + HOUR, "FREQ=DAILY"))
    await quiet(store)
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + timedelta(days=3))
    await running.stop()
    assert platform.sends == 1
    assert {state for (state,) in rows(url, NOTES)} == {"held"}


async def test_a_void_token_stops_everything_and_keeps_the_queue(url: str, store: Store) -> None:
    clock, platform = standing(), Platform(fails=Failed(why="revoked", code=401))
    await add(store, once("rinse", NOW + HOUR), once("trim", NOW + HOUR))
    running = await Running(store, clock, platform).start()
    clock.step_to(NOW + HOUR)
    await asyncio.wait_for(running.worker.revoked.wait(), 5)
    await running.stop()
    platform.fails = None
    again = await Running(store, clock, platform).start()
    await done(url, 2)
    await again.stop()
    assert (platform.times("rinse"), platform.times("trim")) == (1, 1)


async def test_one_row_that_cannot_be_read_does_not_hold_up_the_others(
    url: str, store: Store
) -> None:
    clock, platform = standing(), Platform()
    await add(store, every("broken", NOW + HOUR, "FREQ=DAILY"), once("rinse", NOW + HOUR))
    async with store.write() as connection:
        bad = update(rule).where(rule.c.text == "broken").values(rrule="FREQ=NEVER")
        await connection.execute(bad)
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + HOUR)
    await running.stop()
    assert platform.times("rinse") == 1


async def test_a_member_who_moves_keeps_their_wall_time(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await add(store, every("rinse", NOW + HOUR, "FREQ=DAILY", zone="America/New_York"))
    before = rows(url, "SELECT key, due FROM debt")
    await write(store, NOW, SetMember(setting="time_zone", value="Europe/Lisbon"))
    assert before == [("2026-05-12T13:00", "2026-05-12 17:00:00.000000")] or before == [
        ("2026-05-11T13:00", "2026-05-11 17:00:00.000000")
    ]
    ((key, due),) = rows(url, "SELECT key, due FROM debt")
    assert key == before[0][0]
    assert str(due).endswith("12:00:00.000000")  # 1 pm in Lisbon is 12:00 UTC
    del clock, platform


async def test_a_stop_gives_back_what_is_not_sent_within_ten_seconds(
    url: str, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worker, "_FINISH_S", 0.1)
    clock, platform = standing(), Platform()
    platform.script.append(HANGS)
    await add(store, once("rinse", NOW + HOUR))
    running = await Running(store, clock, platform).start()
    clock.step_to(NOW + HOUR)
    await until(lambda: platform.sends > 0)
    await running.stop()
    # no row is both sent and due; whoever starts next sends it at once, not after a lease
    assert rows(url, NOTES) == [("posted",)]
    second = await Running(store, clock, platform).start(alone=False)
    await done(url)
    await second.stop()
    assert platform.times("rinse") == 1


async def test_what_is_long_over_goes_and_the_newest_stays(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await add(store, every("rinse", NOW + HOUR, "FREQ=DAILY"))
    await quiet(store)
    running = await Running(store, clock, platform).start()
    for day in range(1, 6):
        await clock.walk_to(NOW + timedelta(days=day))
    await running.stop()
    await stop(store, "rinse", NOW + timedelta(days=5))
    assert len(rows(url, NOTES)) == 6
    await tidy(store, NOW + timedelta(days=200))
    assert rows(url, NOTES) == [("stopped",)]
    assert rows(url, "SELECT count(*) FROM post") == [(0,)]
