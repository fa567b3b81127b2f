"""Reminders set, listed, changed and stopped."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from bot.clock import quiet_until, zone_of
from bot.errors import Refusal
from bot.records.answer import Answer, Awaits, Line, Offer, Stamp, line
from bot.records.book import Book
from bot.records.changes import AddRule, Change, EditRule, StopRules, TakeUp
from bot.records.questions import Remind, Reminders, RemindStop
from bot.records.reminders import MOST_ROOM_RULES, MOST_RULES, NOTE, WEEK, Debt, Pattern, Rule
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.services.facts import named_tower
from bot.services.moments import clock_minutes, read_clock
from bot.services.reminding.saying import say_in_room
from bot.services.reminding.spoken import about, here, next_times, when_said
from bot.services.reminding.when import When, read_ahead, read_when
from bot.text import visible
from bot.words import sentence
from calc.errors import Unreadable

_PAGE = 8
_LONGEST = 200
NUMBER = "#"
_DRY: Final = re.compile(r"\b(dry|quarter|empty|pump line|out)\b")
_BY_RECORDS: Final = re.compile(
    r"\b(half|quarter|low|empty|dry|pump line|tank is|runs? (?:out|low|dry))\b(?! (?:past|an|hour))"
)
RECORDS = "records"  # all that the records ask for
NEWEST = "newest"  # the one set last


def remind(question: Remind, book: Book) -> Answer:
    """A new reminder, or another text or time for an old one.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    if question.which is not None:
        return _changed(question, book)
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
    rule, when = _rule(question, book, room=room)
    if when.short_months and question.short is None:
        raise Ask(_short(question, rule, book))
    if room and question.sure is None:
        return _preview(question, rule, book)
    return _set(rule, when, book)


def _unasked(text: str, book: Book) -> Answer:
    """ "When the tank is half": the records tell, and they do it unasked."""
    what = "pump_line" if _DRY.search(text.casefold()) else "refill"
    rule = next((r for r in book.reminding.rules if r.what == what), None)
    if rule is not None and rule.stopped:
        again = replace(_stop([rule]), back="yes")
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


def _rule(
    question: Remind, book: Book, *, room: bool, before: Rule | None = None
) -> tuple[Rule, When]:
    """before: the rule that is changed; how long ahead it comes stays."""
    text = " ".join((question.about or "").split())
    if len(text) > _LONGEST:
        raise Refusal("bad.text_long", count=_LONGEST)
    zone = book.community.time_zone if room else book.member.time_zone
    when = read_when(question.when or "", book, zone=zone, room=room)
    pattern = when.pattern
    if question.short == "last":
        pattern = replace(pattern, overflow="clamp")
    lead = question.ahead or (f"{before.ahead_min} min" if before and before.ahead_min else None)
    ahead = read_ahead(lead) if lead else 0
    if ahead:
        pattern = _earlier(pattern, ahead, book)
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


def _earlier(pattern: Pattern, ahead_min: int, book: Book) -> Pattern:
    """The same times, so long before; only where they stay on their days."""
    start = datetime.fromisoformat(pattern.start_local)
    before = start - timedelta(minutes=ahead_min)
    if pattern.rrule and before.date() != start.date():
        raise Refusal("bad.ahead_long")
    moved = replace(pattern, start_local=before.isoformat(timespec="minutes"))
    if not next_times(moved, book.now, 1):
        raise Refusal("bad.ahead_over")
    return moved


def _short(question: Remind, rule: Rule, book: Book) -> Answer:
    """A day that some months have not: chosen once, with the dates of each choice."""
    pattern = rule.pattern
    assert pattern is not None
    choices = {"skip": pattern, "last": replace(pattern, overflow="clamp")}
    shown = {
        key: tuple(
            line("remind.day", day=here(at, book).date()) for at in next_times(one, book.now, 4)
        )
        for key, one in choices.items()
    }
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
        do=(first,),
        expect=(_times(times, rule, book),) if pattern.rrule or rule.room else (),
        check=(*_notes(pattern, times, when, book), *_reach(book, rule)),
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


def _times(times: list[datetime], rule: Rule, book: Book) -> Line:
    if rule.room:
        return _room_times(times, book)
    return line("remind.times", times=tuple(_said_at(at, book) for at in times))


def _room_times(times: list[datetime], book: Book) -> Line:
    """When the room will really hear it, on each reader's own clock."""
    place = book.community
    heard = [
        quiet_until(at, place.time_zone, place.quiet_from, place.quiet_to) or at for at in times
    ]
    return line(
        "remind.times", times=tuple(line("remind.stamp", at=Stamp(at, "f")) for at in heard)
    )


def _said_at(at: datetime, book: Book) -> Line:
    """With its year where that is another."""
    local = here(at, book)
    if local.year == here(book.now, book).year:
        return line("remind.at", at=local)
    return line("remind.at_year", at=local, year=local.year)


def _notes(pattern: Pattern, times: list[datetime], when: When, book: Book) -> tuple[Line, ...]:
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


