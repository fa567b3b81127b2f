"""F25-F29: a long backlog, a poisoned row, edits in flight, refused words, a loop that stalls."""

from __future__ import annotations

import re
import threading
from collections import Counter
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import update

from bot.demo import saltmarsh
from bot.records.changes import StopRules
from bot.rehearsal import Fault
from bot.storage import load_book
from bot.storage.models import rule
from tests.faults.office import COACH, HOUR, NOW, Office, office, until

pytestmark = pytest.mark.asyncio
CREATE = r"/channels/\d+/messages$"
DAY = timedelta(days=1)
LINES = 10  # that one message holds


async def backlog(made: Office, reminders: int, people: int) -> Counter[int]:
    """So many over fourteen days, unsent; how many each person is owed."""
    owed: Counter[int] = Counter()
    for number in range(reminders):
        whose = number % people + 1
        owed[whose] += 1
        ago = timedelta(minutes=number * 14 * 24 * 60 // reminders)
        await made.remind(whose, f"thing {number:05d}.", NOW + HOUR + ago)
    return owed


async def caught_up(made: Office, reminders: int, people: int, within_s: float) -> None:
    """After the outage: everything once, folded, what is fresh on time, under the cap."""
    owed = await backlog(made, reminders, people)
    back = NOW + 15 * DAY - timedelta(seconds=8)
    fresh = [f"fresh {number}." for number in range(10)]
    for number, text in enumerate(fresh):
        await made.remind(people + 1 + number, text, NOW + 15 * DAY)
    made.clock.step_to(back)
    made.clock.run(1.0)  # from here on the calendar goes as fast as the world
    await made.start()
    await until(lambda: set(made.states()) == {"sent"}, within_s)
    said = Counter(
        text
        for one in made.server.messages
        for text in re.findall(r"thing \d{5}|fresh \d", one["content"].casefold())
    )
    assert len(said) == reminders + len(fresh)
    assert set(said.values()) == {1}
    digests = sum(-(-count // LINES) for count in owed.values())
    assert len(made.server.messages) == digests + len(fresh)
    assert made.server.limits.refused == 0
    late = [
        (datetime.fromisoformat(one["timestamp"]) - NOW - 15 * DAY).total_seconds()
        for one in made.server.messages
        if "fresh" in one["content"].casefold()
    ]
    assert len(late) == len(fresh)
    assert max(late) <= 60


async def test_f25_a_backlog_is_folded_and_starves_nobody(tmp_path: Path) -> None:
    async with office(tmp_path, people=60) as made:
        made.server.limits.buckets["message-create"].limit = 1000
        await caught_up(made, reminders=1_000, people=50, within_s=120)


@pytest.mark.slow
async def test_f25_twenty_thousand_over_a_fortnight(tmp_path: Path) -> None:
    async with office(tmp_path, people=410) as made:
        made.server.limits.buckets["message-create"].limit = 1000
        await caught_up(made, reminders=20_000, people=400, within_s=300)


@pytest.mark.parametrize("poison", ["rrule", "zone", "start"])
async def test_f26_a_row_that_cannot_be_read_is_set_aside(tmp_path: Path, poison: str) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "broken", NOW + HOUR, rrule="FREQ=DAILY")
        await made.remind(2, "rinse", NOW + HOUR)
        async with made.store.write() as connection:
            bad = update(rule).where(rule.c.text == "broken")
            if poison == "rrule":
                await connection.execute(bad.values(rrule="FREQ=NEVER;{"))
            if poison == "zone":
                await connection.execute(bad.values(zone="Atlantis/Deep"))
            if poison == "start":
                await connection.execute(bad.values(start_local="some day"))
        await made.start()
        await made.due(2)  # the good one, and the coach's notice
        assert made.times("rinse") == 1
        await until(lambda: made.rows("SELECT count(*) FROM debt WHERE state = 'failed'") == [(1,)])
        book = await load_book(made.store, made.asker(COACH), made.clock.now(), whole=True)
        assert [one.reason for one in book.reminding.unsent] == ["broken"]


async def test_f27_stopped_between_claim_and_send_it_goes_nowhere(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "rinse", NOW + HOUR)
        await made.remind(1, "trim", NOW + 2 * HOUR)
        await made.start()
        assert made.worker is not None
        async with made.worker._delivery._pacing:  # its turn under the cap is still to come
            made.clock.step_to(NOW + HOUR)
            await until(lambda: made.rows("SELECT 1 FROM post WHERE body IS NOT NULL") != [])
            await made.write(1, StopRules(rule_ids=(await made.rule_id(1, "rinse"),)))
        await until(lambda: made.rows("SELECT state FROM post") == [("void",)])
        made.clock.step_to(NOW + 2 * HOUR)
        await made.settled(1)
        assert (made.times("rinse"), made.times("trim")) == (0, 1)
        assert made.states() == ["stopped", "sent"]


@pytest.mark.parametrize("code", [50035, 200000])
async def test_f28_words_that_are_refused_are_final_and_told(tmp_path: Path, code: int) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=rf"/channels/{saltmarsh.ROOM_ID}/messages$",
                  status=400, code=code)
        )  # fmt: skip
        await made.remind(COACH, "a word they block", NOW + HOUR, room=True)
        await made.remind(1, "rinse", NOW + HOUR)
        await made.start()
        await made.due(2)
        await made.settled(2)
        room = [one for one in made.server.requests if str(saltmarsh.ROOM_ID) in one["path"]]
        assert [one["status"] for one in room] == [400]
        assert made.states() == ["failed", "sent"]
        book = await load_book(made.store, made.asker(COACH), made.clock.now(), whole=True)
        (lost,) = book.reminding.unsent
        assert (lost.reason, lost.room, lost.text) == ("rejected", True, "a word they block")


async def test_f28_more_characters_than_the_platform_takes_never_reach_it(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "rinse", NOW + HOUR)
        async with made.store.write() as connection:
            long = update(rule).where(rule.c.text == "rinse").values(text="x" * 2001)
            await connection.execute(long)
        await made.start()
        await made.due(1)
        assert made.tries(1) == [200]
        assert [len(one["content"]) for one in made.server.messages] == [2000]


async def test_f29_a_loop_that_stalls_longer_than_its_lease_sends_once(tmp_path: Path) -> None:
    async with office(tmp_path, people=12, lease_s=0.5) as made:
        for whose in range(1, 13):
            await made.remind(whose, f"thing {whose:02d}.", NOW + HOUR)
        for _ in range(12):
            made.server.script(Fault(method="POST", path_regex=CREATE, created=True, delay_s=0.2))
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: len(made.server.messages) >= 3)
        threading.Event().wait(1.5)  # nothing runs: no answer is read, no lease renewed
        await made.settled(12)
        assert [made.times(f"thing {n:02d}.") for n in range(1, 13)] == [1] * 12
        assert made.states() == ["sent"] * 12
