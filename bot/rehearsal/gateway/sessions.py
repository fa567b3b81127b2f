"""One session and one websocket of the gateway."""

import asyncio
import json
import secrets
import zlib
from collections import deque

from aiohttp import web

from bot.rehearsal.rules.errors import Json

REPLAY_KEPT = 4096
_dumps = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False).encode


class Closing(Exception):
    """The server ends the connection with this code."""

    def __init__(self, code: int) -> None:
        super().__init__(code)
        self.code = code


class Session:
    """One identified bot session; it outlives its connection so that it can be resumed."""

    def __init__(self, intents: int, shard: tuple[int, int]) -> None:
        self.id = secrets.token_hex(16)
        self.intents = intents
        self.shard = shard
        self.sequence = 0
        self.sent: deque[tuple[int, str]] = deque(maxlen=REPLAY_KEPT)
        self.connection: Connection | None = None

    def covers(self, guild_id: int | None) -> bool:
        """Whether this shard gets the events of the community (private ones go to shard 0)."""
        return (0 if guild_id is None else (guild_id >> 22) % self.shard[1]) == self.shard[0]

    def can_resume(self, after: int) -> bool:
        """Whether everything after this sequence number is still kept."""
        return not self.sent or self.sent[0][0] <= after + 1

    def dispatch_text(self, event: str, data: str) -> None:
        """Number an event, keep it for replay and send it if connected."""
        self.sequence += 1
        text = f'{{"op":0,"t":"{event}","s":{self.sequence},"d":{data}}}'
        self.sent.append((self.sequence, text))
        if self.connection is not None:
            self.connection.send_text(text)

    def dispatch(self, event: str, data: Json) -> None:
        """The same for an object."""
        self.dispatch_text(event, _dumps(data))


class Connection:
    """One websocket. Sending never waits: a task of its own writes what was queued, in order."""

    def __init__(
        self, socket: web.WebSocketResponse, transport: asyncio.Transport | None, *, compress: bool
    ) -> None:
        self.socket = socket
        self.session: Session | None = None
        self._transport = transport
        self._zlib = zlib.compressobj(1) if compress else None
        self._outbox: deque[str] = deque()
        self._wake = asyncio.Event()
        self.close_code: int | None = None

    def send_text(self, text: str) -> None:
        """Queue one message."""
        self._outbox.append(text)
        self._wake.set()

    def send(self, op: int, data: object) -> None:
        """Queue a message that is no event."""
        self.send_text(_dumps({"op": op, "t": None, "s": None, "d": data}))

    def close(self, code: int) -> None:
        """Close with this code once everything queued is written."""
        self.close_code = code
        self._wake.set()

    def drop(self) -> None:
        """Cut the line without a word."""
        if self._transport is not None:
            self._transport.abort()

    async def write(self) -> None:
        """Write until closed."""
        while True:
            await self._wake.wait()
            self._wake.clear()
            while self._outbox:
                await self._write_one(self._outbox.popleft())
            if self.close_code is not None:
                await self.socket.close(code=self.close_code)
                return

    async def _write_one(self, text: str) -> None:
        try:
            if self._zlib is None:
                await self.socket.send_str(text)
            else:
                squeezed = self._zlib.compress(text.encode())
                await self.socket.send_bytes(squeezed + self._zlib.flush(zlib.Z_SYNC_FLUSH))
        except ConnectionError:
            self._outbox.clear()
