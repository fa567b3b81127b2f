"""What was done or read, told or looked up."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """What was done or read at a tank.

    shown: this is a top-up's own button; also: logged though someone fed it a while ago;
    before: the level that the top-up started from; replaces: the mark of the lines this stands for;
    expected: the EC that an answer of ours had promised instead.
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
    expected: str | None = None


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
class LastFed:
    """Who fed a tower last, and whether within some days.

    what: who changed it, or read its pH or EC, instead; plans: the asker is about to feed it.
    """

    tower: str | None = None
    days: str | None = None
    what: str | None = None
    plans: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A tower's record to be seen. what: level, readings, use, or lid (a table for the tank)."""

    tower: str | None = None
    what: str | None = None
