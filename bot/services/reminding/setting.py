"""A new reminder: read, looked at where others will read it, and set."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from bot.clock import quiet_until, zone_of
from bot.errors import Refusal
from bot.records.answer import Answer, Awaits, Dated, FromText, Line, Offer, Stamp, line
from bot.records.book import Book
from bot.records.changes import AddRule
from bot.records.questions import Remind, Reminders, RemindStop
from bot.records.reminders import MOST_ROOM_RULES, MOST_RULES, NOTE, Debt, Pattern, Rule
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.services.facts import named_tower
from bot.services.moments import clock_minutes
from bot.services.reminding.listing import active, room_list, stop_question
from bot.services.reminding.saying import say_in_room
from bot.services.reminding.spoken import about, days_said, here, moment_line, next_times, when_said
from bot.services.reminding.when import When, read_ahead, read_when
from bot.text import visible

LONGEST = 200
_DRY: Final = re.compile(r"\b(dry|quarter|empty|pump line|out)\b")
_BY_RECORDS: Final = re.compile(
    r"\b(half|quarter|low|empty|dry|pump line|tank is|runs? (?:out|low|dry))\b(?! (?:past|an|hour))"
)

NEWEST = "newest"  # the one set last


def remind(question: Remind, book: Book) -> Answer:
    """A new reminder.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    room = question.where == "room"
    if room:
        must_coach(book)
        if book.community.room_id is None:
            raise Refusal("bad.no_room", outcome="refuse")
    words = visible(question.about or "").strip()
    if not words.strip("?") or not (question.when or "").strip():
        asked = line("remind.what" if not words.strip("?") else "remind.when")
        offer = Offer(label=line("button.write_down"), question=question, form="remind")
        found = clarify("reminder", asked, offers=[offer])
        if words.strip("?"):
            found = replace(found, awaits=Awaits(question=question, field="when"))
        raise Ask(found)
    _still_room(book, room=room)
    if question.when and _BY_RECORDS.search(question.when.casefold()):
        return _unasked(question.when, book)
    rule, when = made_rule(question, book, room=room)
    if when.short_months and question.short is None:
        raise Ask(short_months(question, rule, book))
    if room and question.sure is None:
        return _preview(question, rule, book)
    return _set(rule, when, book)


def _unasked(text: str, book: Book) -> Answer:
    """ "When the tank is half": the records tell, and they do it unasked."""
    what = "pump_line" if _DRY.search(text.casefold()) else "refill"
    rule = next((r for r in book.reminding.rules if r.what == what), None)
    if rule is not None and rule.stopped:
        again = replace(stop_question([rule]), back="yes")
        offer = Offer(label=line("button.start_again"), question=again)
        stopped = line("remind.unasked_stopped", what=about(rule, book))
        return Answer(outcome="answer", intent="reminder", do=(stopped,), offers=(offer,))
    if rule is None or rule.next_due is None:
        return Answer(outcome="answer", intent="reminder", do=(line("remind.unasked_soon"),))
    said_ = line("remind.unasked", at=here(rule.next_due, book))
    return Answer(outcome="answer", intent="reminder", do=(said_,))


def _still_room(book: Book, *, room: bool) -> None:
    most, there = (MOST_ROOM_RULES, room_list(book)) if room else (MOST_RULES, active(book))
    if len([one for one in there if one.what == NOTE]) >= most:
        raise Refusal("bad.rule_limit", outcome="refuse", count=most)


def made_rule(
    question: Remind, book: Book, *, room: bool, before: Rule | None = None
) -> tuple[Rule, When]:
    """before: the rule that is changed; how long ahead it comes stays."""
    text = " ".join((question.about or "").split())
    if len(text) > LONGEST:
        raise Refusal("bad.text_long", count=LONGEST)
    zone = book.community.time_zone if room else book.member.time_zone
    when = read_when(question.when or "", book, zone=zone, room=room)
    pattern = when.pattern
    if question.short == "last":
        pattern = replace(pattern, overflow="clamp")
    lead = question.ahead or (f"{before.ahead_min} min" if before and before.ahead_min else None)
    ahead = read_ahead(lead) if lead else 0
    if ahead:
        pattern = earlier(pattern, ahead, book)
    if not next_times(pattern, book.now, 1):
        raise Refusal("bad.never", text=(question.when or "")[:60])
    tower = named_tower(question.tower, book) if question.tower else None
    if question.tower and tower is None:
        raise Refusal("bad.no_tower", name=question.tower)
    rule = Rule(
        text=text,
        pattern=pattern,
        room=room,
        place=question.place if room and question.place != "all" else None,
        tower_id=tower.id if tower else None,
        ahead_min=ahead,
        late="expire" if pattern.kind == "elapsed" and pattern.rrule else "send",
    )
    return rule, replace(when, pattern=pattern)


def earlier(pattern: Pattern, ahead_min: int, book: Book) -> Pattern:
    """The same times, so long before; only where they stay on their days."""
    start = datetime.fromisoformat(pattern.start_local)
    before = start - timedelta(minutes=ahead_min)
    if pattern.rrule and before.date() != start.date():
        raise Refusal("bad.ahead_long")
    moved = replace(pattern, start_local=before.isoformat(timespec="minutes"))
    if not next_times(moved, book.now, 1):
        raise Refusal("bad.ahead_over")
    return moved


