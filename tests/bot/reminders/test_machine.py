"""The queue as a machine: whatever happens in whatever order, never two for one, never none."""

from __future__ import annotations

import asyncio
import re
import shutil
import tempfile
from datetime import timedelta
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from bot.demo import saltmarsh
from bot.records.changes import AddRule, EditRule, Resend, SetMember, StopRules, TakeUp
from bot.storage import Store, migrate, present_in
from bot.storage.reminding import begun
from tests.bot.reminders.acting import Running, every, once, standing, until, write
from tests.bot.reminders.platform import (
    FINE,
    FORBIDDEN,
    HANGS,
    HANGS_AFTER,
    LOST_ANSWER,
    REFUSED,
    Platform,
)
from tests.bot.storage.asking import rows

_MADE = Path(tempfile.mkdtemp(prefix="tankwren-machine-"))
_OPEN = "SELECT 1 FROM post WHERE state = 'open'"
_FAILED = "SELECT id FROM debt WHERE state = 'failed'"
_DAILY = (
    "SELECT count(*) FROM debt JOIN rule ON rule.id = rule_id"
    " WHERE text = 'daily thing.' AND debt.state = 'sent'"
)
# The daily one's next day is always still to come.
_NOTES = (
    "SELECT text, debt.state FROM debt JOIN rule ON rule.id = rule_id WHERE what = 'note'"
    " AND NOT (text = 'daily thing.' AND debt.state IN ('due', 'folded'))"
)
_FINAL = {"sent", "stopped"}
_STUCK = {
    "posted by no open post": (
        "SELECT debt.id FROM debt LEFT JOIN post ON post.id = post_id"
        " WHERE debt.state = 'posted' AND coalesce(post.state, '') != 'open'"
    ),
    "open with nothing to say": (
        "SELECT id FROM post WHERE state = 'open' AND NOT note AND lease_until IS NULL"
    ),
    "held for nobody": (
        "SELECT debt.id FROM debt JOIN member ON member.id = debt.member_id"
        " JOIN community ON community.id = member.community_id WHERE debt.state = 'held'"
        " AND NOT closed AND NOT room_held AND left_at IS NULL"
    ),
    "set aside without a reason": ("SELECT id FROM debt WHERE state = 'failed' AND reason IS NULL"),
    "a daily rule that owes nothing": (
        "SELECT rule.id FROM rule WHERE text = 'daily thing.' AND NOT EXISTS (SELECT 1 FROM debt"
        " WHERE rule_id = rule.id AND state IN ('due', 'posted', 'held', 'failed'))"
    ),
}
_NONCE_S = begun._NONCE_S


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
        self.running: list[Running] = []
        self.daily = False
        begun._NONCE_S = _NONCE_S
        self.store = Store(self.url)
        self.run(saltmarsh.fill(self.store))

    def run(self, doing: object) -> object:
        return self.runner.run(doing)  # type: ignore[arg-type]

    def said(self, text: str) -> int:
        """How often it was reminded of; a week's list of what is to come is no reminder."""
        line = re.compile(rf"(\d+\. )?(\*\*)?{text}", re.IGNORECASE)
        return sum(line.match(one) is not None for one in self.platform.lines())

    async def _settle(self, seconds: float) -> None:
        """Some real time for the worker; it may be hanging."""
        await asyncio.sleep(seconds)

    @rule(minutes=st.integers(1, 120), together=st.sampled_from([1, 1, 1, 3, 12]))
    def add(self, minutes: int, together: int) -> None:
        """Several at one moment fold into one message, ten lines at the most."""
        at = self.clock.now() + timedelta(minutes=minutes)
        for _ in range(together):
            if self.count >= 45:
                return
            self.count += 1
            made = once(f"thing {self.count:03d}.", at)
            self.run(write(self.store, self.clock.now(), AddRule(rule=made)))

    @precondition(lambda self: not self.daily)
    @rule(minutes=st.integers(1, 120))
    def add_daily(self, minutes: int) -> None:
        self.daily = True
        made = every("daily thing.", self.clock.now() + timedelta(minutes=minutes), "FREQ=DAILY")
        self.run(write(self.store, self.clock.now(), AddRule(rule=made)))

    @rule(minutes=st.one_of(st.integers(-30, 180), st.just(2 * 24 * 60)))
    def clock_moves(self, minutes: int) -> None:
        self.clock.step_to(self.clock.now() + timedelta(minutes=minutes))
        self.run(self._settle(0.03))

    @rule(what=st.sampled_from([FINE, LOST_ANSWER, REFUSED, HANGS, HANGS_AFTER, FORBIDDEN]))
    def next_send(self, what: str) -> None:
        self.platform.script.append(what)

    @rule()
    def nonces_are_forgotten(self) -> None:
        """Minutes go by, for the platform and for whoever takes a post up."""
        self.platform.nonces.clear()
        begun._NONCE_S = -1.0

    @rule(closed=st.booleans())
    def door(self, closed: bool) -> None:
        self.platform.closed = closed
        if not closed:
            self.run(write(self.store, self.clock.now(), TakeUp()))
            self.run(self._settle(0.03))

    @rule(there=st.booleans())
    def community(self, there: bool) -> None:
        """Put out, or let in again."""
        guilds = {saltmarsh.GUILD_ID} if there else set[int]()
        self.run(present_in(self.store, guilds, self.clock.now()))
        self.run(self._settle(0.03))

    @precondition(lambda self: len(self.running) < 2)
    @rule(alone=st.booleans())
    def start(self, alone: bool) -> None:
        """A second one beside the first is never told that it is alone."""
        made = Running(self.store, self.clock, self.platform)
        self.run(made.start(alone=alone and not self.running))
        self.running.append(made)
        self.run(self._settle(0.03))

    @precondition(lambda self: bool(self.running))
    @rule()
    def crash(self) -> None:
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
        for number in range(1, self.count + 1):
            assert self.said(f"thing {number:03d}") <= 1, (number, self.platform.lines())
        # A member's own words never go anywhere but to them.
        assert all(to.user_id is not None for to, _ in self.platform.messages)

    @invariant()
    def never_stuck(self) -> None:
        """Whatever is not at its end has a next time, or somebody who ends its waiting."""
        if not hasattr(self, "platform"):
            return
        for name, query in _STUCK.items():
            assert rows(self.url, query) == [], name

    def teardown(self) -> None:
        if not hasattr(self, "runner"):
            return
        try:
            self.run(self._drained())
            for number in set(range(1, self.count + 1)) - self.stopped:
                assert self.said(f"thing {number:03d}") == 1, number
            assert {state for _, state in rows(self.url, _NOTES)} <= _FINAL
            assert rows(self.url, _OPEN) == []
            ((sent,),) = rows(self.url, _DAILY)
            assert self.said("daily thing") == sent
        finally:
            begun._NONCE_S = _NONCE_S
            self.run(self.store.close())
            self.runner.close()
            shutil.rmtree(self.folder)

    async def _killed(self) -> None:
        """What a dead process held open, the system closes; so does the next one's store."""
        for one in self.running:
            await one.kill()
        self.running.clear()
        await self.store.close()
        self.store = Store(self.url)

    async def _drained(self) -> None:
        """All faults over, everything due, what was set aside sent again: nothing may be left."""
        await self._killed()
        self.platform.script.clear()
        self.platform.closed = False
        now = self.clock.now() + timedelta(days=3)
        self.clock.step_to(now)
        await present_in(self.store, {saltmarsh.GUILD_ID}, now)
        failed = [int(str(one)) for (one,) in rows(self.url, _FAILED)]
        if self.count or self.daily:
            await write(self.store, now, TakeUp(), Resend(debt_ids=tuple(failed)))
        last = await Running(self.store, self.clock, self.platform).start()
        await until(self._empty)
        await last.stop()

    def _empty(self) -> bool:
        states = {state for _, state in rows(self.url, _NOTES)}
        return states <= _FINAL and rows(self.url, _OPEN) == []


TestQueue = Queue.TestCase
TestQueue.settings = settings(
    max_examples=30,
    stateful_step_count=20,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
