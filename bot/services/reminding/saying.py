"""What a reminder says: the action, why it came, and its buttons. Worked out when it is sent.

A fact that is no more so is left out: its debt is void.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from bot.clock import instant
from bot.records.answer import Answer, Line, Measure, Offer, Pour, Pours, Stamp, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import (
    Door,
    Dose,
    Log,
    Reminded,
    Reminders,
    RemindStop,
    Schedule,
    SettingsEdit,
    TopUp,
    TowerEdit,
)
from bot.records.reminders import NOTE, TROUBLE, WEEK, Debt
from bot.services.asking import Ask
from bot.services.log.schedule import schedule
from bot.services.log.use import (
    Use,
    change_due,
    pump_line_l,
    reaches,
    refill_mark_l,
    use_of,
)
from bot.services.log.writing import REMINDED
from bot.services.newcomer.steps import next_step
from bot.services.reminding.facts import last_fill
from bot.services.reminding.spoken import here
from bot.services.topup import topup
from calc.errors import CalcError

LATE = timedelta(minutes=2)
_THREE_QUARTERS: Final = 0.7
_DAY: Final = timedelta(days=1)
_CHANGE_SOON_D: Final = 3
_STALE: Final = timedelta(hours=1)
_ALARM_WITHIN: Final = timedelta(hours=40)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One debt in words. short: one line of several; alone: the whole message."""

    debt: Debt
    short: Line
    alone: Answer
    own: tuple[Offer, ...] = ()


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
        replace(one.own[0], label=line("button.done_number", number=number))
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
    return tuple(found)


def _later(debts: Sequence[Debt], book: Book) -> tuple[Offer, ...]:
    """In 1 hour, Tomorrow, Stop these."""
    if all(debt.rule.what == TROUBLE for debt in debts):
        return ()
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


def _answer(do: Line, *more: Line, why: Line, check: tuple[Line, ...] = ()) -> Answer:
    return Answer(outcome="answer", intent="reminder", do=(do, *more), why=(why,), check=check)


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


def _tower(debt: Debt, book: Book) -> Tower | None:
    number = debt.key.split(":")[1]
    return next((t for t in book.towers if str(t.id) == number), None)


def _same_cycle(debt: Debt, tower: Tower, book: Book) -> bool:
    """Nothing was filled since the debt was made."""
    fill = last_fill(tower, book)
    began = fill.id if fill and (fill.water_added_l or fill.kind == "change") else 0
    return debt.key.split(":")[2] == str(began)


def _refill(debt: Debt, book: Book) -> Said | None:
    tower = _tower(debt, book)
    use = use_of(tower, book) if tower else None
    if tower is None or use is None or not _same_cycle(debt, tower, book):
        return None
    mark = refill_mark_l(tower, book)
    likely, early, late = reaches(use, mark)
    if book.local(likely) > book.local(book.now) + _DAY:
        return None  # thirst has dropped: told of again when it is near
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    if dry <= book.now:
        return _unread(debt, tower, use, book)  # no sum is worth pouring by any more
    level = min(mark, use.level_l)
    found = topup(TopUp(tower=tower.name, level=f"{level:.6f} l"), book)
    over = likely <= book.now
    sure = book.local(early) == book.local(late)
    say = line(
        "remind.refill_now" if over else "remind.refill_sure" if sure else "remind.refill",
        tower=tower.name,
        mark=Measure(level, "water"),
        day=Weekday(book.local(max(likely, book.now))),
        early=Weekday(book.local(max(early, book.now))),
        late=Weekday(book.local(max(late, book.now))),
    )
    why = line("why.refill", use=Measure(use.l_per_d, "water"), count=use.readings)
    change = change_due(tower, book)
    soon = change is not None and (change.on - book.local(book.now)).days <= _CHANGE_SOON_D
    better = (line("check.change_soon", day=Weekday(change.on)),) if change and soon else ()
    check = (*better, line("check.read_first"), *found.check[-1:])
    alone = replace(
        found,
        intent="reminder",
        do=(say, *found.do),
        why=(why,),
        check=check,
        expect=found.expect[:1],
        changes=(),
    )
    short = line("remind.row_fill", what=(say,), amounts=_amounts(found))
    return Said(debt=debt, short=short, alone=alone, own=_fill_offers(found))


