"""The small world the server keeps: communities, rooms, people, messages."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from bot.rehearsal.rules.errors import Json

EPOCH_MS = 1_420_070_400_000
ALL_PERMISSIONS = (1 << 53) - 1
# view, send, embed links, attach files, history, mention, reactions, external emoji, commands
MEMBER_PERMISSIONS = (
    1 << 10 | 1 << 11 | 1 << 14 | 1 << 15 | 1 << 16 | 1 << 6 | 1 << 18 | 1 << 31 | 1 << 38
)
SEND, PIN = 1 << 11, 1 << 51
BOT_PERMISSIONS = MEMBER_PERMISSIONS | PIN  # what its invitation asked for
EPHEMERAL, LOADING = 1 << 6, 1 << 7


class Snowflakes:
    """Ids as the platform makes them: time in the upper bits, always growing."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._last = 0

    def next(self) -> int:
        """A new id, later than every one before even when the clock stands or goes back."""
        milliseconds = int(self._now().timestamp() * 1000) - EPOCH_MS
        self._last = max(milliseconds << 22, self._last + 1)
        return self._last


@dataclass(slots=True, eq=False, kw_only=True)
class StoredFile:
    """An uploaded file, served back under /cdn."""

    id: int
    name: str
    data: bytes
    content_type: str
    description: str | None = None
    channel_id: int = 0


@dataclass(slots=True, eq=False, kw_only=True)
class Message:
    """One message; `hidden_for` is set when it is ephemeral."""

    id: int
    channel: "Channel"
    author: Json
    timestamp: str
    content: str = ""
    embeds: list[Json] = field(default_factory=list)
    components: list[Json] = field(default_factory=list)
    files: list[StoredFile] = field(default_factory=list)
    flags: int = 0
    kind: int = 0
    tts: bool = False
    edited: str | None = None
    nonce: str | int | None = None
    poll: Json | None = None
    reply_to: "Message | None" = None
    mentions: list["Account"] = field(default_factory=list)
    everyone: bool = False
    pinned: bool = False
    deleted: bool = False
    interaction: Json | None = None
    hidden_for: "Account | None" = None

    @property
    def ephemeral(self) -> bool:
        """Visible to one person only, and never part of the channel."""
        return self.hidden_for is not None

    @property
    def loading(self) -> bool:
        """A deferred answer that has not been filled in yet."""
        return bool(self.flags & LOADING)


@dataclass(slots=True, eq=False, kw_only=True)
class Channel:
    """A room of a community, or the private channel of one person with the bot."""

    id: int
    name: str
    guild: "Guild | None" = None
    person: "Account | None" = None
    messages: dict[int, Message] = field(default_factory=dict)
    pins: list[Message] = field(default_factory=list)
    deleted: bool = False
    refusal: int | None = None

    @property
    def private(self) -> bool:
        """Whether this is a private channel."""
        return self.guild is None

    def seen_by(self, person: "Account") -> bool:
        """Whether this person can open the channel."""
        if self.guild is None:
            return self.person is person
        return person in self.guild.people and not self.deleted


@dataclass(slots=True, eq=False, kw_only=True)
class Guild:
    """A community."""

    id: int
    name: str
    coach_role: int
    joined: str
    channels: list[Channel] = field(default_factory=list)
    people: list["Account"] = field(default_factory=list)
    bot_present: bool = True
    bot_permissions: int = BOT_PERMISSIONS

    @property
    def room(self) -> Channel:
        """The first room."""
        return self.channels[0]


@dataclass(slots=True, eq=False, kw_only=True)
class Account:
    """A person as the platform knows them."""

    id: int
    name: str
    locale: str
    coach: bool
    private: Channel
    guilds: list[Guild] = field(default_factory=list)
    private_closed: bool = False
    installed: bool = False

    @property
    def mention(self) -> str:
        """The text that mentions this person."""
        return f"<@{self.id}>"

    def permissions(self) -> int:
        """What this person may do in a room."""
        return ALL_PERMISSIONS if self.coach else MEMBER_PERMISSIONS

    def shares_a_guild(self) -> bool:
        """Whether the bot may write to this person at all."""
        return self.installed or any(guild.bot_present for guild in self.guilds)


class World:
    """Everything that exists on the server, by id."""

    def __init__(self, now: Callable[[], datetime], bot_name: str) -> None:
        self.now = now
        self.snowflakes = Snowflakes(now)
        self.bot_id = self.snowflakes.next()
        self.bot_name = bot_name
        self.guilds: dict[int, Guild] = {}
        self.channels: dict[int, Channel] = {}
        self.people: dict[int, Account] = {}
        self.files: dict[int, StoredFile] = {}
        self.hidden: dict[int, Message] = {}
        self.created: list[Message] = []

    def stamp(self) -> str:
        """The present time in the platform's form."""
        return self.now().isoformat(timespec="microseconds")

    def visible_people(self, channel: Channel) -> list[Account]:
        """Who can open this channel."""
        if channel.guild is None:
            return [channel.person] if channel.person else []
        return channel.guild.people

    def keep(self, message: Message) -> None:
        """Store a new message."""
        self.created.append(message)
        if message.hidden_for is not None:
            self.hidden[message.id] = message
        else:
            message.channel.messages[message.id] = message

    def drop(self, message: Message) -> None:
        """Delete a message; it stays in `created`, which is for counting."""
        message.deleted = True
        self.hidden.pop(message.id, None)
        message.channel.messages.pop(message.id, None)
        if message in message.channel.pins:
            message.channel.pins.remove(message)

    def find(self, channel: Channel, message_id: int) -> Message | None:
        """A message that can still be seen, ephemeral ones included."""
        return channel.messages.get(message_id) or self.hidden.get(message_id)
