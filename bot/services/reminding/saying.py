"""What a reminder says: the action, why it came, and its buttons. Worked out when it is sent.

A fact that is no more so is left out: its debt is void.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from bot.clock import instant, zone_of
from bot.records.answer import Answer, Line, Offer, Stamp, line
from bot.records.book import Book
from bot.records.questions import (
    Outage,
    Reminded,
    Reminders,
    RemindStop,
    Schedule,
)
from bot.records.reminders import ANSWERED, NOTE, OUTAGE, SPELL, TROUBLE, WEEK, Debt
from bot.services.asking import Ask
from bot.services.care.outage import over
from bot.services.care.spell import say_spell
from bot.services.log.schedule import schedule
from bot.services.reminding.rounds import calibrate, full_change, stage, step
from bot.services.reminding.said import Said
from bot.services.reminding.spoken import clock_time, here
from bot.services.reminding.watering import look, pump_line, refill
from calc.errors import CalcError

LATE = timedelta(minutes=2)
_STALE: Final = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """What is sent; void: debts that serve no more. answer None: nothing is left to say."""

    answer: Answer | None
    void: tuple[int, ...] = ()


def say(debts: Sequence[Debt], book: Book) -> Message:
    """A private reminder: one debt with all it needs, several as a list."""
    found = [(debt, _said(debt, book)) for debt in debts]
    left = [one for _, one in found if one is not None]
    void = tuple(debt.id for debt, one in found if one is None)
    if not left:
        return Message(answer=None, void=void)
    if len(left) == 1:
        return Message(answer=_alone(left[0], book), void=void)
    return Message(answer=_together(left, book), void=void)


def _alone(one: Said, book: Book) -> Answer:
    offers = (*one.own, *_later([one.debt], book))
    return replace(one.alone, do=(*one.alone.do, *_timing(one.debt, book)), offers=offers)


def _together(many: Sequence[Said], book: Book) -> Answer:
    """A numbered line each; what to press is numbered too."""
    week = [one for one in many if one.debt.rule.what == WEEK]
    many = [one for one in many if one.debt.rule.what != WEEK]
    rows = tuple(_row(number, one, book) for number, one in enumerate(many, 1))
    own = tuple(
        replace(one.own[0], label=line("button.numbered", what=(one.own[0].label,), number=number))
        for number, one in enumerate(many, 1)
        if one.own
    )
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(
            line("remind.several" if len(many) > 1 else "remind.one", count=len(many)),
            *rows,
            *(said for one in week for said in one.alone.do),
        ),
        offers=(*own, *_later([one.debt for one in (*many, *week)], book)),
    )


def _row(number: int, one: Said, book: Book) -> Line:
    timing = _timing(one.debt, book)
    if not timing:
        return line("remind.row", number=number, what=(one.short,))
    inline = tuple(replace(said, word=f"{said.word}_inline") for said in timing)
    return line("remind.row_timed", number=number, what=(one.short,), timing=inline)


def _timing(debt: Debt, book: Book) -> tuple[Line, ...]:
    """Said where it comes late, stands for several, or follows the last one closely."""
    found = []
    late = book.now - debt.due
    told = debt.rule.late == "expire" and late > _STALE  # says so itself
    if late > LATE and debt.rule.pattern is not None and not told:
        found.append(line("remind.late", at=here(debt.due, book)))
    if debt.missed:
        found.append(line("remind.missed", count=debt.missed))
    if debt.soon:
        found.append(line("remind.soon"))
    return (*found, *_shifted(debt))


def _shifted(debt: Debt) -> tuple[Line, ...]:
    """An hour that the clocks left out today."""
    pattern = debt.rule.pattern
    if pattern is None or pattern.kind != "wall":
        return ()
    wall = datetime.fromisoformat(debt.key)
    real = instant(wall, pattern.zone).astimezone(zone_of(pattern.zone)).replace(tzinfo=None)
    if real == wall:
        return ()
    return (line("remind.shifted", wall=clock_time(wall), at=clock_time(real)),)


def _later(debts: Sequence[Debt], book: Book) -> tuple[Offer, ...]:
    """In 1 hour, Tomorrow, Stop these."""
    if all(debt.rule.what in (TROUBLE, OUTAGE, ANSWERED) for debt in debts):
        return ()  # roots wait for no hour, and an answer is no reminder
    numbers = ",".join(str(debt.id) for debt in debts)
    hour = here(debts[0].due, book).strftime("%H:%M")
    rules = {debt.rule.id for debt in debts}
    stop = (
        RemindStop(which=",".join(f"#{rule}" for rule in sorted(rules)))
        if len(rules) == 1
        else Reminders()
    )
    return (
        Offer(label=line("button.in_1_hour"), question=Reminded(debts=numbers, act="hour")),
        Offer(
            label=line("button.tomorrow"),
            question=Reminded(debts=numbers, act="tomorrow", hour=hour),
        ),
        Offer(
            label=line("button.stop_these" if len(rules) == 1 else "button.which_to_stop"),
            question=stop,
        ),
    )


def _said(debt: Debt, book: Book) -> Said | None:
    sayer = _SAYERS[debt.rule.what]
    try:
        return sayer(debt, book)
    except (Ask, CalcError):
        return None  # the records no longer settle it


def _note(debt: Debt, book: Book) -> Said:
    rule = debt.rule
    tower = next((t for t in (*book.towers, *book.packed) if t.id == rule.tower_id), None)
    said = line("remind.note", text=rule.text)
    if rule.late == "expire" and book.now - debt.due > _STALE:
        # Of what comes every few hours, one that is long over is only told of.
        over = line("remind.expired", text=rule.text, at=here(debt.due, book))
        return Said(
            debt=debt,
            short=over,
            alone=Answer(outcome="answer", intent="reminder", do=(over,)),
        )
    if rule.ahead_min:
        begins = here(_event(debt), book)
        said = line("remind.note_ahead", text=rule.text, at=begins)
    done = Reminded(
        debts=str(debt.id),
        act="done",
        about=rule.text,
        tower=f"#{tower.id}" if tower and tower in book.towers else None,
    )
    return Said(
        debt=debt,
        short=said,
        alone=Answer(outcome="answer", intent="reminder", do=(said,)),
        own=(Offer(label=line("button.done"), question=done),),
    )


def _event(debt: Debt) -> datetime:
    """What a reminder speaks of: it hangs on the occurrence, however late or put off it is said."""
    pattern, lead = debt.rule.pattern, timedelta(minutes=debt.rule.ahead_min)
    if pattern is None or not debt.key:
        return debt.due + lead
    if pattern.kind == "elapsed":
        return datetime.fromisoformat(debt.key) + lead
    return instant(datetime.fromisoformat(debt.key) + lead, pattern.zone)


def week(debt: Debt, book: Book) -> Said | None:
    if not book.towers:
        return None
    found = schedule(Schedule(), book)
    return Said(debt=debt, short=line("remind.week_short"), alone=replace(found, intent="reminder"))


def _trouble(debt: Debt, book: Book) -> Said:
    kind = debt.key.split(":")[0]
    say = line(f"trouble.{kind}")
    what_now = (
        Offer(label=line("button.try_again"), question=Reminders(where="room", again="yes"))
        if kind == "room"
        else Offer(label=line("button.unsent"), question=Reminders(where="unsent"))
    )
    return Said(
        debt=debt,
        short=say,
        alone=Answer(outcome="answer", intent="reminder", do=(say,)),
        own=(what_now,),
    )


def _answered(debt: Debt, book: Book) -> Said | None:
    """What the coach wrote to a question of one's own."""
    found = next((n for n in book.notes if debt.key == f"note:{n.id}"), None)
    if found is None:
        return None  # changed at once: the new text comes when it is asked again
    say = line("remind.answered", coach=found.by, about=found.about, text=found.text)
    return Said(
        debt=debt, short=say, alone=Answer(outcome="answer", intent="coach_note", do=(say,))
    )


