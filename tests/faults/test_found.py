"""What a reviewer found by attacking the engine, each as a test."""

from __future__ import annotations

import asyncio
import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import update

from bot.app.serving import connected
from bot.errors import NotStarted
from bot.operate.backup import backup
from bot.operate.locking import not_lost
from bot.operate.restore import restore
from bot.records.changes import (
    CloseDebt,
    ForgetMe,
    LeaveOut,
    Postpone,
    Resend,
    StopRules,
    TakeUp,
)
from bot.records.reminders import Owed
from bot.rehearsal import Fault
from bot.settings import Settings
from bot.stepping import SetClock
from bot.storage import Store, forget_left, load_book, migrate, present_in
from bot.storage.copying import damage
from bot.storage.models import rule
from bot.storage.reminding.debts import write_owed
from tests.faults.office import COACH, HOUR, NOW, Office, office, until

pytestmark = pytest.mark.asyncio
DAY = timedelta(days=1)
ROOT = Path(__file__).parents[2]


def settings_of(made: Office) -> Settings:
    return Settings(data_dir=made.database.parent, database_url=made.url, token="x" * 20)


def private(made: Office, whose: int) -> str:
    return rf"/{made.people[whose].private.id}/messages$"


async def copied(made: Office) -> Path:
    """A copy as of now."""
    await asyncio.to_thread(backup, settings_of(made), made.clock)
    return max((made.database.parent / "backups").glob("*.db"))


async def restored(made: Office, copy: Path, after: timedelta = HOUR) -> str:
    """With the bot stopped; it is opened again after."""
    await made.stop()
    await made.store.close()
    now = SetClock(made.clock.now() + after)
    said = await asyncio.to_thread(restore, settings_of(made), now, copy, yes=True)
    made.store = Store(made.url)
    return said


CUT = """
import os, signal, sys
from datetime import UTC, datetime
from pathlib import Path
from bot.operate.restore import restore
module = sys.modules["bot.operate.restore"]
from bot.settings import Settings
from bot.stepping import SetClock
real = getattr(module, sys.argv[3])
def cut(*given, **named):
    if sys.argv[3] == "copy_to" and "whole" not in str(given[1]):
        return real(*given, **named)
    os.kill(os.getpid(), signal.SIGKILL)
async def cut_later(*given, **named):
    await real(*given, **named)
    os.kill(os.getpid(), signal.SIGKILL)
setattr(module, sys.argv[3], cut_later if sys.argv[3] == "hold_doubted" else cut)
folder, copy = Path(sys.argv[1]), Path(sys.argv[2])
url = f"sqlite+aiosqlite:///{folder / 'tankwren.db'}"
clock = SetClock(datetime(2026, 5, 12, 12, tzinfo=UTC))
restore(Settings(data_dir=folder, database_url=url), clock, copy, yes=True)
"""


@pytest.mark.parametrize("where", ["hold_doubted", "copy_to", "swap"])
async def test_a_restore_cut_short_leaves_the_old_file_and_spoils_no_later_one(
    tmp_path: Path, where: str
) -> None:
    async with office(tmp_path, people=10) as made:
        for whose in range(1, 11):
            await made.remind(whose, f"thing {whose}", NOW + 2 * HOUR)
        copy = await copied(made)
        for whose in range(1, 11):
            await made.remind(whose, f"later {whose}", NOW + 2 * HOUR)
        await made.store.close()
        cut = await asyncio.to_thread(
            subprocess.run,
            [sys.executable, "-c", CUT, str(tmp_path), str(copy), where],
            env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, check=False,
        )  # fmt: skip
        assert cut.returncode == -signal.SIGKILL, cut.stderr
        assert damage(made.database) == ""
        assert len(made.states()) == 20
        await restored(made, copy)
        assert damage(made.database) == ""
        assert len(made.states()) == 10
        assert list(tmp_path.glob("*.restoring*")) == []


async def test_restored_twice_nothing_is_sent_twice(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(3, "first", NOW + timedelta(minutes=1))
        for whose in (1, 2):
            await made.remind(whose, f"daily {whose}", NOW + HOUR, rrule="FREQ=DAILY")
        await made.start()
        await made.clock.walk_to(NOW + timedelta(minutes=2))
        copy = await copied(made)
        await made.clock.walk_to(NOW + DAY + 2 * HOUR)
        assert len(made.server.messages) == 5
        await restored(made, copy)
        await restored(made, copy, 2 * HOUR)
        made.clock.step_to(made.clock.now() + 2 * HOUR)
        await made.start()
        await made.settled(6)  # and the coach's notice
        assert (made.times("daily 1"), made.times("daily 2")) == (2, 2)


async def test_sent_and_not_settled_before_a_restore_it_is_held(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "first", NOW + timedelta(minutes=1))
        await made.remind(2, "second", NOW + HOUR)
        await made.start()
        await made.clock.walk_to(NOW + timedelta(minutes=2))
        copy = await copied(made)
        made.server.script(
            Fault(method="POST", path_regex=private(made, 2), created=True, delay_s=3)
        )
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.times("second") == 1)
        await made.kill()
        await restored(made, copy)
        made.clock.step_to(NOW + 3 * HOUR)
        await made.start()
        await made.settled(3)  # and the coach's notice
        assert made.times("second") == 1


