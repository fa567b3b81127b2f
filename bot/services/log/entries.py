"""Log lines as sentences, and how they are named by buttons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.clock import zone_of
from bot.records.answer import Line, Measure, Pour, Pours, line
from bot.records.book import Book
from bot.records.facts import Entry, Picked, Tower

_FULL = 0.995
_TOLD = 1e-4
TANK = "tank"  # the kind of a line since when another tank stands there
# The kinds of a line that says what a level far too low came to.
LEAK, NO_LEAK = "leak", "no_leak"
SOWN = "sown"  # the note of a sowing, until plants have records of their own


def mark(at: datetime) -> str:
    """How a button names the lines that were told at one moment by one person."""
    return at.isoformat()


def marked(text: str, book: Book) -> tuple[Entry, ...]:
    """The reader's own lines told at that moment, or with that number; none when taken back."""
    return tuple(
        e
        for e in book.log
        if e.mine
        and (str(e.id) == text or (e.recorded_at is not None and e.recorded_at.isoformat() == text))
    )


def of_this_tank(lines: Sequence[Entry]) -> list[Entry]:
    """Lines since the tank is the one that stands there now: levels in another tell nothing."""
    begins = [n for n, one in enumerate(lines) if one.kind == TANK]
    return list(lines[begins[-1] + 1 :] if begins else lines)


def who(entry: Entry) -> Line:
    """Who logged it, in the words of the reader."""
    if entry.mine:
        return line("log.you")
    return line("log.other", name=entry.by) if entry.by else line("log.a_member")


def when(at: datetime, book: Book) -> datetime:
    """A moment on the reader's own clock, to be said."""
    return at.astimezone(zone_of(book.member.time_zone))


def fed(entry: Entry) -> bool:
    """Feed went in."""
    return any(amount > 0 for _, amount in entry.amounts)


def said(entry: Entry, tower: Tower | None, book: Book) -> tuple[Line, ...]:
    """What a line holds: level, water, feed, readings, note."""
    parts: list[Line] = []
    if entry.kind in ("change", "harvest", "clean", "outage", TANK, LEAK, NO_LEAK):
        parts.append(line(f"log.kind_{entry.kind}"))
    parts += picked_said(entry.picked)
    if entry.water_added_l:
        parts.append(line("log.added", water=Measure(entry.water_added_l, "water")))
    if entry.amounts:
        parts.append(line("log.fed", pours=_pours(entry, tower, book)))
    if entry.level_l is not None:
        full = tower is not None and entry.level_l >= _FULL * tower.tank_l
        level = Measure(entry.level_l, "water")
        parts.append(line("log.full" if full else "log.level", level=level))
    if entry.ec is not None:
        parts.append(line("log.ec", ec=Measure(entry.ec, "ec")))
    if entry.ph is not None:
        parts.append(line("log.ph", ph=Measure(entry.ph, "ph")))
    if entry.water_c is not None:
        parts.append(line("log.temp", temp=Measure(entry.water_c, "temperature")))
    if entry.note:
        parts.append(line("log.note", note=entry.note))
    return tuple(parts) or (line("log.nothing"),)


def picked_said(picked: Sequence[Picked]) -> tuple[Line, ...]:
    """What was harvested, crop by crop."""
    return tuple(
        line("log.picked_weight", crop=one.crop, mass=Measure(one.g, "mass"))
        if one.g is not None
        else line("log.picked_count", crop=one.crop, count=one.count or 0)
        for one in picked
    )


def _pours(entry: Entry, tower: Tower | None, book: Book) -> Pours:
    feed = next((f for f in book.feeds if tower is not None and f.name == tower.feed), None)
    dry = {part.name for part in feed.parts if part.dry} if feed else set()
    parts = tuple(Pour(name, amount, name in dry) for name, amount in entry.amounts)
    # A half or whole number was told; any other was worked out, and poured as it was shown.
    told = all(abs(2 * amount - round(2 * amount)) < _TOLD for _, amount in entry.amounts)
    return Pours(parts, steps=False, spoons=False, exact=told)
