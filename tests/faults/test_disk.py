"""F20-F24: the file locked, full, gone, damaged, cut in the middle of a write, or an old one."""

from __future__ import annotations

import asyncio
import os
import random
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from bot.clock import SystemClock
from bot.operate.backup import backup
from bot.operate.check import check
from bot.operate.restore import restore
from bot.records.changes import AddRule, LeaveOut, Resend
from bot.records.reminders import Pattern, Rule
from bot.settings import Settings
from bot.stepping import SetClock
from bot.storage import Store, Unavailable, load_book, migrate
from bot.storage.copying import damage
from tests.faults.office import COACH, HOUR, NOW, Office, fill, locked, office, until

pytestmark = pytest.mark.asyncio
ROOT = Path(__file__).parents[2]
DAY = timedelta(days=1)


def settings_of(made: Office) -> Settings:
    return Settings(data_dir=made.database.parent, database_url=made.url, token="x" * 20)


async def test_f20_a_writer_that_holds_the_file_only_delays(tmp_path: Path) -> None:
    async with office(tmp_path) as made:
        await made.remind(1, "rinse", NOW + HOUR)
        await made.start()
        with closing(sqlite3.connect(made.database, isolation_level=None, timeout=0)) as other:
            await until(lambda: locked(other))
            made.clock.step_to(NOW + HOUR)
            await asyncio.sleep(3.0)
            assert made.server.messages == []
            other.execute("ROLLBACK")
        await made.settled(1)
        assert made.states() == ["sent"]


async def many_more(made: Office) -> None:
    """More than any page still has room for."""
    for number in range(50):
        await made.remind(1, "x" * 190 + str(number), NOW + 2 * HOUR)


async def test_f21_a_full_disk_loses_nothing_and_confirms_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    async with office(tmp_path, people=30) as made:
        for number in range(120):
            await made.remind(number % 30 + 1, f"thing {number:03d}.", NOW + HOUR)
        await fill(made.store, full=True)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: made.pulse.waits == "store")
        with pytest.raises(Unavailable):
            await many_more(made)
        said = len(made.server.messages)
        await asyncio.sleep(0.5)
        assert len(made.server.messages) == said  # nothing is claimed, so nothing is sent
        await fill(made.store, full=False)
        await until(lambda: set(made.states()) == {"sent", "due"} or set(made.states()) == {"sent"})
        assert [made.times(f"thing {n:03d}.") for n in range(120)] == [1] * 120
        assert capsys.readouterr().out.count("reminders wait") == 1
        assert made.pulse.waits == ""


