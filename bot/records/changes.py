"""What an answer wants written; `storage.apply` does it in one transaction or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from bot.records.facts import Entry, Feed, Planting, Supply, Tower
from bot.records.reminders import Pattern, Rule

MOST_TOWERS = 20
MOST_FEEDS = 20
MOST_NOTES = 200
MOST_WAITING = 20  # of one member, at a time


@dataclass(frozen=True, slots=True, kw_only=True)
class AddTower:
    """A new tower, kept by the person who asked."""

    tower: Tower


@dataclass(frozen=True, slots=True, kw_only=True)
class EditTower:
    """New values for the named facts of one tower; its other facts are left alone."""

    tower_id: int
    name: str
    facts: tuple[tuple[str, str | float | date | tuple[tuple[float, float], ...] | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetMember:
    """One of the person's own settings."""

    setting: str
    value: str | int | float | bool | date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetHome:
    """The community that the person's private messages are about."""

    community_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AddEntry:
    """A line for a tower's log.

    tower_id 0: a tower that the same answer adds; after: how far the log had come for its writer,
    and the line is refused when it has gone on since (None: it may stand in any order).
    """

    tower_id: int
    entry: Entry
    after: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AddEntries:
    """Lines from a file for one tower (0: one that the same answer adds)."""

    tower_id: int
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UndoEntry:
    """One of the person's own lines taken back: it stays, with a counter-line to it."""

    entry_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Replant:
    """Ports of a tower changed, with the log line that tells of it: taking that back undoes all.

    ended: number and how it ended; made: plantings that begin.
    """

    tower_id: int
    entry: Entry
    ended: tuple[tuple[int, str], ...] = ()
    made: tuple[Planting, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPlantings:
    """Plantings from a file for one tower (0: one that the same answer adds)."""

    tower_id: int
    plantings: tuple[Planting, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetSupply:
    """What is left of something at home, as told now."""

    supply: Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class UndoSupply:
    """What was told of a supply at a moment taken back: what was told before counts again."""

    item: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareTower:
    """An invitation to keep the tower too, by the person's number on the platform."""

    tower_id: int
    user_id: int
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinTower:
    """An invitation's answer."""

    tower_id: int
    accept: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveTower:
    """The person keeps the tower no longer."""

    tower_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PackTower:
    """A tower put away, or taken out again."""

    tower_id: int
    packed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SetCommunity:
    """One thing that the coach has set for the community."""

    setting: str
    value: str | int | bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRole:
    """A person made coach, or member again, by their number on the platform (None: the asker)."""

    user_id: int | None
    role: str
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetFeed:
    """A feed as its label says, new or under the same name."""

    feed: Feed


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPolicy:
    """A house rule's new value; the old one stays in its history."""

    key: str
    value: float | None
    set_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SetNote:
    """A coach's note, new (note_id 0) or in place of an older text; no text takes it away.

    answers: the waiting questions that it settles; who asked them is told.
    """

    note_id: int
    about: str
    text: str | None
    set_on: date
    answers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PassOn:
    """A question for the coach's list; instead_of: the words that it stood there with before."""

    text: str
    instead_of: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TellOutdoors:
    """Each member with a tower outdoors is owed their own numbers for a spell (coach).

    key: what the debt is known by: the spell itself, so that a second notice of it tells once.
    """

    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """Waiting questions that the coach leaves without an answer."""

    ids: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AddRule:
    """A new reminder of one's own, or (a coach's) of the room."""

    rule: Rule


@dataclass(frozen=True, slots=True, kw_only=True)
class EditRule:
    """Other text, times or hour of a reminder; again: one that was stopped goes on."""

    rule_id: int
    text: str | None = None
    pattern: Pattern | None = None
    hour: str | None = None
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRules:
    """Reminders that come no more."""

    rule_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseDebt:
    """What a reminder asked for is done."""

    debt_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Postpone:
    """The same reminders once more, at another time."""

    debt_ids: tuple[int, ...]
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeUp:
    """Reminders that waited, because nobody could be reached, are due now.

    room: those of the community's room (a coach's to say), else the person's own.
    """

    room: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Resend:
    """Reminders that could not be sent are due once more."""

    debt_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveOut:
    """Reminders that could not be sent are let go."""

    debt_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForgetMe:
    """Everything kept about the person, gone."""


Change = (
    AddTower | EditTower | SetMember | SetHome | AddEntry | AddEntries | UndoEntry | Replant
    | AddPlantings | SetSupply | UndoSupply | ShareTower | JoinTower | LeaveTower | PackTower
    | SetCommunity | SetRole | SetFeed | SetPolicy | SetNote | PassOn | SetAside | TellOutdoors
    | AddRule | EditRule | StopRules | CloseDebt | Postpone | TakeUp | Resend | LeaveOut
    | ForgetMe
)  # fmt: skip
