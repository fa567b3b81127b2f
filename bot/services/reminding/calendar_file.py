"""Reminders as a calendar file (RFC 5545): the same times in any calendar.

Wall times go with their zone and its changes, so that a calendar keeps the hour when the clocks
change; real-time ones, and what the records tell, go as UTC moments.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import TYPE_CHECKING

from bot.clock import instant, plain_rule, zone_of
from bot.errors import Refusal
from bot.records.answer import Answer, File, line
from bot.records.book import Book
from bot.records.questions import RemindFile
from bot.records.reminders import NOTE, Pattern, Rule
from bot.services.reminding.listing import active
from bot.words import sentence

if TYPE_CHECKING:
    from icalendar import Alarm, Component, Event, Timezone

_LASTS = timedelta(minutes=15)
_LAST_CHANGE = date(2038, 1, 1)


def calendar_file(question: RemindFile, book: Book) -> Answer:
    """One's own reminders, or the room's.

    Raises
    ------
    Refusal
    """
    room = question.where == "room"
    rules = book.reminding.room if room else active(book)
    coming = [rule for rule in rules if rule.next_due is not None]
    if not coming:
        raise Refusal("bad.nothing_to_save", outcome="refuse")
    data = calendar(coming, book)
    name = "room.ics" if room else "reminders.ics"
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.file", count=len(coming)),),
        check=(line("remind.file_moves"),) if any(r.pattern is None for r in coming) else (),
        files=(File(name=name, data=data),),
    )


def calendar(rules: Sequence[Rule], book: Book) -> bytes:
    """The file itself."""
    from icalendar import Calendar  # 50 ms to import, and only this needs it

    made = Calendar()
    made.add("prodid", "-//Tankwren//reminders//EN")
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    zones = {r.pattern.zone for r in rules if r.pattern and r.pattern.kind == "wall"}
    for name in sorted(zones - {"UTC"}):
        made.add_component(_zone(name, book.now.date()))
    for rule in rules:
        made.add_component(_event(rule, book))
    return bytes(made.to_ical())


def _event(rule: Rule, book: Book) -> Event:
    from icalendar import Event, vRecur

    made = Event()
    made.add("uid", f"rule-{rule.id}@tankwren")
    made.add("dtstamp", book.now)
    made.add("summary", rule.text if rule.what == NOTE else sentence(f"fact.{rule.what}"))
    made.add("duration", _LASTS)
    pattern = rule.pattern
    if pattern is None:
        assert rule.next_due is not None
        made.add("dtstart", rule.next_due)
        return made
    start = datetime.fromisoformat(pattern.start_local)
    zone = zone_of(pattern.zone) if pattern.kind == "wall" else UTC
    if pattern.kind == "elapsed":
        start = instant(start, pattern.zone).replace(tzinfo=None)
    start += timedelta(minutes=rule.ahead_min)  # what it speaks of; the alarm comes before
    made.add("dtstart", start.replace(tzinfo=UTC if pattern.zone == "UTC" else zone))
    made.add_component(_alarm(made, rule))
    if pattern.rrule:
        made.add("rrule", vRecur.from_ical(_rule(pattern)))
    return made


def _alarm(event: Event, rule: Rule) -> Alarm:
    from icalendar import Alarm

    made = Alarm()
    made.add("action", "DISPLAY")
    made.add("description", str(event["SUMMARY"]))
    made.add("trigger", -timedelta(minutes=rule.ahead_min))
    return made


def _rule(pattern: Pattern) -> str:
    """The rule with its end as a UTC moment, as the standard wants it beside a zone."""
    parts = dict(part.split("=") for part in plain_rule(pattern.rrule, pattern.overflow).split(";"))
    until = parts.get("UNTIL")
    if until and not until.endswith("Z"):
        last = datetime.combine(date.fromisoformat(until[:8]), time(23, 59, 59))
        parts["UNTIL"] = f"{instant(last, pattern.zone):%Y%m%dT%H%M%S}Z"
    return ";".join(f"{name}={value}" for name, value in parts.items())


def _zone(name: str, since: date) -> Timezone:
    """A zone with its changes from a day on, each by the clock that was shown before it."""
    from icalendar import Timezone

    place = zone_of(name)
    begin = datetime.combine(since, time(), UTC)
    made = Timezone()
    made.add("tzid", name)
    made.add_component(_observance(begin, begin, place))
    for before, after in _changes(begin, place):
        made.add_component(_observance(before, after, place))
    return made


def _observance(before: datetime, after: datetime, place: tzinfo) -> Component:
    """What the clocks show from a moment on."""
    from icalendar import TimezoneDaylight, TimezoneStandard

    here, there = before.astimezone(place), after.astimezone(place)
    made = TimezoneDaylight() if there.dst() else TimezoneStandard()
    was, becomes = here.utcoffset() or timedelta(), there.utcoffset() or timedelta()
    made.add("dtstart", (after + was).replace(tzinfo=None))
    made.add("tzoffsetfrom", was)
    made.add("tzoffsetto", becomes)
    made.add("tzname", there.tzname())
    return made


def _changes(since: datetime, place: tzinfo) -> Iterator[tuple[datetime, datetime]]:
    """Each change of a zone's clocks: the second before it and the moment itself."""
    day, end = since, datetime.combine(_LAST_CHANGE, time(), UTC)
    while day < end:
        low, high = day, day + timedelta(days=1)
        if low.astimezone(place).utcoffset() != high.astimezone(place).utcoffset():
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) // timedelta(seconds=2) * timedelta(seconds=1)
                same = middle.astimezone(place).utcoffset() == low.astimezone(place).utcoffset()
                low, high = (middle, high) if same else (low, middle)
            yield low, high
        day += timedelta(days=1)