def bot(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    settings = {
        "PYTHONPATH": str(ROOT),
        "TANKWREN_TOKEN": "a.b.c",
        "TANKWREN_DATA_DIR": str(folder),
        "TANKWREN_API_URL": "http://127.0.0.1:9",
    }
    return subprocess.run(
        [sys.executable, "-m", "bot", *words], cwd=folder, env={**os.environ, **settings},
        capture_output=True, text=True, timeout=30, check=False,
    )  # fmt: skip


async def test_f22_a_file_that_is_gone_is_not_made_anew(tmp_path: Path) -> None:
    found = bot(tmp_path, "run")
    assert found.returncode == 2
    assert "tankwren migrate" in found.stderr
    assert not (tmp_path / "tankwren.db").exists()


async def test_f22_a_damaged_file_is_refused_and_kept(tmp_path: Path) -> None:
    async with office(tmp_path, people=40) as made:
        for number in range(400):
            await made.remind(number % 40 + 1, f"thing {number:03d}.", NOW + HOUR)
        await made.store.compact()
        path = made.database
        whole = path.read_bytes()
        await made.store.close()
        broken = bytearray(whole)
        for at in range(len(whole) // 3, len(whole) // 2, 11):
            broken[at] ^= 0xFF
        path.write_bytes(broken)
        for beside in ("-wal", "-shm"):
            path.with_name(path.name + beside).unlink(missing_ok=True)
        found = bot(tmp_path, "run")
        assert found.returncode == 2
        assert "damaged" in found.stderr
        assert "tankwren restore" in found.stderr
        assert path.read_bytes() == bytes(broken)
        text, good = check(settings_of(made), SystemClock())
        assert not good
        assert "wrong  database" in text
        path.write_bytes(whole)


async def test_f23_the_log_cut_anywhere_is_a_state_that_was(tmp_path: Path) -> None:
    """Copies of the file with its log cut at random bytes: whole, a prefix, and run to the end."""
    rng = random.Random(23)
    async with office(tmp_path, people=12) as made:
        await made.store.compact()
        for number in range(48):
            await made.remind(number % 12 + 1, f"thing {number:03d}.", NOW + HOUR)
        await made.start()
        made.clock.step_to(NOW + HOUR)
        await until(lambda: len(made.server.messages) >= 5)
        path = made.database
        cut = tmp_path / "cut"
        cut.mkdir()
        shutil.copy(path, cut / "whole.db")  # the log is in its own file until it is folded in
        log = Path(f"{path}-wal").read_bytes()
        await made.kill()
        for number in range(40):
            at = rng.randrange(len(log))
            copy = cut / f"{number}.db"
            shutil.copy(cut / "whole.db", copy)
            Path(f"{copy}-wal").write_bytes(log[:at])
            assert damage(copy) == ""
            with closing(sqlite3.connect(copy)) as opened:
                rules = opened.execute("SELECT text FROM rule WHERE what = 'note' ORDER BY id")
                texts = [text for (text,) in rules]
            assert texts == [f"thing {n:03d}." for n in range(len(texts))]
            copy.unlink()
        # the worst that can be: all of it after the reminders were written
        await made.store.close()
        end = len(log) - rng.randrange(1, 4096)
        shutil.copy(cut / "whole.db", path)
        Path(f"{path}-shm").unlink(missing_ok=True)
        Path(f"{path}-wal").write_bytes(log[:end])
        made.store = Store(made.url)
        await made.start()
        await until(lambda: made.states() == ["sent"] * 48)
        assert [made.times(f"thing {n:03d}.") for n in range(48)] == [1] * 48


async def test_f24_an_old_copy_sends_nothing_before_the_coach_has_said(tmp_path: Path) -> None:
    """The drill: copied, a day goes by, restored; first the list, then held, then by hand."""
    async with office(tmp_path) as made:
        for whose in (1, 2, 3):
            pattern = Pattern(start_local="2026-05-11T13:00", rrule="FREQ=DAILY")
            await made.write(whose, AddRule(rule=Rule(text=f"daily {whose}", pattern=pattern)))
        await made.remind(1, "once only", NOW + 2 * HOUR)
        await made.start()
        await made.clock.walk_to(NOW)
        said = backup(settings_of(made), made.clock)
        copy = next((tmp_path / "backups").glob("tankwren-*.db"))
        assert str(copy) in said
        assert copy.stat().st_mode & 0o777 == 0o600
        await made.clock.walk_to(NOW + DAY + HOUR + timedelta(minutes=1))
        assert len(made.server.messages) == 7
        await made.stop()
        await made.store.close()
        now = SetClock(made.clock.now() + HOUR)

        before = made.database.read_bytes()
        listed = await asyncio.to_thread(restore, settings_of(made), now, copy, yes=False)
        assert listed.count("Bram") == 4
        assert "Nothing was changed" in listed
        assert "once only" not in listed
        assert made.database.read_bytes() == before
        await asyncio.to_thread(restore, settings_of(made), now, copy, yes=True)
        assert list(tmp_path.glob("tankwren.db.before-restore-*"))

        made.store = Store(made.url)
        made.clock.step_to(now.now())
        await made.start()
        await made.settled(8)  # the coach's notice, and no reminder
        assert made.times("could not be sent") == 1
        assert sorted(made.states()) == ["due"] * 3 + ["failed"] * 4
        book = await load_book(made.store, made.asker(COACH), made.clock.now(), whole=True)
        lost = {one.debt_id: one for one in book.reminding.unsent}
        assert {one.reason for one in lost.values()} == {"restored"}
        first, *others = lost
        await made.write(COACH, Resend(debt_ids=(first,)))
        await made.write(COACH, LeaveOut(debt_ids=tuple(others)))
        await made.settled(9)
        assert sorted(made.states()) == ["due"] * 3 + ["folded"] * 3 + ["sent"]
        await made.clock.walk_to(NOW + 2 * DAY + HOUR)  # and every rule goes on
        assert [made.times(f"daily {whose}") for whose in (1, 2, 3)] >= [3, 3, 3]


async def test_a_copy_is_made_beside_a_bot_at_work_and_copies_expire(tmp_path: Path) -> None:
    url = f"sqlite+aiosqlite:///{tmp_path / 'tankwren.db'}"
    await asyncio.to_thread(migrate, url)
    settings = Settings(data_dir=tmp_path, database_url=url)
    clock = SetClock(NOW)
    backup(settings, clock)
    clock.step_to(NOW + 31 * DAY)
    backup(settings, clock)
    (left,) = (tmp_path / "backups").glob("tankwren-*.db")
    assert left.name == "tankwren-20260611T120000Z.db"
    assert damage(left) == ""