def _outage(debt: Debt, book: Book) -> Said | None:
    """Pour by hand, until somebody says that the power is back; one long over is not told of."""
    tower = next((t for t in book.towers if t.id == debt.rule.tower_id), None)
    if tower is None or book.now - debt.due > _STALE:
        return None
    told = [e for e in book.entries(tower.name) if e.kind == "outage"]
    if told and over(told[-1]):
        return None  # another keeper has said that it is over
    say = line("remind.pour", tower=tower.name)
    back = Outage(tower=f"#{tower.id}", step="back")
    return Said(
        debt=debt,
        short=say,
        alone=Answer(outcome="answer", intent="reminder", do=(say, line("remind.pour_how"))),
        own=(Offer(label=line("button.power_back"), question=back),),
    )


_SAYERS: Final[dict[str, Callable[[Debt, Book], Said | None]]] = {
    NOTE: _note, WEEK: week, TROUBLE: _trouble, OUTAGE: _outage, ANSWERED: _answered,
    SPELL: say_spell,
    "refill": refill,
    "pump_line": pump_line,
    "look": look,
    "change": full_change, "stage": stage, "step": step, "calibrate": calibrate,
}  # fmt: skip


def say_in_room(debts: Sequence[Debt], now: datetime) -> Answer:
    """A post for the room: what the coach wrote, with the moment on each reader's own clock."""
    rows = []
    for debt in debts:
        rule = debt.rule
        to = (line(f"room.{rule.place}"),) if rule.place else (line("room.all"),)
        at = Stamp(_event(debt))
        if rule.ahead_min:
            rows.append(line("room.note_ahead", to=to, text=rule.text, at=at,
                             left=Stamp(at.at, "R")))  # fmt: skip
        elif now - debt.due > LATE or debt.missed:
            rows.append(line("room.note_late", to=to, text=rule.text, at=at))
        else:
            rows.append(line("room.note", to=to, text=rule.text))
    head = () if len(rows) == 1 else (line("room.several", count=len(rows)),)
    return Answer(outcome="post", intent="reminder", do=(*head, *rows))
