"""The gateway: who may connect, which events go to whom, replay after a drop."""

import asyncio
import json
from collections import deque
from collections.abc import Callable
from typing import Any

from aiohttp import WSMsgType, web

from bot.rehearsal.gateway.sessions import Closing, Connection, Session
from bot.rehearsal.payloads import Payloads
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import Guild, World

GUILDS, MEMBERS, PRESENCES, GUILD_MESSAGES, DIRECT_MESSAGES, CONTENT = (
    1 << 0,
    1 << 1,
    1 << 8,
    1 << 9,
    1 << 12,
    1 << 15,
)
PRIVILEGED = MEMBERS | PRESENCES | CONTENT
ALL_INTENTS = (1 << 26) - 1
EVENTS_PER_MINUTE = 120
_dumps = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False).encode


class Gateway:
    """All sessions and connections, and the faults that can be asked of them."""

    def __init__(self, world: World, payloads: Payloads, *, heartbeat_s: float) -> None:
        self._world = world
        self._payloads = payloads
        self.heartbeat_s = heartbeat_s
        self.url = ""
        self.token_valid: Callable[[str], bool] = lambda token: False
        self.allowed_intents = ALL_INTENTS & ~PRIVILEGED
        self.sessions: dict[str, Session] = {}
        self.connections: set[Connection] = set()
        self.ready = asyncio.Event()
        self.identifies = 0
        self.resumes = 0
        self.refusals = 0
        self.withhold_ready = False
        self.close_on_identify: deque[int] = deque()

    async def handle(self, request: web.BaseRequest) -> web.StreamResponse:
        """Serve one websocket from HELLO to its end."""
        if self.refusals > 0:
            self.refusals -= 1
            return web.Response(text="no gateway here")
        socket = web.WebSocketResponse(compress=False, max_msg_size=2**20)
        if not socket.can_prepare(request).ok:
            return web.Response(status=400, text="a websocket is needed")
        await socket.prepare(request)
        compress = request.query.get("compress") == "zlib-stream"
        connection = Connection(socket, request.transport, compress=compress)
        self.connections.add(connection)
        writer = asyncio.create_task(connection.write())
        try:
            connection.send(10, {"heartbeat_interval": int(self.heartbeat_s * 1000)})
            await self._listen(connection)
        except Closing as closing:
            connection.close(closing.code)
            await writer
        finally:
            self.connections.discard(connection)
            self._part(connection)
            writer.cancel()
            await asyncio.gather(writer, return_exceptions=True)
        return socket

    def _part(self, connection: Connection) -> None:
        session = connection.session
        if session is None or session.connection is not connection:
            return
        session.connection = None
        # the platform ends a session that its client closes in peace
        if connection.close_code is None and connection.socket.close_code in (1000, 1001):
            self.sessions.pop(session.id, None)
        if not any(other.connection for other in self.sessions.values()):
            self.ready.clear()

    async def _listen(self, connection: Connection) -> None:
        loop = asyncio.get_running_loop()
        last_beat = loop.time()
        received: deque[float] = deque(maxlen=EVENTS_PER_MINUTE)
        while True:
            try:
                async with asyncio.timeout_at(last_beat + self.heartbeat_s * 1.5):
                    message = await connection.socket.receive()
            except TimeoutError:
                raise Closing(4009) from None
            if message.type is not WSMsgType.TEXT:
                if message.type is WSMsgType.BINARY:
                    raise Closing(4002)
                return
            moment = loop.time()
            if len(received) == EVENTS_PER_MINUTE and moment - received[0] < 60:
                raise Closing(4008)
            received.append(moment)
            op, data = _decode(message.data)
            if op == 1:
                last_beat = moment
                connection.send(11, None)
            else:
                self._obey(connection, op, data)

    def _obey(self, connection: Connection, op: int, data: Any) -> None:
        if op == 2:
            self._identify(connection, data if isinstance(data, dict) else {})
        elif op == 6:
            self._resume(connection, data if isinstance(data, dict) else {})
        elif connection.session is None:
            raise Closing(4003)
        elif op == 8:
            self._members(connection.session, data if isinstance(data, dict) else {})
        elif op not in (3, 4, 31):
            raise Closing(4001)

    def _identify(self, connection: Connection, data: Json) -> None:
        if connection.session is not None:
            raise Closing(4005)
        if self.close_on_identify:
            raise Closing(self.close_on_identify.popleft())
        if not self.token_valid(str(data.get("token"))):
            raise Closing(4004)
        intents = data.get("intents")
        if type(intents) is not int or intents & ~ALL_INTENTS:
            raise Closing(4013)
        if intents & ~self.allowed_intents:
            raise Closing(4014)
        number, count = data.get("shard") or (0, 1)
        if not 0 <= number < count:
            raise Closing(4010)
        # a session that nobody is connected to would only gather events
        self.sessions = {k: s for k, s in self.sessions.items() if s.connection is not None}
        self.identifies += 1
        session = Session(intents, (number, count))
        if self.withhold_ready:
            return
        self.sessions[session.id] = session
        session.connection, connection.session = connection, session
        session.dispatch("READY", self._ready(session))
        if intents & GUILDS:
            for guild in self._guilds(session):
                session.dispatch("GUILD_CREATE", self._payloads.guild(guild))
        self.ready.set()

    def _guilds(self, session: Session) -> list[Guild]:
        return [g for g in self._world.guilds.values() if g.bot_present and session.covers(g.id)]

    def _ready(self, session: Session) -> Json:
        return {
            "v": 10,
            "user": self._payloads.bot(),
            "guilds": [{"id": str(g.id), "unavailable": True} for g in self._guilds(session)],
            "session_id": session.id,
            "resume_gateway_url": self.url,
            "shard": list(session.shard),
            "private_channels": [],
            "application": {"id": str(self._world.bot_id), "flags": 0},
        }

    def _resume(self, connection: Connection, data: Json) -> None:
        if not self.token_valid(str(data.get("token"))):
            raise Closing(4004)
        session = self.sessions.get(str(data.get("session_id")))
        after = data.get("seq")
        if type(after) is not int or session is None or not session.can_resume(after):
            connection.send(9, False)
            return
        if after > session.sequence:
            raise Closing(4007)
        if session.connection is not None:
            session.connection.close(4000)
        session.connection, connection.session = connection, session
        self.resumes += 1
        for sequence, text in session.sent:
            if sequence > after:
                connection.send_text(text)
        session.dispatch("RESUMED", {})
        self.ready.set()

    def _members(self, session: Session, data: Json) -> None:
        guild = self._world.guilds.get(int(data.get("guild_id") or 0))
        if guild is None:
            return
        wanted = {str(identity) for identity in data.get("user_ids") or []}
        query = str(data.get("query") or "").lower()
        people = [
            person
            for person in guild.people
            if str(person.id) in wanted or (query and person.name.lower().startswith(query))
        ]
        chunk: Json = {
            "guild_id": str(guild.id),
            "members": [self._payloads.member(guild, person) for person in people],
            "chunk_index": 0,
            "chunk_count": 1,
            "not_found": [],
        }
        if data.get("nonce"):
            chunk["nonce"] = data["nonce"]
        session.dispatch("GUILD_MEMBERS_CHUNK", chunk)

    def dispatch(
        self, event: str, data: Json, guild: Guild | None, intent: int = 0, without: int = 0
    ) -> int:
        """Send an event to every session that may have it; returns to how many it went.

        The session must have all of `intent` and nothing of `without`.
        """
        return self.dispatch_text(event, _dumps(data), guild, intent, without)

    def dispatch_text(
        self, event: str, text: str, guild: Guild | None, intent: int = 0, without: int = 0
    ) -> int:
        """The same for an object that is already JSON text."""
        if guild is not None and not guild.bot_present:
            return 0
        guild_id = None if guild is None else guild.id
        reached = 0
        for session in self.sessions.values():
            wanted = session.intents & intent == intent and not session.intents & without
            if wanted and session.covers(guild_id):
                session.dispatch_text(event, text)
                reached += 1
        return reached

    def send_all(self, op: int, data: object) -> None:
        """A message that is no event, to every connection."""
        for connection in self.connections:
            connection.send(op, data)

    def close_all(self, code: int) -> None:
        """Close every connection with this code; sessions live on."""
        for connection in self.connections:
            connection.close(code)

    def drop_all(self) -> None:
        """Cut every connection; sessions live on."""
        for connection in self.connections:
            connection.drop()

    def invalidate_all(self, *, resumable: bool) -> None:
        """INVALID_SESSION to every connection; unless resumable, the sessions end."""
        if not resumable:
            self.sessions.clear()
        self.send_all(9, resumable)


def _decode(text: str) -> tuple[int, Any]:
    try:
        message = json.loads(text)
        return int(message["op"]), message.get("d")
    except (ValueError, KeyError, TypeError):
        raise Closing(4002) from None
