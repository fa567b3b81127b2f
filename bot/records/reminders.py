"""Reminders: rules, what they owe, and the messages that pay it.

A rule says what to remind of and when. A debt is one occurrence of a rule for one person, known by
its key for ever; its due time is only an attribute. A post is one message; it pays the debts that
were gathered into it when it was claimed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Final

NOTE: Final = "note"
WEEK: Final = "week"
TROUBLE: Final = "trouble"
ANSWERED: Final = "answered"  # the coach has answered what somebody had asked
SPELL: Final = "spell"  # heat, wind or frost: one's own numbers with the coach's notice
OUTAGE: Final = "outage"  # pour by hand, again and again, until the power is back
# What is reminded of from the records alone, in the order of a list.
FACTS: Final = ("refill", "pump_line", "look", "change", "stage", "step", "calibrate")
LEAST_PRIVATE: Final = timedelta(minutes=5)
LEAST_ROOM: Final = timedelta(minutes=15)
MOST_RULES: Final = 50
MOST_ROOM_RULES: Final = 25
MOST_TIMES: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """When a rule comes: a wall time of a zone with an RFC 5545 rule of ours, or real time.

    kind: "wall" | "elapsed"; rrule empty: once; overflow: what becomes of a day that a month has
    not, "omit" or "clamp".
    """

    start_local: str
    rrule: str = ""
    zone: str = "UTC"
    kind: str = "wall"
    overflow: str = "omit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What is reminded of, and when.

    what: "note" (`text` says it), "week", or one of FACTS, whose times follow from the records.
    room: said in the community's room, to everybody or to those of `place`.
    ahead_min: so long before the moment that `text` speaks of.
    hour: a fact's own hour, else the person's evening.
    late: "send", or "expire": too late is only told of.
    """

    what: str = NOTE
    text: str = ""
    pattern: Pattern | None = None
    room: bool = False
    place: str | None = None
    tower_id: int | None = None
    ahead_min: int = 0
    hour: str | None = None
    late: str = "send"
    id: int = 0
    by: str = ""
    mine: bool = True
    stopped: bool = False
    next_due: datetime | None = None
    held: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """A debt that a fact makes.

    again: comes back when what paid it was taken back, or when its time has moved well ahead;
    planned: at the time that the fact asks for, not merely as soon as possible.
    """

    what: str
    key: str
    due: datetime
    again: bool = False
    planned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Debt:
    """One occurrence that is due. missed: later ones of the same rule that it stands for too;
    soon: the clocks of its reader moved, and the last one was not long ago."""

    id: int
    rule: Rule
    key: str
    due: datetime
    missed: int = 0
    soon: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipient:
    """Where a post goes: a person's private messages, or (no user_id) a room."""

    community_id: int
    guild_id: int
    member_id: int = 0
    user_id: int | None = None
    name: str = ""
    channel_id: int | None = None
    units: str = "metric"
    time_zone: str = "UTC"
    quiet: tuple[str | None, str | None] = (None, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """A post that this worker may send, until its lease ends: `attempt` is the fence.

    body: frozen at an earlier try, so that a repeat says the same; tried_at: when that was.
    stale: something of it was stopped or changed since, so it must not be said again as it was.
    """

    id: int
    attempt: int
    nonce: str
    to: Recipient
    debts: tuple[Debt, ...] = ()
    body: Body | None = None
    tried_at: datetime | None = None
    nonce_fresh: bool = True
    stale: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What a post says, kept until it is sent. buttons: handle and label."""

    content: str
    buttons: tuple[tuple[str, str], ...] = ()
    silent: bool = False
    mention: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """The message stands there."""

    message_id: int
    channel_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """It does not.

    why: "closed" (private messages), "gone" (room), "rejected" (the text), "later" (wait so long),
    "unknown" (it may stand there), "revoked" (nothing may be sent any more)
    """

    why: str
    code: int = 0
    wait_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """Something due next, for whoever watches the clock."""

    due: datetime
    what: str
    text: str
    name: str
    room: bool = False
    zone: str = "UTC"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How the queue stands: debts due and not claimed, posts on their way, debts set aside or held.

    late_s: how long the oldest of those due has been so, in seconds.
    """

    due: int
    sending: int
    unsent: int
    held: int
    late_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsent:
    """A reminder that could not be sent, whose it is, and why it could not.

    reason: "rejected" (its text), "tries" (many, while others came through), "unclear" (it may
    stand there already), "broken" (its row cannot be read), "restored" (from an old copy of the
    records: it may have been sent). text: empty where it is somebody else's.
    """

    debt_id: int
    due: datetime
    reason: str
    what: str = NOTE
    text: str = ""
    name: str = ""
    room: bool = False
    mine: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminding:
    """What a Book knows of reminders: rules with their next time; room: those of the room;
    unsent: what could not be sent, of one's own and, for a coach, of everybody."""

    rules: tuple[Rule, ...] = ()
    room: tuple[Rule, ...] = ()
    unsent: tuple[Unsent, ...] = ()
    posted_on: frozenset[date] = field(default_factory=frozenset)
