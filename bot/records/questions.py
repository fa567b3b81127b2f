"""What a person asks: one frozen record per capability, its fields as they were typed.

A slash command fills the fields from its options, `understanding` from the words of a sentence,
a button from what it kept, a form from its lines; `services` reads them with the person's own
measures. Field names are option names.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """How much of each part for fresh solution, or to put a mistake right (`poured`)."""

    tower: str | None = None
    water: str | None = None
    strength: str | None = None
    rate: str | None = None
    target: str | None = None
    feed: str | None = None
    poured: str | None = None
    tap: str | None = None
    stage: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUp:
    """Back to the line: how much water and feed. `added`: already poured in, now at `level`."""

    tower: str | None = None
    level: str | None = None
    ec: str | None = None
    target: str | None = None
    tank: str | None = None
    tap: str | None = None
    strength: str | None = None
    added: str | None = None
    swap: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """What was done or read at a tank.

    shown: this is a top-up's own button; also: logged though someone fed it a while ago;
    before: the level that the top-up started from; replaces: the mark of the lines this stands for.
    """

    tower: str | None = None
    level: str | None = None
    added: str | None = None
    poured: str | None = None
    ec: str | None = None
    ph: str | None = None
    temp: str | None = None
    note: str | None = None
    change: str | None = None
    at: str | None = None
    shown: str | None = None
    also: str | None = None
    before: str | None = None
    replaces: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo:
    """Take one's last entry back, or the one named by its number."""

    entry: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """The log of a tower, newest first, a page at a time."""

    tower: str | None = None
    page: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Is this reading all right?"""

    tower: str | None = None
    ec: str | None = None
    ph: str | None = None
    temp: str | None = None
    level: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Timer:
    """What a pump timer does, and what this kind of timer can be set to."""

    tower: str | None = None
    timer: str | None = None
    dial: str | None = None
    watts: str | None = None
    flow: str | None = None
    price: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """Light per day from strength and hours, or the hours for a wanted light per day."""

    tower: str | None = None
    ppfd: str | None = None
    hours: str | None = None
    dli: str | None = None
    watts: str | None = None
    price: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """One's next seven days, all towers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remind:
    """A new reminder, or (`which`) another text or time for one that is there.

    where: "room" for all who read there (coach); place: only those with a tower indoors or out;
    ahead: so long before `when`; short: what becomes of a day that a month has not ("skip",
    "last"); sure: a post for the room was looked at before.
    """

    about: str | None = None
    when: str | None = None
    tower: str | None = None
    where: str | None = None
    place: str | None = None
    ahead: str | None = None
    short: str | None = None
    which: str | None = None
    sure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminders:
    """What one is reminded of; where "room": what the room is; again: what waits is tried anew."""

    where: str | None = None
    page: str | None = None
    again: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemindStop:
    """Reminders that come no more, by number (or several, or "all") or name; back: they go on.

    where "room": numbers are those of the room's list.
    """

    which: str | None = None
    where: str | None = None
    back: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemindFile:
    """One's reminders, or the room's, as a calendar file."""

    where: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminded:
    """A button under a reminder. debts: their numbers; act: "done", "hour", "tomorrow", "days".

    about: what was done, for the log of `tower`; hour: the reminder's own.
    """

    debts: str
    act: str
    tower: str | None = None
    about: str | None = None
    hour: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerAdd:
    """A new tower of one's own."""

    name: str
    tank: str
    depth: str | None = None
    place: str | None = None
    feed: str | None = None
    strength: str | None = None
    target: str | None = None
    tap: str | None = None
    pump_line: str | None = None
    refill: str | None = None
    timer: str | None = None
    ports: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerEdit:
    """Other facts for a tower already there; None leaves a fact as it is."""

    tower: str
    name: str | None = None
    tank: str | None = None
    depth: str | None = None
    place: str | None = None
    feed: str | None = None
    strength: str | None = None
    target: str | None = None
    tap: str | None = None
    pump_line: str | None = None
    refill: str | None = None
    timer: str | None = None
    ports: str | None = None
    watts: str | None = None
    flow: str | None = None
    ppfd: str | None = None
    hours: str | None = None
    lamp_watts: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerShow:
    """What is known about a tower, guesses named."""

    tower: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerShare:
    """A tower kept by one more person; `person` is their number on the platform."""

    tower: str | None = None
    person: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerJoin:
    """An invitation answered: keep that tower too, or not."""

    invitation: str
    accept: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerLeave:
    """A shared tower that one no longer keeps."""

    tower: str | None = None
    sure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerPack:
    """A tower put away for the winter, or taken out again (`back`)."""

    tower: str | None = None
    back: str | None = None
    sure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A member's set-up, as far as it has come.

    then: the question asked before it, kept for the end.
    """

    tank: str | None = None
    place: str | None = None
    feed: str | None = None
    rate: str | None = None
    gain: str | None = None
    meter: str | None = None
    again: str | None = None
    then: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where a new tower stands today: coming, empty or growing."""

    tower: str | None = None
    stage: str
    arrives: str | None = None
    sown: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """The coach's set-up: the step, and what was chosen in it."""

    step: str | None = None
    zone: str | None = None
    units: str | None = None
    name: str | None = None
    parts: str | None = None
    gain: str | None = None
    tap: str | None = None
    target: str | None = None
    rate: str | None = None
    rules: str | None = None
    room: str | None = None
    quiet: str | None = None
    welcome: str | None = None
    coach: str | None = None
    former: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedSet:
    """The community's feed as its label says (coach), or a member's own bottle (`own`)."""

    name: str | None = None
    parts: str | None = None
    gain: str | None = None
    own: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A house rule read, or (coach) set; no key: all of them, a page at a time."""

    rule: str | None = None
    value: str | None = None
    page: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Teach:
    """The coach's own answer to a question that comes again and again."""

    about: str | None = None
    text: str | None = None
    entry: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """A question that a coach's note answers."""

    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingsEdit:
    """A person's own habits; nothing given: what they are."""

    units: str | None = None
    gallon: str | None = None
    zone: str | None = None
    meter: str | None = None
    finger: str | None = None
    jug: str | None = None
    drops: str | None = None
    morning: str | None = None
    evening: str | None = None
    quiet: str | None = None
    answers: str | None = None
    calibrated: str | None = None
    closed: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Export:
    """Everything kept about a person, as files."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Import:
    """Records from a file, all of them or none."""

    file: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Forget:
    """Everything kept about a person, gone; sure: they have said so twice."""

    sure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """Which of one's communities private messages are about, by its number."""

    community: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What Tankwren can do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A button whose answer is one sentence and no change."""

    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsure:
    """A sentence read in part: a number or word of it found no place, so no dose may come of it."""

    read: str
    rest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMine:
    """A sentence outside what can be answered; `about` names why (danger, off_topic ...)."""

    about: str


Question = (
    Dose | TopUp | Log | Undo | History | Check | Timer | Lamp | Schedule
    | Remind | Reminders | RemindStop | RemindFile | Reminded
    | TowerAdd | TowerEdit | TowerShow | TowerShare | TowerJoin | TowerLeave | TowerPack
    | Start | Door | Setup | FeedSet | Policy | Teach | Noted
    | SettingsEdit | Export | Import | Forget | Home | Help | Said | Unsure | NotMine
)  # fmt: skip

_KINDS: Final[dict[str, type[Question]]] = {
    "dose": Dose, "topup": TopUp, "log": Log, "undo": Undo, "history": History, "check": Check,
    "timer": Timer, "lamp": Lamp, "schedule": Schedule,
    "remind": Remind, "reminders": Reminders, "remind_stop": RemindStop,
    "remind_file": RemindFile, "reminded": Reminded,
    "tower_add": TowerAdd, "tower_edit": TowerEdit, "tower_show": TowerShow,
    "tower_share": TowerShare, "tower_join": TowerJoin, "tower_leave": TowerLeave,
    "tower_pack": TowerPack,
    "start": Start, "door": Door, "setup": Setup, "feed": FeedSet, "policy": Policy,
    "teach": Teach, "noted": Noted, "settings": SettingsEdit, "export": Export,
    "import": Import, "forget": Forget, "home": Home, "help": Help, "said": Said,
    "unsure": Unsure, "not_mine": NotMine,
}  # fmt: skip
_NAMES: Final = {cls: name for name, cls in _KINDS.items()}


def to_json(question: Question) -> dict[str, str]:
    """A question as plain data, for a button to keep."""
    given = {f.name: getattr(question, f.name) for f in fields(question)}
    told = {name: value for name, value in given.items() if value is not None}
    return {"kind": _NAMES[type(question)], **told}


def from_json(data: Mapping[str, str]) -> Question:
    """The question that `to_json` wrote.

    Raises
    ------
    KeyError, TypeError
        Data that no version of the bot wrote.
    """
    given = dict(data)
    return _KINDS[given.pop("kind")](**given)


def packed(question: Question) -> str:
    """A question as one text, to stand in another's field."""
    return json.dumps(to_json(question), separators=(",", ":"))


def unpacked(text: str) -> Question:
    """The question that `packed` wrote."""
    return from_json(json.loads(text))


def with_fields(question: Question, typed: Mapping[str, str]) -> Question:
    """The same question with some fields typed anew; an empty text is none."""
    kept = {k: v for k, v in to_json(question).items() if k not in typed}
    return from_json(kept | {k: v for k, v in typed.items() if v.strip()})


def with_field(question: Question, name: str, text: str) -> Question:
    """The same question with one field typed anew."""
    return with_fields(question, {name: text})
