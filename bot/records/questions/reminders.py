"""What is asked about reminders."""

from __future__ import annotations

from dataclasses import dataclass


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
    """What one is reminded of; where "room": what the room is, "unsent": what could not be sent.

    again: what waits is tried anew; of the unsent, which are sent again; leave: which are let go.
    """

    where: str | None = None
    page: str | None = None
    again: str | None = None
    leave: str | None = None


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
