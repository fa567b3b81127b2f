"""F1-F10: what the platform answers, and what becomes of a reminder then."""

from __future__ import annotations

import asyncio
import re
from datetime import timedelta
from pathlib import Path
from time import monotonic

import pytest

from bot.app.serving import connected
from bot.errors import NotStarted
from bot.records.changes import EditRule, Resend, SetMember, TakeUp
from bot.rehearsal import Fault
from bot.storage import load_book
from bot.storage.reminding import begun, failing
from tests.faults.office import COACH, HOUR, NOW, Office, office, until

pytestmark = pytest.mark.asyncio
CREATE = r"/channels/\d+/messages$"


def to(made: Office, whose: int) -> str:
    return rf"/channels/{made.people[whose].private.id}/messages$"


async def test_f01_a_429_of_one_route_holds_up_nobody_else(tmp_path: Path) -> None:
    async with office(tmp_path, lease_s=0.9) as made:
        made.server.script(
            Fault(method="POST", path_regex=to(made, 1), status=429, retry_after=3.0)
        )
        await made.remind(1, "waits", NOW + HOUR)
        await made.remind(2, "goes on", NOW + HOUR)
        await made.start()
        begins = monotonic()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.times("goes on") == 1)
        assert monotonic() - begins < 1.5
        assert made.times("waits") == 0
        await made.settled(2)
        assert monotonic() - begins >= 3.0
        # the lease ran out three times over and was held: nobody took the post anew
        assert made.tries(1) == [429, 200]
        assert made.rows("SELECT max(attempt), max(failures) FROM post") == [(1, 0)]


async def test_f02_a_429_for_all_stops_every_send_until_then(tmp_path: Path) -> None:
    async with office(tmp_path, people=8) as made:
        for whose in range(1, 9):
            await made.remind(whose, f"thing {whose}", NOW + HOUR)
        made.server.script(
            Fault(method="POST", path_regex=CREATE, status=429, retry_after=2.0, global_=True)
        )
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: 429 in made.tries())
        told = monotonic()
        await asyncio.sleep(0.3)  # what was on its way already
        on_their_way = len(made.tries())
        await until(lambda: len(made.tries()) > on_their_way)
        assert monotonic() - told >= 1.7
        await made.settled(8)
        assert made.tries().count(429) == 1
        assert [made.times(f"thing {whose}") for whose in range(1, 9)] == [1] * 8


async def test_f02_a_ban_at_the_edge_is_waited_out_for_minutes(tmp_path: Path) -> None:
    async with office(tmp_path, people=8) as made:
        for whose in range(1, 9):
            await made.remind(whose, f"thing {whose}", NOW + HOUR)
        made.server.script(
            Fault(method="POST", path_regex=CREATE, status=429, html=True, without_via=True)
        )
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.pulse.failed["limited"] == 1)
        await asyncio.sleep(0.3)
        tried = len(made.tries())
        await asyncio.sleep(1.0)
        assert len(made.tries()) == tried
        assert made.worker is not None
        delivery = made.worker._delivery
        assert delivery._paused_until - monotonic() > 300
        delivery._paused_until = 0.0  # minutes later
        await made.stop()
        await made.start()
        await made.settled(8)
        assert [made.times(f"thing {whose}") for whose in range(1, 9)] == [1] * 8


async def test_f03_each_server_error_makes_exactly_one_message(tmp_path: Path) -> None:
    cases = [(status, created) for status in (500, 502, 503, 504, 524) for created in (True, False)]
    async with office(tmp_path, people=len(cases)) as made:
        for whose, (status, created) in enumerate(cases, 1):
            made.server.script(
                Fault(method="POST", path_regex=to(made, whose), status=status, created=created)
            )
            await made.remind(whose, f"after {status} {created}", NOW + HOUR)
        await made.start()
        await made.due(len(cases))
        times = {case: made.times(f"after {case[0]} {case[1]}") for case in cases}
        assert times == dict.fromkeys(cases, 1)
        assert made.states() == ["sent"] * len(cases)


