"""What a person asks: one frozen record per capability, its fields as they were typed.

A slash command fills the fields from its options, `understanding` from the words of a sentence,
a button from what it kept; `services` reads them with the person's own measures. Field names are
option names.
"""

from __future__ import annotations

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
    timer: str | None = None


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
    timer: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TowerShow:
    """What is known about a tower, guesses named."""

    tower: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What Tankwren can do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsure:
    """A sentence read in part: a number or word of it found no place, so no dose may come of it."""

    read: str
    rest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMine:
    """A sentence outside what can be answered; `about` names why (danger, off_topic ...)."""

    about: str


Question = Dose | TopUp | TowerAdd | TowerEdit | TowerShow | Help | Unsure | NotMine

_KINDS: Final[dict[str, type[Question]]] = {
    "dose": Dose,
    "topup": TopUp,
    "tower_add": TowerAdd,
    "tower_edit": TowerEdit,
    "tower_show": TowerShow,
    "help": Help,
    "unsure": Unsure,
    "not_mine": NotMine,
}


def to_json(question: Question) -> dict[str, str]:
    """A question as plain data, for a button to keep."""
    kind = next(name for name, cls in _KINDS.items() if isinstance(question, cls))
    given = {f.name: getattr(question, f.name) for f in fields(question)}
    return {"kind": kind, **{name: value for name, value in given.items() if value is not None}}


def from_json(data: Mapping[str, str]) -> Question:
    """The question that `to_json` wrote.

    Raises
    ------
    KeyError, TypeError
        Data that no version of the bot wrote.
    """
    given = dict(data)
    return _KINDS[given.pop("kind")](**given)


def with_field(question: Question, name: str, text: str) -> Question:
    """The same question with one field typed anew."""
    return from_json({**to_json(question), name: text})
