"""Interactions under way: their tokens, their windows and what was answered."""

import asyncio
import json
import secrets
import time
from collections import deque
from dataclasses import dataclass, field

from bot.rehearsal.payloads import Payloads
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import MEMBER_PERMISSIONS, Account, Channel, Message, World

COMMAND, COMPONENT, COMPLETION, FORM = 2, 3, 4, 5
ANSWER_S, TOKEN_S = 3.0, 15 * 60.0
ATTACHMENT_LIMIT = 10 * 2**20
_dumps = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False).encode


@dataclass(slots=True, eq=False, kw_only=True)
class Prepared:
    """An interaction ready to be fired: all of its payload but id and token, as JSON text."""

    kind: int
    person: Account
    channel: Channel
    payload: str
    source: Message | None = None
    description: Json = field(default_factory=dict)


@dataclass(slots=True, eq=False, kw_only=True)
class Interaction:
    """One interaction and how it was answered (callback type, None while it was not)."""

    id: int
    token: str
    prepared: Prepared
    begun: float
    callback: int | None = None
    original: Message | None = None
    choices: list[Json] = field(default_factory=list)
    form: Json | None = None
    silent: bool = False
    answered: "asyncio.Future[None] | None" = None

    @property
    def late(self) -> bool:
        """Whether the time for the first answer is over."""
        return self.silent or time.monotonic() - self.begun > ANSWER_S

    @property
    def void(self) -> bool:
        """Whether the token has expired."""
        return time.monotonic() - self.begun > TOKEN_S


class Interactions:
    """Makes interactions and finds them again by id or token."""

    def __init__(self, world: World, payloads: Payloads) -> None:
        self._world = world
        self._payloads = payloads
        self.by_id: dict[int, Interaction] = {}
        self.by_token: dict[str, Interaction] = {}
        self._order: deque[Interaction] = deque()
        self._salt = secrets.token_hex(8)

    def prepare(
        self,
        kind: int,
        person: Account,
        channel: Channel,
        data: Json,
        source: Message | None = None,
    ) -> Prepared:
        """Make the payload once; it can be fired many times."""
        body: Json = {
            "application_id": str(self._world.bot_id),
            "type": kind,
            "data": data,
            "channel_id": str(channel.id),
            "channel": self._payloads.channel(channel),
            "version": 1,
            "app_permissions": str(
                MEMBER_PERMISSIONS if channel.guild is None else channel.guild.bot_permissions
            ),
            "locale": person.locale,
            "entitlements": [],
            "attachment_size_limit": ATTACHMENT_LIMIT,
            **self._place(person, channel),
        }
        if source is not None:
            body["message"] = self._payloads.message(source)
        text = _dumps(body)[1:]
        return Prepared(
            kind=kind,
            person=person,
            channel=channel,
            payload=text,
            source=source,
            description={"type": kind, "user": self._payloads.user(person)},
        )

    def _place(self, person: Account, channel: Channel) -> Json:
        guild = channel.guild
        if guild is None:
            return {
                "user": self._payloads.user(person),
                "context": 1,
                "authorizing_integration_owners": {"0": "0"},
            }
        permissions = str(person.permissions())
        return {
            "guild_id": str(guild.id),
            "guild": {"id": str(guild.id), "locale": "en-US", "features": []},
            "guild_locale": "en-US",
            "member": {**self._payloads.member(guild, person), "permissions": permissions},
            "context": 0,
            "authorizing_integration_owners": {"0": str(guild.id)},
        }

    def begin(self, prepared: Prepared) -> tuple[Interaction, str]:
        """A new interaction, and its payload as JSON text."""
        identity = self._world.snowflakes.next()
        token = f"{self._salt}{identity:x}"
        interaction = Interaction(
            id=identity, token=token, prepared=prepared, begun=time.monotonic()
        )
        self.by_id[identity] = self.by_token[token] = interaction
        self._order.append(interaction)
        self._forget(interaction.begun)
        return interaction, f'{{"id":"{identity}","token":"{token}",{prepared.payload}'

    def forget_all(self) -> None:
        """Forget every interaction."""
        self.by_id.clear()
        self.by_token.clear()
        self._order.clear()

    def _forget(self, moment: float) -> None:
        # kept somewhat past the token's life, so that a late edit is told "expired", not "unknown"
        while self._order and moment - self._order[0].begun > TOKEN_S + 60:
            old = self._order.popleft()
            del self.by_id[old.id], self.by_token[old.token]