async def test_f03_after_many_tries_it_is_set_aside_and_the_coach_can_send_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(failing, "_LONGEST_WAIT_S", 0.02)
    async with office(tmp_path) as made:
        made.server.script(Fault(method="POST", path_regex=to(made, 1), status=503, times=None))
        await made.remind(1, "my own matter", NOW + HOUR)
        await made.remind(2, "rinse", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.states(1) == ["failed"])
        await until(lambda: made.times("could not be sent") == 1)  # the coach's notice
        book = await load_book(made.store, made.asker(COACH), made.clock.now(), whole=True)
        (lost,) = book.reminding.unsent
        assert (lost.reason, lost.name, lost.text) == ("unclear", "Bram 1", "")
        made.server.clear_script()
        await made.write(COACH, Resend(debt_ids=(lost.debt_id,)))
        await made.settled(3)
        assert made.times("my own matter") == 1
        assert made.states() == ["sent", "sent"]


async def test_f03_an_outage_for_all_sets_nothing_aside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(failing, "_LONGEST_WAIT_S", 0.02)
    async with office(tmp_path) as made:
        made.server.script(Fault(method="POST", path_regex=CREATE, status=503, times=60))
        await made.remind(1, "rinse", NOW + HOUR)
        await made.remind(2, "trim", NOW + HOUR)
        await made.start()
        await made.due(2)
        assert made.tries().count(503) == 60
        assert (made.times("rinse"), made.times("trim")) == (1, 1)


@pytest.mark.parametrize("how", ["drop", "reset"])
@pytest.mark.parametrize("created", [True, False])
async def test_f04_a_lost_answer_is_asked_for_under_the_same_nonce(
    tmp_path: Path, how: str, created: bool
) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=CREATE, created=created, drop=how == "drop",
                  reset=how == "reset")
        )  # fmt: skip
        await made.remind(1, "rinse", NOW + HOUR)
        await made.start()
        await made.due(1)
        assert made.times("rinse") == 1
        nonces = {
            one["body"]["nonce"]
            for one in made.server.requests
            if one["method"] == "POST" and re.search(CREATE, one["path"])
        }
        assert len(nonces) == 1


@pytest.mark.parametrize("created", [True, False])
async def test_f04_after_ten_minutes_it_looks_before_it_sends(
    tmp_path: Path, created: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=CREATE, created=created, drop=True, times=1)
        )
        await made.remind(1, "rinse", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.pulse.failed["unknown"] == 1)
        await made.kill()
        made.server.forget_nonces()
        monkeypatch.setattr(begun, "_NONCE_S", -1.0)  # ten minutes by the clock that leases go by
        made.clock.step_to(NOW + HOUR + timedelta(minutes=10))
        await made.start()
        await made.settled(1)
        assert made.times("rinse") == 1
        looks = [one for one in made.server.requests if one["method"] == "GET"
                 and "/messages" in one["path"]]  # fmt: skip
        assert looks
        assert made.states() == ["sent"]


async def test_f05_what_was_edited_after_a_failed_try_says_the_new_words(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        made.server.script(Fault(method="POST", path_regex=CREATE, status=503))
        await made.remind(1, "old words", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.pulse.failed["unknown"] == 1)
        change = EditRule(rule_id=await made.rule_id(1, "old words"), text="new words")
        await made.write(1, change)
        await made.settled(1)
        assert (made.times("old words"), made.times("new words")) == (0, 1)


async def test_f05_deleted_before_the_retry_it_counts_as_sent(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=CREATE, created=True, reset=True),
            Fault(method="POST", path_regex=CREATE, status=503),
        )
        await made.remind(1, "rinse", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: len(made.server.messages) == 1)
        (message,) = made.server.board.world.created
        made.server.board.remove(message)
        await made.settled(1)
        assert made.tries()[-1] == 404
        assert made.states() == ["sent"]
        assert len(made.server.messages) == 1