@pytest.mark.parametrize("wreck", ["empty", "text", "gone", "old schema"])
async def test_a_restore_works_when_it_is_needed(tmp_path: Path, wreck: str) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "thing", NOW + HOUR)
        async with made.store.write() as connection:
            await connection.execute(update(rule).values(zone="No/Where"))
        copy = await copied(made)
        await made.store.close()
        path = made.database
        for beside in ("-wal", "-shm"):
            path.with_name(path.name + beside).unlink(missing_ok=True)
        if wreck == "gone":
            path.unlink()
            with pytest.raises(NotStarted) as refused:
                not_lost(settings_of(made))
            assert refused.value.word == "operator.lost"
        elif wreck == "old schema":
            path.unlink()
            with closing(sqlite3.connect(path)) as old:
                old.execute("CREATE TABLE alembic_version (version_num TEXT)")
                old.execute("INSERT INTO alembic_version VALUES ('0002')")
                old.commit()
        else:
            path.write_bytes(b"" if wreck == "empty" else b"no database " * 400)
        said = await restored(made, copy)
        assert "is the copy now" in said
        assert made.states() == ["failed"] or made.states() == ["due"]


async def test_who_was_forgotten_since_is_forgotten_in_the_copy(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "thing", NOW + HOUR)
        copy = await copied(made)
        await made.write(1, ForgetMe())
        await restored(made, copy)
        assert made.rows(f"SELECT 1 FROM member WHERE user_id = {made.people[1].id}") == []
        assert made.states() == []


async def test_put_out_while_it_was_off_it_goes_on_when_it_is_back(tmp_path: Path) -> None:
    async with office(tmp_path, people=5) as made:
        for whose in range(1, 6):
            await made.remind(whose, f"thing {whose}", NOW + HOUR)
        await made.remind(COACH, "for all", NOW + HOUR, room=True)
        made.server.kick_bot(made.guild)
        made.clock.step_to(NOW + HOUR)
        async with connected(made.store, made.clock, made.server.token, alone=True):
            await until(lambda: made.rows("SELECT 1 FROM community WHERE left_at NOT NULL") != [])
            await until(lambda: made.states() == ["held"] * 6)
            made.server.invite_bot(made.guild)
            await until(lambda: made.states() == ["sent"] * 6)
        assert [made.times(f"thing {whose}") for whose in range(1, 6)] == [1] * 5
        assert made.times("for all") == 1


async def test_out_and_in_again_at_once_it_is_in(tmp_path: Path) -> None:
    async with (
        office(tmp_path) as made,
        connected(made.store, made.clock, made.server.token, alone=True),
    ):
        await made.server.wait_ready()
        for wait_s in (0.0, 0.002, 0.004, 0.008, 0.0, 0.003):
            made.server.kick_bot(made.guild)
            await asyncio.sleep(wait_s)
            made.server.invite_bot(made.guild)
        await asyncio.sleep(0.5)
        await until(lambda: made.rows("SELECT 1 FROM community WHERE left_at NOT NULL") == [])


async def test_left_for_thirty_days_everything_of_it_is_gone(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "thing", NOW + HOUR)
        await present_in(made.store, set(), NOW)
        await forget_left(made.store, NOW + 29 * DAY)
        assert made.states() == ["due"]
        await forget_left(made.store, NOW + 31 * DAY)
        tables = [
            str(name)
            for (name,) in made.rows("SELECT name FROM sqlite_master WHERE type = 'table'")
            if name not in ("alembic_version", "meta", "seen_interaction")
        ]
        left = {name: made.rows(f"SELECT count(*) FROM {name}")[0][0] for name in tables}
        assert len(left) > 15
        assert set(left.values()) == {0}, left


@pytest.mark.parametrize("room", [True, False])
async def test_unclear_and_then_refused_it_is_not_sent_a_second_time(
    tmp_path: Path, room: bool
) -> None:
    async with office(tmp_path) as made:
        whose = COACH if room else 1
        made.server.script(Fault(method="POST", path_regex="/messages$", drop=True, created=True))
        await made.remind(whose, "thing", NOW + HOUR, room=room)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.times("thing") == 1)
        if room:
            made.server.refuse_channel(made.guild.room, 50013)
        else:
            made.people[1].close_private()
        await until(lambda: made.states() == ["failed"])
        made.server.refuse_channel(made.guild.room, None)
        made.people[1].open_private()
        await made.write(whose, TakeUp(room=room))
        await asyncio.sleep(0.5)
        assert made.times("thing") == 1
        book = await load_book(made.store, made.asker(whose), made.clock.now(), whole=True)
        assert [one.reason for one in book.reminding.unsent] == ["unclear"]


