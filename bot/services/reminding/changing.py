"""Reminders changed, stopped and begun again, by number, by name, or by a button."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.errors import Refusal
from bot.records.answer import Answer, Offer, line
from bot.records.book import Book
from bot.records.changes import Change, EditRule, StopRules
from bot.records.questions import Remind, Reminders, RemindStop
from bot.records.reminders import NOTE, WEEK, Pattern, Rule
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.services.moments import clock_minutes, read_clock
from bot.services.reminding.listing import active, reminders, room_list, stop_question
from bot.services.reminding.setting import (
    LONGEST,
    earlier,
    made_rule,
    notes_on,
    short_months,
    times_said,
)
from bot.services.reminding.spoken import about, next_times, when_said
from bot.services.reminding.when import When
from bot.words import sentence
from calc.errors import Unreadable

NUMBER = "#"
RECORDS = "records"  # all that the records ask for
NEWEST = "newest"  # the one set last


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
    back = replace(stop_question(rules), back="yes")
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.stopped", names=names),),
        offers=(Offer(label=line("button.start_again"), question=back),),
        changes=(StopRules(rule_ids=tuple(rule.id for rule in rules)),),
    )


def change(question: Remind, book: Book) -> Answer:
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
        made, when = made_rule(told, book, room=rule.room, before=rule)
        if when.short_months and question.short is None:
            raise Ask(short_months(question, made, book))
        pattern = made.pattern
    if question.about and rule.what == WEEK:
        raise Refusal("bad.week_text")
    text = " ".join((question.about or rule.text).split())[:LONGEST]
    after = replace(rule, text=text, pattern=pattern or rule.pattern)
    assert after.pattern is not None
    times = next_times(after.pattern, book.now)
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.changed", what=about(after, book), when=when_said(after, book)),),
        expect=(times_said(times, after, book),),
        check=notes_on(after.pattern, times, when or When(pattern=after.pattern), book),
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
        moved = earlier(moved, rule.ahead_min, book)
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