# The list


def active(book: Book) -> tuple[Rule, ...]:
    """One's own reminders that still come."""
    return tuple(
        rule
        for rule in book.reminding.rules
        if not rule.stopped and rule.what != "trouble"
        and (rule.pattern is None or rule.next_due is not None or rule.held)
    )  # fmt: skip


def room_list(book: Book) -> tuple[Rule, ...]:
    """The room's reminders that still come."""
    return tuple(r for r in book.reminding.room if r.next_due is not None or r.held)


def reminders(question: Reminders, book: Book) -> Answer:
    """What one is reminded of, or what the room is: numbered, with the next time of each."""
    room = question.where == "room"
    if room and question.again:
        must_coach(book, anywhere=True)
        return Answer(
            outcome="answer",
            intent="reminder",
            do=(line("remind.tried"),),
            changes=(TakeUp(room=True),),
        )
    rules = room_list(book) if room else active(book)
    notes = [rule for rule in rules if rule.pattern is not None]
    page = _page(question.page, len(notes))
    shown = list(enumerate(notes, 1))[page * _PAGE : (page + 1) * _PAGE]
    rows = tuple(_row(number, rule, book) for number, rule in shown)
    head = line("remind.list_room" if room else "remind.list") if rows else line("remind.none")
    stopped = {r.what for r in book.reminding.rules if r.stopped and r.pattern is None}
    facts = [r for r in rules if r.pattern is None]
    dated = [rule for rule in facts if rule.next_due is not None]
    later = [rule for rule in facts if rule.next_due is None]
    records = (
        *(
            (line("remind.from_records", facts=tuple(_fact(r, book) for r in dated)),)
            if dated
            else ()
        ),
        *((line("remind.when_due", facts=tuple(_fact(r, book) for r in later)),) if later else ()),
    )
    off = (
        (line("remind.off", facts=tuple(line(f"fact.{w}") for w in sorted(stopped))),)
        if stopped and not room
        else ()
    )
    held = (line("remind.held", count=sum(r.held for r in rules)),) if any(
        r.held for r in rules) else ()  # fmt: skip
    may = not room or book.member.coach
    offers = [_stop_offer(number, rule) for number, rule in shown] if may else []
    if len(notes) > (page + 1) * _PAGE:
        more = Reminders(where=question.where, page=str(page + 2))
        offers.append(Offer(label=line("button.more"), question=more))
    if facts:
        offers.append(Offer(label=line("button.stop_records"), question=_stop(facts)))
    if stopped and not room:
        again = [r for r in book.reminding.rules if r.stopped and r.pattern is None]
        offers.append(
            Offer(label=line("button.start_again"), question=replace(_stop(again), back="yes"))
        )
    if room and may and book.community.room_held:
        again_ = Reminders(where="room", again="yes")
        offers.append(Offer(label=line("button.try_again"), question=again_))
    if may:
        new = Remind(where="room" if room else None)
        offers.append(Offer(label=line("button.new"), question=new, form="remind"))
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(head, *rows),
        expect=(*records, *off, *held),
        check=(line("remind.how_room" if room else "remind.how"),) if rows and may else (),
        offers=tuple(offers),
    )


