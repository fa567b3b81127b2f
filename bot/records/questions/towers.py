"""What is asked about the record of a tower."""

from __future__ import annotations

from dataclasses import dataclass


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
    """Other facts for a tower already there; None leaves a fact as it is.

    marks: what stood in it at a depth, "2.5 gal at 3.3 in, 5 at 6.2"; "none" for straight sides.
    gain: "label", where what its fills have shown is not to count.
    """

    tower: str | None = None
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
    marks: str | None = None
    gain: str | None = None


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
