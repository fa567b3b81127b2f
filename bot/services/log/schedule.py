"""One's next seven days, all towers, from what is known so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from bot.clock import zone_of
from bot.records.answer import Answer, Line, Measure, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Schedule, Start, packed
from bot.records.reminders import NOTE
from bot.services.asking import Ask
from bot.services.choosing import begun
from bot.services.log.checking import due_to_read
from bot.services.log.use import change_due, pump_line_l, reaches, refill_mark_l, use_of
from bot.services.moments import clock_minutes
from bot.services.newcomer.steps import steps
from bot.services.pouring import for_new_water

_ENOUGH = 5  # forecasts judged
_DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class _Due:
    """One thing to do on one day."""

    on: date
    said: Line


def schedule(question: Schedule, book: Book) -> Answer:
    """What falls due in seven days, by day, then what runs every day.

    Raises
    ------
    Ask
        No tower yet.
    """
    if not book.towers:
        raise Ask(begun(book, Start(then=packed(question))))
    today = book.local(book.now)
    mine = (*(d for t in book.towers for d in _of(t, book)), *_reminders(book))
    due = sorted(mine, key=lambda d: d.on)
    soon = [d for d in due if (d.on - today).days < _DAYS]
    rows = tuple(line("week.row", day=Weekday(max(d.on, today)), what=(d.said,)) for d in soon)
    daily = tuple(one for tower in book.towers for one in _daily(tower))
    blind = tuple(
        line("week.unknown", tower=t.name)
        for t in book.towers
        if t.stage in (None, "growing") and use_of(t, book) is None
    )
    pours = any(use_of(t, book) for t in book.towers)
    metered = (line("week.metered"),) if book.member.has_ec_meter and pours else ()
    return Answer(
        outcome="answer",
        intent="schedule",
        do=(line("week.head"), *(rows or (line("week.nothing"),))),
        expect=daily,
        check=(*blind, *metered, line("week.spread"), *_so_far(book)) if rows else blind,
    )


def _so_far(book: Book) -> tuple[Line, ...]:
    """How the forecasts for these tanks did, once that says something."""
    if book.judged.all < _ENOUGH:
        return ()
    return (line("week.so_far", hits=book.judged.hits, all=book.judged.all),)


def _reminders(book: Book) -> list[_Due]:
    """What the person has set to be reminded of, each at its next time."""
    return [
        _Due(
            on=book.local(rule.next_due),
            said=line(
                "week.reminder",
                text=rule.text,
                clock=clock_minutes(_local(rule.next_due, book).strftime("%H:%M")),
            ),
        )
        for rule in book.reminding.rules
        if rule.what == NOTE and rule.next_due is not None and not rule.stopped
    ]


def _of(tower: Tower, book: Book) -> list[_Due]:
    if tower.stage in ("coming", "empty"):
        return _before_plants(tower, book)
    found = [*_water(tower, book), *_change(tower, book)]
    first_fill = min((d.on for d in found), default=None)
    read_on = book.local(book.now + due_to_read(tower, book))
    if first_fill is None or read_on < first_fill:
        found.append(_Due(on=read_on, said=line("week.read", tower=tower.name)))
    return found


def _water(tower: Tower, book: Book) -> list[_Due]:
    """The refill at its mark; where that is over already, today."""
    use = use_of(tower, book)
    if use is None:
        return []
    likely, early, late = reaches(use, refill_mark_l(tower, book))
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    on = max(likely, book.now)
    water = tower.tank_l - min(use.level_l, refill_mark_l(tower, book))
    overdue = likely <= book.now
    if dry <= book.now:
        read, since = (Weekday(_day(at, book)) for at in (use.at, dry))
        look = line("week.dry", tower=tower.name, read=read, dry=since)
        return [_Due(on=_day(book.now, book), said=look)]
    said = line(
        "week.topup_now" if overdue else "week.topup",
        tower=tower.name,
        water=Measure(water, "water"),
        pours=for_new_water(tower, water, book),
        early=Weekday(_day(max(early, book.now), book)),
        late=Weekday(_day(max(late, book.now), book)),
        dry=Weekday(_day(max(dry, book.now), book)),
    )
    return [_Due(on=_day(on, book), said=said)]


def _change(tower: Tower, book: Book) -> list[_Due]:
    found = change_due(tower, book)
    if found is None:
        return []
    word = "week.change" if found.since.kind == "change" else "week.change_unknown"
    since = _day(found.since.at, book)
    return [_Due(on=found.on, said=line(word, tower=tower.name, since=since))]


def _before_plants(tower: Tower, book: Book) -> list[_Due]:
    return [
        _Due(on=step.on, said=line(f"week.{step.name}", tower=tower.name))
        for step in steps(tower, book)
    ]


def _daily(tower: Tower) -> tuple[Line, ...]:
    found: list[Line] = []
    if tower.timer_on_min and tower.timer_off_min is not None:
        on, off = Measure(tower.timer_on_min, "minutes"), Measure(tower.timer_off_min, "minutes")
        found.append(line("week.timer", tower=tower.name, on=on, off=off))
    if tower.light_h:
        found.append(line("week.lamp", tower=tower.name, hours=Measure(tower.light_h, "hours")))
    return tuple(found)


def _local(at: datetime, book: Book) -> datetime:
    return at.astimezone(zone_of(book.member.time_zone))


def _day(at: datetime, book: Book) -> date:
    return _local(at, book).date()
