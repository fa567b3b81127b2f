"""A person's own matters, and sentences that are no question of ours."""

from __future__ import annotations

from dataclasses import dataclass, field


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
    """A sentence outside what can be answered; `about` names why (danger, off_topic ...).

    text: as typed, for the coach; it makes no other question of it.
    """

    about: str
    text: str | None = field(default=None, compare=False)
