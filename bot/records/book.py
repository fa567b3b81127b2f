"""The facts that one person's question may depend on."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from bot.clock import zone_of
from bot.records.facts import (
    Community,
    Entry,
    Feed,
    Member,
    Note,
    OpenQuestion,
    Planting,
    PolicyValue,
    Seen,
    Supply,
    Tower,
)
from bot.records.forecasts import Judged
from bot.records.people import Place
from bot.records.questions import Question
from bot.records.reminders import Reminding

ANSWERED_WITHIN = timedelta(minutes=15)


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyKey:
    """What policy.toml says of one house rule."""

    unit: str
    default: float | None
    low: float
    high: float
    who: str
    source: str


@cache
def policy_keys() -> Mapping[str, PolicyKey]:
    """Every house rule there is, by key."""
    text = (files("bot.records") / "policy.toml").read_text(encoding="utf-8")
    return MappingProxyType(
        {key: PolicyKey(**{"default": None, **row}) for key, row in tomllib.loads(text).items()}
    )


@cache
def shipped_policy() -> Mapping[str, PolicyValue]:
    """House rules before any coach has touched them."""
    return MappingProxyType(
        {key: PolicyValue(value=row.default) for key, row in policy_keys().items()}
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """What was asked of the person last: the next text at that place fills `field`.

    here: asked at this very place.
    """

    question: Question
    field: str
    at: datetime
    here: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """A tower that `host` would keep together with the reader."""

    tower_id: int
    tower: str
    host: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """Frozen facts for one answer.

    private: readings and history may be shown here. in_guild: asked from a community, not in a
    private conversation. homes: the communities (number, name) of someone who writes in private,
    is in several, and has not said which is meant. log: oldest first, what was taken back left
    out; only in private. packed: towers put away. newest: how far each tower's log has come, by its
    number. kept: in how many communities something is kept about the person. reminding: only for
    questions about it. plantings: those that grow (all that ever did where the whole log is read);
    supplies: the last word on each; crop_days: the coach's days from seed to plate. people: the
    members of the community, and waiting: what they asked that is not answered; both for its
    coach alone.
    """

    now: datetime
    member: Member
    feeds: tuple[Feed, ...] = ()
    towers: tuple[Tower, ...] = ()
    policy: Mapping[str, PolicyValue] = field(default_factory=shipped_policy)
    log: tuple[Entry, ...] = ()
    coach: str | None = None
    private: bool = True
    community: Community = field(default_factory=Community)
    notes: tuple[Note, ...] = ()
    packed: tuple[Tower, ...] = ()
    newest: Mapping[int, int] = field(default_factory=dict)
    kept: int = 0
    invited: tuple[Invitation, ...] = ()
    opened: tuple[Open, ...] = ()
    place: Place | None = None
    in_guild: bool = True
    homes: tuple[tuple[int, str], ...] = ()
    reminding: Reminding = field(default_factory=Reminding)
    plantings: tuple[Planting, ...] = ()
    supplies: tuple[Supply, ...] = ()
    crop_days: Mapping[str, float] = field(default_factory=dict)
    people: tuple[Seen, ...] = ()
    waiting: tuple[OpenQuestion, ...] = ()
    judged: Judged = field(default_factory=Judged)
    judged_all: Judged = field(default_factory=Judged)

    @property
    def awaited(self) -> Open | None:
        """What the next text here answers, while the question is fresh."""
        fresh = [o for o in self.opened if self.now - o.at <= ANSWERED_WITHIN]
        here = next((o for o in fresh if o.here), None)
        # A set-up begun in a room may go on by typing in private.
        return here or (fresh[-1] if fresh and self.private and not self.in_guild else None)

    def entries(self, tower: str) -> tuple[Entry, ...]:
        """The log of one tower, oldest first."""
        return tuple(e for e in self.log if e.tower == tower)

    def growing(self, tower: str) -> tuple[Planting, ...]:
        """What grows in one tower, from the lowest level up."""
        return tuple(
            sorted(
                (p for p in self.plantings if p.tower == tower and p.status == "growing"),
                key=lambda p: (p.level, p.port),
            )
        )

    @property
    def names(self) -> tuple[str, ...]:
        """First names that may stand in a sentence: nobody's slip."""
        return (self.member.name, self.coach or "", *(p.name for p in self.people))

    def rule(self, key: str) -> PolicyValue:
        """The house rule `key`, as set or as shipped."""
        return self.policy.get(key) or shipped_policy()[key]

    def number(self, key: str) -> float:
        """The value of a house rule that always has one."""
        value = self.rule(key).value
        if value is None:
            raise KeyError(f"{key} has no value and no default")
        return value

    def local(self, at: datetime) -> date:
        """The member's own date at `at`."""
        return at.astimezone(zone_of(self.member.time_zone)).date()

    def believing(self, **settings: object) -> Book:
        """The same book, had the member these settings."""
        if not settings:
            return self
        return replace(self, member=replace(self.member, **settings))  # type: ignore[arg-type]  # names come from Remember