def _unread(debt: Debt, tower: Tower, use: Use, book: Book) -> Said:
    """By the sum it is dry: somebody has to look, and the amounts wait for what they see."""
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    say = line(
        "remind.below_line",
        tower=tower.name,
        read=Weekday(book.local(use.at)),
        since=Weekday(book.local(dry)),
    )
    form = "topup_metered" if book.member.has_ec_meter else "topup"
    write = Offer(label=line("button.write_down"), question=TopUp(tower=tower.name), form=form)
    why = line("why.refill", use=Measure(use.l_per_d, "water"), count=use.readings)
    dry_roots = line("remind.dry", mark=Measure(pump_line_l(tower, book), "water"))
    return Said(debt=debt, short=say, alone=_answer(say, dry_roots, why=why), own=(write,))


def _amounts(found: Answer) -> tuple[Line, ...]:
    """Water and feed of a top-up in a few words."""
    water = next((a.value for a in found.amounts if a.name == "water"), 0.0)
    parts = tuple(
        Pour(a.name, a.value, a.unit == "g") for a in found.amounts if a.unit in ("mL", "g")
    )
    pours = Pours(parts, steps=False, spoons=False)
    if not any(part.amount for part in parts):
        return (line("reading.water", water=Measure(water, "water")),)
    return (line("reading.water_and", water=Measure(water, "water"), pours=pours),)


def _fill_offers(found: Answer) -> tuple[Offer, ...]:
    """The top-up's own two buttons, "Done" first; nobody has read the level yet."""
    offers = [
        replace(offer, question=replace(offer.question, before=None, added=None, shown=REMINDED))
        for offer in found.offers
        if isinstance(offer.question, Log) and offer.question.shown
    ]
    if not offers:
        return ()
    return (replace(offers[0], label=line("button.done")), *offers[1:])


def _pump_line(debt: Debt, book: Book) -> Said | None:
    tower = _tower(debt, book)
    use = use_of(tower, book) if tower else None
    if tower is None or use is None or not _same_cycle(debt, tower, book):
        return None
    mark = pump_line_l(tower, book)
    likely, early, _ = reaches(use, mark)
    if early - book.now > _ALARM_WITHIN:
        return None
    if likely <= book.now:
        return _unread(debt, tower, use, book)
    gone = (book.now - use.at) / _DAY * use.l_per_d
    level = max(0.0, use.level_l - gone)
    found = topup(TopUp(tower=tower.name, level=f"{level:.6f} l"), book)
    say = line(
        "remind.pump_line",
        tower=tower.name,
        early=(_part_of_day(max(early, book.now), book),),
        likely=(_part_of_day(likely, book),),
    )
    why = line("why.refill", use=Measure(use.l_per_d, "water"), count=use.readings)
    alone = _answer(
        say,
        line("remind.dry", mark=Measure(mark, "water")),
        *found.do,
        why=why,
        check=(line("check.read_first"),),
    )
    short = line("remind.row_fill", what=(say,), amounts=_amounts(found))
    return Said(debt=debt, short=short, alone=alone, own=_fill_offers(found))


def _part_of_day(at: datetime, book: Book) -> Line:
    """A forecast knows no minutes: Sat 24 Oct, morning."""
    local = here(at, book)
    begins = ((5, "night"), (12, "morning"), (17, "afternoon"), (22, "evening"))
    part = next((name for end, name in begins if local.hour < end), "night")
    return line("day.part", day=Weekday(local.date()), part=(line(f"part.{part}"),))


def _change(debt: Debt, book: Book) -> Said | None:
    tower = _tower(debt, book)
    found = change_due(tower, book) if tower else None
    if tower is None or found is None:
        return None
    began = found.since.id if found.since.kind == "change" else 0
    later = found.on > book.local(book.now) + _DAY  # slower by now: told again then
    if later or debt.key.rsplit(":", 1)[1] != str(began):
        return None
    say = line("remind.change", tower=tower.name, day=Weekday(found.on))
    why = line(
        "why.change" if began else "why.change_unknown",
        since=book.local(found.since.at),
        days=Measure(book.number("change_every_days"), "number"),
        tanks=Measure(book.number("change_after_tanks"), "number"),
    )
    done = Log(tower=tower.name, change="yes")
    return Said(
        debt=debt,
        short=say,
        alone=_answer(say, line("remind.change_how"), why=why),
        own=(Offer(label=line("button.done"), question=done),),
    )


