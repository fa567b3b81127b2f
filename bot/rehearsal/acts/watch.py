"""Waiting for what a person sees, until the bot has settled."""

import asyncio

from bot.rehearsal.acts.seen import Seen
from bot.rehearsal.world import Account, Message


class Watch:
    """What one person sees from one act of theirs on."""

    def __init__(self, person: Account, interaction_id: int | None) -> None:
        self.person = person
        self.interaction_id = interaction_id
        self.seen: list[Seen] = []
        self.answered = False
        self.pending = False
        self.acknowledged_at: float | None = None
        self.changed = asyncio.Event()
        self.last_change = 0.0

    def touch(self) -> None:
        """Something happened; the quiet time starts anew."""
        self.last_change = asyncio.get_running_loop().time()
        self.changed.set()

    def add(self, seen: Seen, *, answers: bool = True) -> None:
        """The person sees one more thing; a post beside it does not answer a press."""
        self.seen.append(seen)
        if answers:
            self.answered = True
            self.acknowledged_at = None
        self.touch()

    def acknowledge(self) -> None:
        """The bot only said that it saw the press; an edit may follow or not."""
        self.answered = True
        self.acknowledged_at = asyncio.get_running_loop().time()
        self.touch()

    def settled(self, moment: float, patience_s: float) -> bool:
        """Nothing is owed: an answer came, and nothing is deferred."""
        if not self.answered or self.pending:
            return False
        return self.acknowledged_at is None or moment >= self.acknowledged_at + patience_s

    async def wait(self, timeout_s: float, *, grace_s: float, patience_s: float) -> None:
        """Return when the bot has settled and stayed quiet, or the time is up."""
        loop = asyncio.get_running_loop()
        deadline = loop.time() + timeout_s
        while True:
            moment = loop.time()
            until = deadline
            if self.settled(moment, patience_s):
                until = min(deadline, self.last_change + grace_s)
            elif self.answered and not self.pending and self.acknowledged_at is not None:
                until = min(deadline, self.acknowledged_at + patience_s)
            if until <= moment and (until >= deadline or self.settled(moment, patience_s)):
                return
            self.changed.clear()
            try:
                async with asyncio.timeout(max(until - moment, 0.0)):
                    await self.changed.wait()
            except TimeoutError:
                continue


class Audience:
    """The watches under way; the server tells them what became visible."""

    def __init__(self) -> None:
        self.watches: list[Watch] = []
        self.changes = 0
        self._changed = asyncio.Event()

    def stir(self) -> None:
        """Something visible changed somewhere; a page that follows may look again."""
        self.changes += 1
        self._changed.set()

    async def wait_change(self, after: int, timeout_s: float) -> int:
        """The number of changes so far, as soon as it is above `after` or the time is up."""
        try:
            async with asyncio.timeout(timeout_s):
                while self.changes <= after:
                    self._changed.clear()
                    await self._changed.wait()
        except TimeoutError:
            pass
        return self.changes

    def of(self, interaction_id: int) -> Watch | None:
        """The watch of this interaction."""
        for watch in self.watches:
            if watch.interaction_id == interaction_id:
                return watch
        return None

    def for_message(self, message: Message, cause: int | None) -> list[Watch]:
        """The watches to which this message belongs.

        `cause` is the interaction that made or changed it. Without one it belongs to everybody
        who can see it, unless it replies to somebody else.
        """
        found = []
        for watch in self.watches:
            if cause is not None:
                if watch.interaction_id == cause:
                    found.append(watch)
                continue
            if message.hidden_for not in (None, watch.person):
                continue
            if not message.channel.seen_by(watch.person):
                continue
            target = message.reply_to
            if target is None or target.author["id"] == str(watch.person.id):
                found.append(watch)
        return found
