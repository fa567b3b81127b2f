"""A pattern as people say it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import islice
from typing import Final

from bot.clock import recurring, wall_key, zone_of
from bot.records.answer import Line, Measure, Weekday, line
from bot.records.book import Book
from bot.records.reminders import Pattern, Rule

NEXT = 5
_WEEK: Final = ("mo", "tu", "we", "th", "fr", "sa", "su")
_WORKDAYS: Final = "MO,TU,WE,TH,FR"
_WEEKEND: Final = "SA,SU"


def next_times(pattern: Pattern, now: datetime, count: int = NEXT) -> list[datetime]:
    """The next moments of a pattern, aware, in UTC."""
    found = recurring(
        start_local=pattern.start_local,
        rrule=pattern.rrule,
        zone=pattern.zone,
        kind=pattern.kind,
        overflow=pattern.overflow,
    )
    return list(islice((at for _, at in found if at > now), count))


def here(at: datetime, book: Book) -> datetime:
    """A moment on the reader's own clock."""
    return at.astimezone(zone_of(book.member.time_zone))


def moment_line(at: datetime, book: Book) -> Line:
    """A moment on the reader's own clock, with its year where that is another."""
    local = here(at, book)
    if local.year == here(book.now, book).year:
        return line("remind.at", at=local)
    return line(
        "remind.at_year", day=Weekday(local.date()), year=local.year, clock=clock_time(local)
    )


def days_said(times: list[datetime], book: Book) -> tuple[Line, ...]:
    """Days on the reader's own clock, with their years where one is another."""
    days = [here(at, book).date() for at in times]
    if {day.year for day in days} == {here(book.now, book).year}:
        return tuple(line("remind.day", day=day) for day in days)
    return tuple(line("remind.day_year", day=day, year=day.year) for day in days)


def said(pattern: Pattern, book: Book) -> tuple[Line, ...]:
    """ "every second Sunday, 7:30 pm", with how long it goes on."""
    parts = dict(part.split("=") for part in pattern.rrule.split(";")) if pattern.rrule else {}
    if not parts:
        return (moment_line(next_times_all(pattern), book),)
    if pattern.kind == "elapsed":
        unit = "hours" if parts["FREQ"] == "HOURLY" else "minutes"
        step = Measure(float(parts.get("INTERVAL", 1)), unit)
        return (line("when.elapsed", step=step), *_end(parts, book))
    clock = clock_time(datetime.fromisoformat(pattern.start_local))
    return (line("when.at", days=(_days(parts),), clock=clock), *_end(parts, book))


def when_said(rule: Rule, book: Book) -> tuple[Line, ...]:
    """The times that a rule speaks of, and how long before it is said."""
    pattern = rule.pattern
    assert pattern is not None
    if not rule.ahead_min:
        return said(pattern, book)
    lead = timedelta(minutes=rule.ahead_min)
    start = datetime.fromisoformat(pattern.start_local) + lead
    event = replace(pattern, start_local=wall_key(start))
    minutes = rule.ahead_min
    told = Measure(minutes / 60, "hours") if minutes % 60 == 0 else Measure(minutes, "minutes")
    return (*said(event, book), line("when.ahead", lead=told))


def next_times_all(pattern: Pattern) -> datetime:
    """The first moment of a pattern, over or not."""
    found = recurring(
        start_local=pattern.start_local, rrule="", zone=pattern.zone, kind=pattern.kind
    )
    return next(found)[1]


def clock_time(local: datetime) -> Measure:
    return Measure(local.hour * 60 + local.minute, "clock")


def _days(parts: dict[str, str]) -> Line:
    number = int(parts.get("INTERVAL", 1))
    match parts["FREQ"]:
        case "DAILY":
            return line("when.daily") if number == 1 else line("when.days", number=number)
        case "WEEKLY":
            return _weekly(parts["BYDAY"], number)
        case "MONTHLY":
            day = _of_month(parts)
            if number == 1:
                return line("when.monthly", day=(day,))
            return line("when.months", number=number, day=(day,))
        case _:
            on = date(2028, int(parts["BYMONTH"]), int(parts["BYMONTHDAY"]))
            return (
                line("when.yearly", day=on)
                if number == 1
                else line("when.years", number=number, day=on)
            )


def _weekly(days: str, number: int) -> Line:
    if number == 1 and days == _WORKDAYS:
        return line("when.workdays")
    if number == 1 and days == _WEEKEND:
        return line("when.weekend")
    named = tuple(line(f"day.{day.lower()}") for day in days.split(","))
    if number == 1:
        return line("when.weekly", days=named)
    if number == 2:
        return line("when.second", days=named)
    return line("when.weeks", number=number, days=named)


def _of_month(parts: dict[str, str]) -> Line:
    day = parts.get("BYMONTHDAY")
    if day == "-1":
        return line("when.last_day")
    if day is not None:
        return line("when.day", day=(line(f"nth.{day}"),))
    weekday = parts["BYDAY"]
    nth, name = weekday[:-2], weekday[-2:].lower()
    return line("when.nth", nth=(line(f"ordinal.{nth}"),), day=(line(f"day.{name}"),))


def _end(parts: dict[str, str], book: Book) -> tuple[Line, ...]:
    if "COUNT" in parts:
        return (line("when.times", times=int(parts["COUNT"])),)
    if "UNTIL" in parts:
        until = datetime.fromisoformat(parts["UNTIL"])
        last = until if until.tzinfo is None else here(until, book)
        if last.year != here(book.now, book).year:
            return (line("when.until_year", day=Weekday(last.date()), year=last.year),)
        return (line("when.until", day=Weekday(last.date())),)
    return ()


def weekday_line(day: date) -> Line:
    """A day of the week alone, as on a button: Thu."""
    return line(f"short.{_WEEK[day.weekday()]}")


def about(rule: Rule, book: Book) -> tuple[Line, ...]:
    """What a rule reminds of: the person's own words, or ours for what the records tell."""
    if rule.what == "note":
        return (line("button.tower", name=rule.text),)
    return (line(f"fact.{rule.what}"),)


def part_of_day(at: datetime, book: Book) -> Line:
    """A forecast knows no minutes: Sat 24 Oct, morning."""
    local = here(at, book)
    begins = ((5, "night"), (12, "morning"), (17, "afternoon"), (22, "evening"))
    part = next((name for end, name in begins if local.hour < end), "night")
    # The small hours of Sunday are Saturday night.
    day = local.date() - timedelta(days=1) if local.hour < begins[0][0] else local.date()
    return line("day.part", day=Weekday(day), part=(line(f"part.{part}"),))