def _stage(debt: Debt, book: Book) -> Said | None:
    tower = _tower(debt, book)
    if tower is None or tower.moved_in_on is None or tower.strength is None:
        return None
    if debt.key.split(":")[2:] != [tower.moved_in_on.isoformat(), str(round(tower.strength * 100))]:
        return None
    half = tower.strength < _THREE_QUARTERS
    rate = book.rule("no_meter_topup_strength").value or 1.0
    to = 0.75 if half else rate
    say = line("remind.stage", tower=tower.name, to=Measure(to, "share"))
    why = line("why.stage", day=tower.moved_in_on, now=Measure(tower.strength, "share"))
    go = TowerEdit(tower=tower.name, strength=f"{to * 100:.1f} %")
    wait = Reminded(debts=str(debt.id), act="days")
    return Said(
        debt=debt,
        short=say,
        alone=_answer(say, why=why),
        own=(
            Offer(label=line("button.go_to", to=Measure(to, "share")), question=go),
            Offer(label=line("button.not_yet"), question=wait),
        ),
    )


def _step(debt: Debt, book: Book) -> Said | None:
    tower = _tower(debt, book)
    found = next_step(tower, book) if tower else None
    if tower is None or found is None or debt.key.split(":")[2] != found.name:
        return None
    say = line(f"remind.{found.name}", tower=tower.name, day=Weekday(found.on))
    why = line("why.step", day=found.on)
    return Said(
        debt=debt, short=say, alone=_answer(say, why=why), own=_step_offers(found.name, tower)
    )


def _step_offers(name: str, tower: Tower) -> tuple[Offer, ...]:
    here_ = Door(tower=tower.name, stage="empty")
    growing = Door(tower=tower.name, stage="growing")
    match name:
        case "leak_run":
            return (Offer(label=line("button.it_is_here"), question=here_),)
        case "jug":
            count = TowerEdit(tower=tower.name)
            return (Offer(label=line("button.counted"), question=count, form="counted"),)
        case "first_fill":
            return (Offer(label=line("button.how_much"), question=Dose(tower=tower.name)),)
        case _:
            return (Offer(label=line("button.plants_in"), question=growing),)


def _calibrate(debt: Debt, book: Book) -> Said | None:
    last = book.member.calibrated_on
    if not book.member.has_ec_meter:
        return None
    if last is not None and debt.key != f"calibrate:{last.isoformat()}":
        return None
    say = line("remind.calibrate")
    why = line("why.calibrate", day=last) if last else line("why.calibrate_never")
    done = SettingsEdit(calibrated="today")
    return Said(
        debt=debt,
        short=say,
        alone=_answer(say, why=why, check=(line("check.common"),)),
        own=(Offer(label=line("button.done"), question=done),),
    )


def _week(debt: Debt, book: Book) -> Said | None:
    if not book.towers:
        return None
    found = schedule(Schedule(), book)
    return Said(debt=debt, short=line("remind.week_short"), alone=replace(found, intent="reminder"))


def _trouble(debt: Debt, book: Book) -> Said:
    kind = debt.key.split(":")[0]
    say = line(f"trouble.{kind}")
    again = Offer(label=line("button.try_again"), question=Reminders(where="room", again="yes"))
    return Said(
        debt=debt,
        short=say,
        alone=Answer(outcome="answer", intent="reminder", do=(say,)),
        own=(again,) if kind == "room" else (),
    )


_SAYERS: Final[dict[str, Callable[[Debt, Book], Said | None]]] = {
    NOTE: _note, WEEK: _week, TROUBLE: _trouble, "refill": _refill, "pump_line": _pump_line,
    "change": _change, "stage": _stage, "step": _step, "calibrate": _calibrate,
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
