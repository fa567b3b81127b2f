"""The list of reminders: what comes when, numbered, each with its button to stop it."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.clock import quiet_until
from bot.records.answer import Answer, Line, Offer, Stamp, line
from bot.records.book import Book
from bot.records.changes import TakeUp
from bot.records.questions import Remind, Reminders, RemindStop
from bot.records.reminders import ANSWERED, TROUBLE, Rule
from bot.services.coach.rules import must_coach
from bot.services.reminding.spoken import about, moment_line, when_said
from bot.services.reminding.unsent import unsent

_PAGE = 8
NUMBER = "#"


def active(book: Book) -> tuple[Rule, ...]:
    """One's own reminders that still come."""
    return tuple(
        rule
        for rule in book.reminding.rules
        if not rule.stopped and rule.what not in (TROUBLE, ANSWERED)
        and (rule.pattern is None or rule.next_due is not None or rule.held)
    )  # fmt: skip


def room_list(book: Book) -> tuple[Rule, ...]:
    """The room's reminders that still come."""
    return tuple(r for r in book.reminding.room if r.next_due is not None or r.held)


def reminders(question: Reminders, book: Book) -> Answer:
    """What one is reminded of, or what the room is: numbered, with the next time of each."""
    if question.where == "unsent":
        return unsent(question, book)
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
    lost = book.reminding.unsent
    failed = (line("remind.unsent", count=len(lost)),) if lost else ()
    may = not room or book.member.coach
    offers = [_stop_offer(number, rule) for number, rule in shown] if may else []
    if len(notes) > (page + 1) * _PAGE:
        more = Reminders(where=question.where, page=str(page + 2))
        offers.append(Offer(label=line("button.more"), question=more))
    if facts:
        offers.append(Offer(label=line("button.stop_records"), question=stop_question(facts)))
    if stopped and not room:
        again = [r for r in book.reminding.rules if r.stopped and r.pattern is None]
        offers.append(
            Offer(
                label=line("button.start_again"), question=replace(stop_question(again), back="yes")
            )
        )
    if room and may and book.community.room_held:
        again_ = Reminders(where="room", again="yes")
        offers.append(Offer(label=line("button.try_again"), question=again_))
    if lost:
        offers.append(Offer(label=line("button.unsent"), question=Reminders(where="unsent")))
    if may:
        new = Remind(where="room" if room else None)
        offers.append(Offer(label=line("button.new"), question=new, form="remind"))
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(head, *rows),
        expect=(*records, *off, *held, *failed),
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
                at=(moment_line(rule.next_due, book),))  # fmt: skip


def _fact(rule: Rule, book: Book) -> Line:
    if rule.next_due is None:
        return line(f"fact.{rule.what}")
    return line("remind.fact_next", what=(line(f"fact.{rule.what}"),),
                at=(moment_line(rule.next_due, book),))  # fmt: skip


def stop_question(rules: list[Rule]) -> RemindStop:
    return RemindStop(which=",".join(f"{NUMBER}{rule.id}" for rule in rules))


def _stop_offer(number: int, rule: Rule) -> Offer:
    return Offer(label=line("button.stop_number", number=number), question=stop_question([rule]))