def short_months(question: Remind, rule: Rule, book: Book) -> Answer:
    """A day that some months have not: chosen once, with the dates of each choice."""
    pattern = rule.pattern
    assert pattern is not None
    choices = {"skip": pattern, "last": replace(pattern, overflow="clamp")}
    shown = {key: days_said(next_times(one, book.now, 4), book) for key, one in choices.items()}
    offers = [
        Offer(label=line(f"button.short_{key}"), question=replace(question, short=key))
        for key in choices
    ]
    asked = line("remind.short_months", skip=shown["skip"], last=shown["last"])
    return clarify("reminder", asked, offers=offers)


def _preview(question: Remind, rule: Rule, book: Book) -> Answer:
    """A post for the room as it will stand there, before anybody sees it."""
    pattern = rule.pattern
    assert pattern is not None
    times = next_times(pattern, book.now)
    shown = say_in_room([Debt(id=0, rule=rule, key="", due=times[0])], times[0]).do
    quiet = quiet_until(
        times[0], book.community.time_zone, book.community.quiet_from, book.community.quiet_to
    )
    if quiet and rule.ahead_min and quiet >= times[0] + timedelta(minutes=rule.ahead_min):
        start = clock_minutes(book.community.quiet_from or "00:00")
        again = Offer(label=line("button.type_again"), question=question, form="remind")
        raise Ask(clarify("reminder", line("remind.room_too_late", clock=start), offers=[again]))
    late = (line("remind.room_quiet", at=Stamp(quiet, "f")),) if quiet else ()
    other = room_list(book)
    days = {book.local(one.next_due) for one in other if one.next_due}
    same = (line("remind.room_same_day"),) if book.local(times[0]) in days else ()
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.preview"), *shown),
        expect=(_room_times(times, book),),
        check=(*late, *same, line("remind.nobody_called")),
        offers=(
            Offer(label=line("button.set_it"), question=_as_shown(question, rule)),
            Offer(label=line("button.change"), question=question, form="remind"),
        ),
    )  # fmt: skip


def _as_shown(question: Remind, rule: Rule) -> Remind:
    """ "Tomorrow" is another day tomorrow: what comes once is kept by its date."""
    sure = replace(question, sure="yes")
    pattern = rule.pattern
    assert pattern is not None
    if pattern.rrule or pattern.kind != "wall":
        return sure
    at = datetime.fromisoformat(pattern.start_local) + timedelta(minutes=rule.ahead_min)
    return replace(sure, when=f"{at:%d %b %Y %H:%M}")


def _set(rule: Rule, when: When, book: Book) -> Answer:
    pattern = rule.pattern
    assert pattern is not None
    times = next_times(pattern, book.now)
    if not times:
        raise Refusal("bad.never", text=rule.text[:60])
    same = [r for r in book.reminding.rules if (r.text, r.pattern) == (rule.text, pattern)]
    if any(not r.stopped for r in same) and not rule.room:
        raise Refusal("bad.have_it", outcome="refuse")
    word = "remind.set_room" if rule.room else "remind.set"
    first = line(word, text=rule.text, when=when_said(rule, book))
    return Answer(
        outcome="answer",
        intent="reminder",
        days=(Dated(name="at", on=here(times[0], book), origin=FromText()),),
        do=(first,),
        expect=(times_said(times, rule, book),) if pattern.rrule or rule.room else (),
        check=(*notes_on(pattern, times, when, book), *_reach(book, rule)),
        offers=(
            *(
                (Offer(label=line("button.undo"), question=RemindStop(which=NEWEST)),)
                if not rule.room
                else ()
            ),
            Offer(label=line("button.my_reminders"), question=_list_of(rule)),
        ),
        changes=(AddRule(rule=rule),),
    )


def _list_of(rule: Rule) -> Reminders:
    return Reminders(where="room" if rule.room else None)


def times_said(times: list[datetime], rule: Rule, book: Book) -> Line:
    if rule.room:
        return _room_times(times, book)
    return line("remind.times", times=tuple(moment_line(at, book) for at in times))


def _room_times(times: list[datetime], book: Book) -> Line:
    """When the room will really hear it, on each reader's own clock."""
    place = book.community
    heard = [
        quiet_until(at, place.time_zone, place.quiet_from, place.quiet_to) or at for at in times
    ]
    return line(
        "remind.times", times=tuple(line("remind.stamp", at=Stamp(at, "f")) for at in heard)
    )


def notes_on(pattern: Pattern, times: list[datetime], when: When, book: Book) -> tuple[Line, ...]:
    """What one may have meant otherwise, and what the clocks do."""
    found = []
    if when.second:
        found.append(line("remind.second"))
    if pattern.overflow == "clamp":
        found.append(line("remind.clamped"))
    elif when.short_months:
        found.append(line("remind.omitted"))
    if pattern.kind == "wall":
        place = zone_of(pattern.zone)
        for before, after in pairwise(times):
            if before.astimezone(place).utcoffset() != after.astimezone(place).utcoffset():
                found.append(line("remind.clocks_change"))
                break
    own = book.member.quiet_from, book.member.quiet_to
    if times and quiet_until(times[0], book.member.time_zone, *own):
        word = "remind.quiet_silent" if pattern.kind == "wall" else "remind.quiet_later"
        found.append(line(word))
    return tuple(found)


def _reach(book: Book, rule: Rule) -> tuple[Line, ...]:
    """Who takes no private messages hears it here, not when it is missed."""
    return (line("remind.closed"),) if book.member.closed and not rule.room else ()