def _page(text: str | None, count: int) -> int:
    """Which page, from 0; the last where there are not so many."""
    wanted = int(text) - 1 if text and re.fullmatch(r"[0-9]{1,3}", text) else 0
    return max(0, min(wanted, (count - 1) // _PAGE))


def _row(number: int, rule: Rule, book: Book) -> Line:
    pattern = rule.pattern
    assert pattern is not None
    when = when_said(rule, book)
    if rule.next_due is None:
        return line("remind.row_waiting", number=number, what=about(rule, book), when=when)
    if rule.room:
        place = book.community
        quiet = quiet_until(rule.next_due, place.time_zone, place.quiet_from, place.quiet_to)
        return line("remind.row_room", number=number, what=about(rule, book), when=when,
                    at=Stamp(quiet or rule.next_due, "f"))  # fmt: skip
    return line("remind.row_next", number=number, what=about(rule, book), when=when,
                at=here(rule.next_due, book))  # fmt: skip


def _fact(rule: Rule, book: Book) -> Line:
    if rule.next_due is None:
        return line(f"fact.{rule.what}")
    return line("remind.fact_next", what=(line(f"fact.{rule.what}"),),
                at=here(rule.next_due, book))  # fmt: skip


def _stop(rules: list[Rule]) -> RemindStop:
    return RemindStop(which=",".join(f"{NUMBER}{rule.id}" for rule in rules))


def _stop_offer(number: int, rule: Rule) -> Offer:
    return Offer(label=line("button.stop_number", number=number), question=_stop([rule]))


# Changing and stopping


def _chosen(which: str, book: Book, where: str | None = None) -> list[Rule]:
    """The rules that a number of the list, a button's number, "all", or a name means."""
    words = which.strip().casefold()
    listed = room_list(book) if where == "room" else active(book)
    if words == "all":
        return list(listed)
    if words == RECORDS:
        return [rule for rule in active(book) if rule.what != NOTE]
    notes = [rule for rule in listed if rule.pattern is not None]
    if words == NEWEST:
        return [rule for rule in notes if rule.what == NOTE][-1:] or _none()
    mine = [*book.reminding.rules, *(book.reminding.room if book.member.coach else ())]
    found: list[Rule] = []
    for part in words.split(","):
        found += _one(part.strip(), listed, notes, mine)
    return found


def _one(part: str, listed: Sequence[Rule], notes: list[Rule], mine: list[Rule]) -> list[Rule]:
    if part.startswith(NUMBER):
        return [rule for rule in mine if f"{NUMBER}{rule.id}" == part] or _none()
    if part.isdigit():
        return notes[int(part) - 1 : int(part)] if int(part) > 0 else _none()
    named = [rule for rule in listed if part and part in _name(rule).casefold()]
    return named if len(named) == 1 else _none()


def _name(rule: Rule) -> str:
    return rule.text if rule.what == NOTE else sentence(f"fact.{rule.what}")


def _none() -> list[Rule]:
    raise Refusal("bad.rule_gone", outcome="refuse")


def stop(question: RemindStop, book: Book) -> Answer:
    """They come no more, or go on again.

    Raises
    ------
    Refusal
    """
    if question.which is None:
        return reminders(Reminders(), book)
    rules = _chosen(question.which, book, question.where) or _none()
    names = tuple(line("remind.name", what=about(rule, book)) for rule in rules)
    if question.back:
        over = [r for r in rules if r.pattern and not next_times(r.pattern, book.now, 1)]
        if over:
            raise Refusal("bad.over", outcome="refuse")
        again: tuple[Change, ...] = tuple(EditRule(rule_id=r.id, again=True) for r in rules)
        return Answer(
            outcome="answer", intent="reminder", do=(line("remind.again", names=names),),
            changes=again,
        )  # fmt: skip
    back = replace(_stop(rules), back="yes")
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.stopped", names=names),),
        offers=(Offer(label=line("button.start_again"), question=back),),
        changes=(StopRules(rule_ids=tuple(rule.id for rule in rules)),),
    )


def _changed(question: Remind, book: Book) -> Answer:
    """Another text or time; what is not named stays."""
    chosen = _chosen(question.which or "", book, question.where)
    if len(chosen) != 1:
        raise Refusal("bad.one_only" if chosen else "bad.rule_gone", outcome="refuse")
    (rule,) = chosen
    if rule.room:
        must_coach(book)
    if not question.about and not question.when:
        known = replace(question, about=rule.text or None)
        offer = Offer(label=line("button.write_down"), question=known, form="remind")
        raise Ask(clarify("reminder", line("remind.change_what"), offers=[offer]))
    if rule.pattern is None:
        return _other_hour(question, rule, book)
    pattern, when = _same_days(question.when, rule, book), None
    if question.when and pattern is None:
        told = replace(question, about=question.about or rule.text or "-", where=None, which=None)
        made, when = _rule(told, book, room=rule.room, before=rule)
        if when.short_months and question.short is None:
            raise Ask(_short(question, made, book))
        pattern = made.pattern
    if question.about and rule.what == WEEK:
        raise Refusal("bad.week_text")
    text = " ".join((question.about or rule.text).split())[:_LONGEST]
    after = replace(rule, text=text, pattern=pattern or rule.pattern)
    assert after.pattern is not None
    times = next_times(after.pattern, book.now)
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.changed", what=about(after, book), when=when_said(after, book)),),
        expect=(_times(times, after, book),),
        check=_notes(after.pattern, times, when or When(pattern=after.pattern), book),
        changes=(EditRule(rule_id=rule.id, text=question.about and text, pattern=pattern),),
    )


def _same_days(text: str | None, rule: Rule, book: Book) -> Pattern | None:
    """A bare time of day for what comes again and again: the same days at that time."""
    pattern = rule.pattern
    assert pattern is not None
    if not text or not pattern.rrule:
        return None
    try:
        clock = read_clock(text)
    except Unreadable:
        return None
    if pattern.kind != "wall":
        raise Refusal("bad.no_clock")
    start = datetime.fromisoformat(pattern.start_local) + timedelta(minutes=rule.ahead_min)
    moved = replace(pattern, start_local=f"{start.date().isoformat()}T{clock}")
    if rule.ahead_min:
        moved = _earlier(moved, rule.ahead_min, book)
    if not next_times(moved, book.now, 1):
        raise Refusal("bad.never", text=text[:60])
    return moved


def _other_hour(question: Remind, rule: Rule, book: Book) -> Answer:
    """What the records tell has no times but an hour."""
    if question.about:
        raise Refusal("bad.week_text")
    hour = read_clock(question.when or "")
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.hour", what=about(rule, book), clock=clock_minutes(hour)),),
        changes=(EditRule(rule_id=rule.id, hour=hour),),
    )
