"""The queue as a machine: whatever happens in whatever order, never two for one, never none."""

from __future__ import annotations

import asyncio
import shutil
import tempfile
from datetime import timedelta
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from bot.demo import saltmarsh
from bot.records.changes import AddRule, EditRule, SetMember, StopRules
from bot.storage import Store, migrate
from tests.bot.reminders.acting import Running, once, standing, until, write
from tests.bot.reminders.platform import FINE, HANGS, HANGS_AFTER, LOST_ANSWER, REFUSED, Platform
from tests.bot.storage.asking import rows

_MADE = Path(tempfile.mkdtemp(prefix="tankwren-machine-"))
_NOTES = "SELECT text, debt.state FROM debt JOIN rule ON rule.id = rule_id WHERE what = 'note'"
_OPEN = "SELECT 1 FROM post WHERE state = 'open'"


def template() -> Path:
    """A migrated file, made once and copied for each run."""
    path = _MADE / "template.db"
    if not path.exists():
        migrate(f"sqlite+aiosqlite:///{path}")
    return path


class Queue(RuleBasedStateMachine):
    @initialize()
    def open(self) -> None:
        self.runner = asyncio.Runner()
        self.folder = Path(tempfile.mkdtemp(dir=_MADE))
        shutil.copy(template(), self.folder / "queue.db")
        self.url = f"sqlite+aiosqlite:///{self.folder / 'queue.db'}"
        self.clock, self.platform = standing(), Platform()
        self.count = 0
        self.stopped: set[int] = set()
        self.running: Running | None = None
        self.store = Store(self.url)
        self.run(saltmarsh.fill(self.store))

    def run(self, doing: object) -> object:
        return self.runner.run(doing)  # type: ignore[arg-type]

    async def _settle(self, seconds: float) -> None:
        """Some real time for the worker; it may be hanging."""
        await asyncio.sleep(seconds)

    @rule(minutes=st.integers(1, 120))
    def add(self, minutes: int) -> None:
        self.count += 1
        at = self.clock.now() + timedelta(minutes=minutes)
        made = once(f"thing {self.count:03d}.", at)
        self.run(write(self.store, self.clock.now(), AddRule(rule=made)))

    @rule(minutes=st.integers(-30, 180))
    def clock_moves(self, minutes: int) -> None:
        self.clock.step_to(self.clock.now() + timedelta(minutes=minutes))
        self.run(self._settle(0.03))

    @rule(what=st.sampled_from([FINE, LOST_ANSWER, REFUSED, HANGS, HANGS_AFTER]))
    def next_send(self, what: str) -> None:
        self.platform.script.append(what)

    @precondition(lambda self: self.running is None)
    @rule()
    def start(self) -> None:
        made = Running(self.store, self.clock, self.platform)
        self.running = self.run(made.start())  # type: ignore[assignment]
        self.run(self._settle(0.03))

    @precondition(lambda self: self.running is not None)
    @rule()
    def crash(self) -> None:
        assert self.running is not None
        self.run(self._killed())

    @precondition(lambda self: self.count > 0)
    @rule(data=st.data(), what=st.sampled_from(["stop", "edit"]))
    def changed(self, data: st.DataObject, what: str) -> None:
        number = data.draw(st.integers(1, self.count))
        if number in self.stopped:
            return
        now = self.clock.now()
        ((rule_id,),) = rows(
            self.url, f"SELECT id FROM rule WHERE text LIKE 'thing {number:03d}.%'"
        )
        if what == "stop":
            self.stopped.add(number)
            self.run(write(self.store, now, StopRules(rule_ids=(int(str(rule_id)),))))
        else:
            text = f"thing {number:03d}. again"
            self.run(write(self.store, now, EditRule(rule_id=int(str(rule_id)), text=text)))

    @rule(name=st.sampled_from(["Europe/Lisbon", "Pacific/Auckland", "America/New_York"]))
    def move(self, name: str) -> None:
        change = SetMember(setting="time_zone", value=name)
        self.run(write(self.store, self.clock.now(), change))

    @invariant()
    def never_two(self) -> None:
        if not hasattr(self, "platform"):
            return
        lines = self.platform.lines()
        for number in range(1, self.count + 1):
            said = sum(f"hing {number:03d}\\." in line or f"hing {number:03d}." in line
                       for line in lines)  # fmt: skip
            assert said <= 1, (number, lines)
        # A member's own words never go anywhere but to them.
        assert all(to.user_id is not None for to, _ in self.platform.messages)

    def teardown(self) -> None:
        if not hasattr(self, "runner"):
            return
        try:
            self.run(self._drained())
            for number in set(range(1, self.count + 1)) - self.stopped:
                assert self.platform.times(f"thing {number:03d}") == 1
            assert {state for _, state in rows(self.url, _NOTES)} <= {"sent", "stopped"}
            assert rows(self.url, _OPEN) == []
        finally:
            self.run(self.store.close())
            self.runner.close()
            shutil.rmtree(self.folder)

    async def _killed(self) -> None:
        """What a dead process held open, the system closes; so does the next one's store."""
        assert self.running is not None
        await self.running.kill()
        self.running = None
        await self.store.close()
        self.store = Store(self.url)

    async def _drained(self) -> None:
        """All faults over, everything due: nothing may be left."""
        if self.running is not None:
            await self._killed()
        self.platform.script.clear()
        self.clock.step_to(self.clock.now() + timedelta(days=3))
        last = await Running(self.store, self.clock, self.platform).start()
        await until(self._empty)
        await last.stop()

    def _empty(self) -> bool:
        states = {state for _, state in rows(self.url, _NOTES)}
        return states <= {"sent", "stopped"} and rows(self.url, _OPEN) == []


TestQueue = Queue.TestCase
TestQueue.settings = settings(
    max_examples=25,
    stateful_step_count=14,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