async def test_f06_fifty_closed_doors_are_tried_once_each(tmp_path: Path) -> None:
    async with office(tmp_path, people=50) as made:
        for whose in range(1, 51):
            made.people[whose].close_private()
            await made.remind(whose, f"secret {whose}", NOW + HOUR, rrule="FREQ=DAILY")
            if whose <= 3:
                await made.write(whose, SetMember(setting="room_notes", value=True))
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.states().count("held") == 50)
        await made.settled(3)  # the notes of the three who agreed to them
        notes = [m["content"] for m in made.server.messages]
        assert not any("secret" in note.casefold() for note in notes)
        made.clock.step_to(NOW + timedelta(days=1, hours=2))
        await asyncio.sleep(0.3)
        tried = [status for whose in range(1, 51) for status in made.tries(whose)]
        assert tried == [403] * 50
        made.people[7].open_private()
        await made.write(7, TakeUp())  # written with whatever they ask next
        await made.settled(4)
        assert made.times("secret 7") == 1


async def test_f07_a_room_that_is_gone_waits_and_loses_nothing(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        for number in range(20):
            await made.remind(COACH, f"for all {number:02d}.", NOW + HOUR, room=True)
        made.server.delete_channel(made.guild.room)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.states().count("held") == 20)
        await made.settled(1)  # the coach's notice
        assert made.times("cannot write in the room") == 1
        made.clock.step_to(NOW + timedelta(days=1))
        await asyncio.sleep(0.3)
        assert len(made.server.messages) == 1
        made.server.restore_channel(made.guild.room)
        await made.write(COACH, TakeUp(room=True))
        await until(lambda: made.states() == ["sent"] * 20)
        assert [made.times(f"for all {n:02d}.") for n in range(20)] == [1] * 20


async def test_f08_put_out_it_calls_nobody_and_let_in_again_it_goes_on(tmp_path: Path) -> None:
    async with office(tmp_path, people=20) as made:
        for number in range(100):
            await made.remind(number % 20 + 1, f"thing {number:03d}.", NOW + HOUR)
        async with connected(made.store, made.clock, made.server.token, alone=True):
            await made.server.wait_ready()
            made.server.kick_bot(made.guild)
            await until(lambda: made.rows("SELECT 1 FROM community WHERE left_at NOT NULL") != [])
            asked = len(made.server.requests)
            made.clock.step_to(NOW + HOUR)
            await until(lambda: made.states().count("held") == 100)
            made.clock.step_to(NOW + timedelta(days=1))
            await asyncio.sleep(0.3)
            assert len(made.server.requests) == asked
            made.server.invite_bot(made.guild)
            await until(lambda: made.states() == ["sent"] * 100)
        assert [made.times(f"thing {n:03d}.") for n in range(100)] == [1] * 100
        assert len(made.server.messages) == 20  # five lines each: late ones are folded


async def test_f09_a_void_token_is_tried_once_and_keeps_the_queue(tmp_path: Path) -> None:
    async with office(tmp_path, people=30) as made:
        for whose in range(1, 31):
            await made.remind(whose, f"thing {whose:02d}.", NOW + HOUR)
        made.server.revoke_token()
        await made.start()
        made.clock.step_to(NOW + HOUR)
        assert made.worker is not None
        await asyncio.wait_for(made.worker.revoked.wait(), 10)
        await made.stop()
        assert [one["status"] for one in made.server.requests] == [401]
        with pytest.raises(NotStarted):  # and the process ends: the supervisor's to tell
            async with connected(made.store, made.clock, made.server.token, alone=True) as bot:
                await bot
        made.server.restore_token()
        await made.start()
        await made.settled(30)
        assert [made.times(f"thing {n:02d}.") for n in range(1, 31)] == [1] * 30


async def test_f10_a_gateway_that_never_comes_up_holds_up_no_reminder(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        made.server.withhold_ready()
        await made.remind(1, "rinse", NOW + HOUR)
        async with connected(made.store, made.clock, made.server.token, alone=True):
            made.clock.step_to(NOW + HOUR)
            await made.settled(1)
        assert made.times("rinse") == 1