async def test_a_fact_left_out_stays_so(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        owed = [Owed(what="refill", key="refill:1:1", due=NOW, again=True)]
        ((number,),) = made.rows(f"SELECT id FROM member WHERE user_id = {made.people[1].id}")
        async with made.store.write() as connection:
            await write_owed(connection, int(str(number)), owed, NOW)
        ((one,),) = made.rows("SELECT id FROM debt WHERE key = 'refill:1:1'")
        state = f"SELECT state FROM debt WHERE id = {one}"
        async with made.store.write() as connection:
            await connection.exec_driver_sql(
                f"UPDATE debt SET state = 'failed', reason = 'restored' WHERE id = {one}"
            )
        await made.write(1, LeaveOut(debt_ids=(int(str(one)),)))
        async with made.store.write() as connection:
            await write_owed(connection, int(str(number)), owed, NOW)
        assert made.rows(state) == [("folded",)]


async def test_a_second_refusal_is_told_as_well(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=private(made, 1), status=400, code=50035, times=2)
        )
        await made.remind(1, "thing", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await made.settled(1)
        ((one,),) = made.rows("SELECT id FROM debt WHERE state = 'failed'")
        await made.clock.walk_to(NOW + 5 * HOUR)
        await made.write(COACH, Resend(debt_ids=(int(str(one)),)))
        await made.settled(2)
        assert made.times("could not be sent") == 2


@pytest.mark.parametrize("how", ["stopped", "done", "later"])
async def test_what_is_set_aside_can_still_be_stopped_done_or_put_off(
    tmp_path: Path, how: str
) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=private(made, 1), status=400, code=50035)
        )
        await made.remind(1, "thing", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await made.settled(1)
        ((found,),) = made.rows("SELECT id FROM debt WHERE state = 'failed'")
        one = int(str(found))
        if how == "stopped":
            await made.write(1, StopRules(rule_ids=(await made.rule_id(1, "thing"),)))
        if how == "done":
            await made.write(1, CloseDebt(debt_id=one))
        if how == "later":
            await made.write(1, Postpone(debt_ids=(one,), until=NOW + 3 * HOUR))
        await made.write(COACH, Resend(debt_ids=(one,)))
        await made.clock.walk_to(NOW + 4 * HOUR)
        assert made.times("thing") == (1 if how == "later" else 0)


async def test_one_refused_line_of_five_keeps_back_no_other(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        for number in range(5):
            await made.remind(1, f"thing {number}", NOW + HOUR)
        made.server.script(
            Fault(method="POST", path_regex=private(made, 1), status=400, code=200000, times=2)
        )
        await made.start()
        await made.due(5)  # four of them, and the coach's notice
        assert sorted(made.states()) == ["failed"] + ["sent"] * 4


async def test_a_daily_one_sent_again_says_nothing_of_days_that_came(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with office(tmp_path) as made:
        made.server.script(
            Fault(method="POST", path_regex=private(made, 1), status=400, code=50035)
        )
        await made.remind(1, "thing", NOW + HOUR, rrule="FREQ=DAILY")
        await made.start()
        await made.clock.walk_to(NOW + 3 * DAY)
        ((one,),) = made.rows("SELECT id FROM debt WHERE state = 'failed'")
        await made.write(COACH, Resend(debt_ids=(int(str(one)),)))
        await made.settled(4)
        assert made.times("thing") == 3
        assert made.times("more came due") == 0


async def test_a_clock_that_was_never_set_does_not_count_as_life(tmp_path: Path) -> None:
    async with office(tmp_path, now=NOW - 3650 * DAY) as made:
        await made.start()
        await made.clock.walk_to(NOW - 3650 * DAY + HOUR)
        await made.stop()
        made.clock.step_to(NOW)
        await made.remind(1, "thing", NOW + HOUR)
        await made.start()
        await made.due(1)
        assert made.times("thing") == 1


async def test_copies_go_only_by_a_clock_that_can_be_believed(tmp_path: Path) -> None:
    url = f"sqlite+aiosqlite:///{tmp_path / 'tankwren.db'}"
    await asyncio.to_thread(migrate, url)
    settings = Settings(data_dir=tmp_path, database_url=url)
    for day in (0, 1, 2, 3650):
        backup(settings, SetClock(NOW + day * DAY))
    assert len(list((tmp_path / "backups").glob("*.db"))) == 4
    backup(settings, SetClock(NOW + 32 * DAY))
    assert len(list((tmp_path / "backups").glob("*.db"))) == 3
