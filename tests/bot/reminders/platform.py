"""A chat platform for the worker's tests: remembers nonces, and goes wrong when it is told to."""

from __future__ import annotations

import asyncio
from collections import deque
from dataclasses import dataclass, field
from datetime import datetime

from bot.records.reminders import Body, Failed, Recipient, Sent

# What may happen to one send: whether the message is made, and what the sender hears of it.
FINE, LOST_ANSWER, REFUSED, HANGS, HANGS_AFTER = "fine", "lost answer", "refused", "hangs", "after"
FORBIDDEN = "forbidden"  # these words, for ever


@dataclass(slots=True)
class Platform:
    """messages: every one that was created. script: what happens to the next sends."""

    messages: list[tuple[Recipient, Body]] = field(default_factory=list)
    script: deque[str] = field(default_factory=deque)
    nonces: dict[str, Sent] = field(default_factory=dict)
    sends: int = 0
    fails: Failed | None = None
    looks: int = 0
    closed: bool = False

    async def open(self, to: Recipient) -> int | Failed:
        if self.fails is not None and self.fails.why == "revoked":
            self.sends += 1
            return self.fails
        return 1000 + to.member_id

    async def send(self, to: Recipient, body: Body, nonce: str) -> Sent | Failed:
        self.sends += 1
        what = self.script.popleft() if self.script else FINE
        if self.fails is not None:
            return self.fails
        if self.closed and to.user_id is not None:
            return Failed(why="closed", code=50007)
        if what == FORBIDDEN:
            return Failed(why="rejected", code=50035)
        if what == HANGS:
            await asyncio.Event().wait()
        if what == REFUSED:
            return Failed(why="unknown", wait_s=0.01)
        sent = self._create(to, body, nonce)
        if what == HANGS_AFTER:
            await asyncio.Event().wait()
        return Failed(why="unknown", wait_s=0.01) if what == LOST_ANSWER else sent

    def _create(self, to: Recipient, body: Body, nonce: str) -> Sent:
        if nonce not in self.nonces:
            self.messages.append((to, body))
            channel = to.channel_id or 1000 + to.member_id
            self.nonces[nonce] = Sent(message_id=len(self.messages), channel_id=channel)
        return self.nonces[nonce]

    async def find(self, to: Recipient, body: Body, since: datetime) -> Sent | Failed | None:
        self.looks += 1
        for number, (_, there) in enumerate(self.messages, 1):
            if there.buttons == body.buttons and there.content == body.content:
                return Sent(message_id=number, channel_id=to.channel_id or 1)
        return None

    def lines(self) -> list[str]:
        """Every line of every message that stands there."""
        return [line for _, body in self.messages for line in body.content.splitlines()]

    def times(self, text: str) -> int:
        """How often something was said."""
        return sum(text.casefold() in line.casefold() for line in self.lines())
