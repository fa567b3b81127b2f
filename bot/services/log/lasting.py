"""How long the water lasts, whether a drop is a leak, and when the next full change is due.

The plain rate between readings, as the records tell it; `log.use` is the same for what is asked
nowhere and shown everywhere.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from bot.records.answer import (
    Amount,
    Answer,
    Dated,
    Fact,
    FromRecord,
    FromText,
    Learned,
    Line,
    Measure,
    Offer,
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import ChangeDue, Check, Forecast, Leak, Log
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed, measures, rule_fact, tank_fact
from bot.services.log.entries import when
from bot.services.log.use import SPREAD, change_due, use_of
from bot.services.moments import read_past
from bot.services.reminding.spoken import part_of_day
from calc.refill import daily_use_l, days_to_mark
from calc.units import Measures, read_number, read_volume

_LEAK: Final = 3.0  # times the normal day: common practice, no source
_JUMP: Final = 1.5  # within a day, beyond what a hot day drinks
_DAY: Final = timedelta(days=1)
_LOOK_BACK: Final = timedelta(days=3)


def forecast(question: Forecast, book: Book) -> Answer:
    """When a tank comes down to a mark.

    Raises
    ------
    Ask, CalcError
    """
    alone = question.after is not None and question.mark is not None
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    use, level = _pace(question, tower, book)
    mark = _mark(question, tower, book)
    days = days_to_mark(level_l=level.value, mark_l=mark.value, use_l_per_d=use.value)
    early, late = days / (1 + SPREAD), days / (1 - SPREAD)
    at = book.now + days * _DAY
    inputs = computed(use, level, mark)
    first = line(
        "last.until" if days else "last.there",
        mark=Measure(mark.value, "water"),
        at=(part_of_day(at, book),),
        days=Measure(days, "ph"),
        early=Weekday(book.local(book.now + early * _DAY)),
        late=Weekday(book.local(book.now + late * _DAY)),
    )
    return Answer(
        outcome="answer",
        intent="refill_forecast",
        amounts=(
            Amount(name="use", value=use.value, unit="L/day", origin=use.origin),
            Amount(name="days", value=days, unit="days", origin=inputs),
        ),
        days=(Dated(name="at", on=at.astimezone(when(at, book).tzinfo), origin=inputs),),
        do=(first,),
        why=(
            line("why.pace", use=Measure(use.value, "water"), level=Measure(level.value, "water")),
        ),
        check=(line("last.range"),),
    )


def _pace(question: Forecast, tower: Tower | None, book: Book) -> tuple[Fact, Fact]:
    """Use a day [L/d] and what stands in the tank now [L], told or from the log."""
    mine = measures(book)
    if question.before and question.after and question.days:
        start, end = (
            read_volume(t, measures=mine).litres for t in (question.before, question.after)
        )
        added = read_volume(question.added, measures=mine).litres if question.added else 0.0
        days = read_number(question.days, wanted="days", low=0.05, high=400, unit="d")
        rate = daily_use_l(start_l=start, end_l=end, added_l=added, days_d=days)
        origin = computed(Fact("before", start, FromText()), Fact("after", end, FromText()))
        return Fact("use", rate, origin), Fact("level", end, FromText())
    known = use_of(tower, book) if tower else None
    rate_told = read_volume(question.use, measures=mine).litres if question.use else None
    if rate_told is None and known is None:
        offer = Offer(
            label=line("button.write_down"), question=Log(tower=question.tower), form="log"
        )
        raise Ask(clarify("refill_forecast", line("last.ask"), offers=[offer]))
    use = (
        Fact("use", rate_told, FromText())
        if rate_told is not None
        else Fact("use", known.l_per_d if known else 0.0, Learned(known.readings if known else 0))
    )
    return use, _level_now(question, use.value, tower, book)


def _level_now(question: Forecast, rate: float, tower: Tower | None, book: Book) -> Fact:
    """As told; else the last reading, less what was drunk since."""
    if question.after:
        litres = read_volume(question.after, measures=measures(book)).litres
        return Fact("level", litres, FromText())
    known = use_of(tower, book) if tower else None
    if known is None:
        raise Ask(clarify("refill_forecast", line("last.ask")))
    gone = (book.now - known.at) / _DAY * rate
    return Fact("level", max(0.0, known.level_l - gone), FromRecord(book.local(known.at)))


def _mark(question: Forecast, tower: Tower | None, book: Book) -> Fact:
    """The level named, else the tower's refill mark, its pump line, or half the tank."""
    if question.mark:
        litres = read_volume(question.mark, measures=measures(book)).litres
        return Fact("mark", litres, FromText())
    if tower is None:
        raise Ask(clarify("refill_forecast", line("last.ask_mark")))
    tank = Fact("tank", tower.tank_l, FromRecord(tower.set_on))
    if tower.refill_at_fraction is None and tower.pump_min_l is not None:
        return Fact("mark", tower.pump_min_l, FromRecord(tower.set_on))
    if tower.refill_at_fraction is not None:
        return Fact("mark", tower.refill_at_fraction * tower.tank_l, tank.origin)
    share = rule_fact("refill_mark_fraction", "refill mark", book)
    return Fact("mark", share.value * tower.tank_l, computed(share, tank))


def leak(question: Leak, book: Book) -> Answer:
    """A leak first, where a day's loss is far over the tower's own normal.

    Raises
    ------
    Ask, CalcError
    """
    alone = question.lost is not None and question.use is not None
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    if question.lost is None:
        raise Ask(clarify("leak", line("leak.ask")))
    mine = measures(book)
    lost = Fact("lost", read_volume(question.lost, measures=mine).litres, FromText())
    hours = _hours(question)
    normal = _normal(question, tower, mine, book)
    days = max(1.0, hours / 24)  # a night is set against a whole day: it is no less a jump
    ratio = lost.value / days / normal.value
    jump = hours <= 24 and ratio > _JUMP
    is_leak = ratio > _LEAK or jump
    shown = {"ratio": Measure(ratio, "ph"), "normal": Measure(normal.value, "water")}
    return Answer(
        outcome="answer",
        intent="leak",
        amounts=(Amount(name="ratio", value=ratio, unit="x", origin=computed(lost, normal)),),
        do=(line("leak.electric"), line("leak.yes", **shown))
        if is_leak
        else (line("leak.no", **shown),),
        expect=(line("leak.test"), line("leak.where")) if is_leak else (line("leak.thirst"),),
        check=(line("leak.common"),),
        cautions=(line("caution.leak"),) if is_leak else (),
        offers=_read_it(tower),
    )


def sudden(tower: Tower, level_l: float, book: Book) -> tuple[Line, ...]:
    """A level just read that is far below what a day or two of thirst explain: a leak first.

    What an eye can err by, at both readings, is no loss.
    """
    use = use_of(tower, book) if book.private else None
    if use is None or book.now - use.at > _LOOK_BACK:
        return ()
    hours = (book.now - use.at) / timedelta(hours=1)
    lost = use.level_l - level_l
    slack = 2 * book.number("level_guess_fraction") * tower.tank_l
    ratio = lost / max(1.0, hours / 24) / use.l_per_d
    if lost <= slack or not (ratio > _LEAK or (hours <= 24 and ratio > _JUMP)):
        return ()
    shown = {"ratio": Measure(ratio, "ph"), "normal": Measure(use.l_per_d, "water")}
    return (line("leak.electric"), line("leak.yes", **shown))


def _hours(question: Leak) -> float:
    if question.hours is None:
        return 24.0
    return read_number(question.hours, wanted="hours", low=0.1, high=24 * 60, unit="h")


def _normal(question: Leak, tower: Tower | None, mine: Measures, book: Book) -> Fact:
    if question.use:
        return Fact("normal", read_volume(question.use, measures=mine).litres, FromText())
    known = use_of(tower, book) if tower else None
    if known is None:
        raise Ask(clarify("leak", line("leak.ask_normal")))
    return Fact("normal", known.l_per_d, Learned(known.readings))


def _read_it(tower: Tower | None) -> tuple[Offer, ...]:
    if tower is None or not tower.id:
        return ()
    return (Offer(label=line("button.write_down"), question=Check(tower=tower.name), form="check"),)


def due(question: ChangeDue, book: Book) -> Answer:
    """The day of the next full change, by days and by what was topped up, with the reason.

    Raises
    ------
    Ask, CalcError
    """
    alone = question.since is not None and question.tank is not None
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    tank = tank_fact(question.tank, tower, book)
    assert tank is not None, "a tower, or the tank in the text"
    since, added = _since(question, tower, book)
    days = rule_fact("change_every_days", "days", book)
    tanks = rule_fact("change_after_tanks", "tanks", book)
    latest = since + timedelta(days=days.value)
    left = tanks.value * tank.value - added.value
    use = use_of(tower, book) if tower else None
    today = book.local(book.now)
    by_water = today + timedelta(days=max(0.0, left) / use.l_per_d) if use and left > 0 else None
    on = min(latest, by_water or latest) if left > 0 else today
    inputs = computed(days, tanks, tank, added)
    over = max(0, (today - on).days)
    return Answer(
        outcome="answer",
        intent="tank_change",
        amounts=(
            Amount(name="until_due", value=max(0.0, left), unit="L", origin=inputs),
            Amount(name="days_since", value=(today - since).days, unit="days", origin=inputs),
            Amount(name="overdue", value=over, unit="days", origin=inputs),
            Amount(name="added_total", value=added.value, unit="L", origin=added.origin),
        ),
        days=(Dated(name="due_date", on=on, origin=inputs),),
        do=(_due_said(on, today, latest, left, tower),),
        why=(
            line("why.change_rule", since=since, days=Measure(days.value, "number"),
                 tanks=Measure(tanks.value, "number"), added=Measure(added.value, "water")),
        ),
        check=(line("change.common" if book.rule("change_every_days").set_on is None
                    else "change.coach"),),
        offers=_changed(tower, on, today),
    )  # fmt: skip


def _since(question: ChangeDue, tower: Tower | None, book: Book) -> tuple[date, Fact]:
    """The last full change, and what was topped up since."""
    added = None
    if question.added:
        litres = read_volume(question.added, measures=measures(book)).litres
        added = Fact("topped up", litres, FromText())
    found = change_due(tower, book) if tower else None
    if question.since:
        at = read_past(question.since, now=book.now, zone=book.member.time_zone,
                       month_first=book.member.units == "us")  # fmt: skip
        on = book.local(at)
    elif found is not None:
        on = book.local(found.since.at)
    else:
        raise Ask(clarify("tank_change", line("change.ask")))
    if added is None:
        lines = book.entries(tower.name) if tower else ()
        total = sum(e.water_added_l or 0.0 for e in lines if book.local(e.at) > on)
        added = Fact("topped up", total, FromRecord(on))
    return on, added


def _due_said(on: date, today: date, latest: date, left: float, tower: Tower | None) -> Line:
    if on <= today:
        return line("change.now", day=on)
    if on < latest:
        return line("change.by_water", day=Weekday(on), latest=Weekday(latest),
                    left=Measure(left, "water"))  # fmt: skip
    return line("change.by_days", day=Weekday(on), left=Measure(left, "water"))


def _changed(tower: Tower | None, on: date, today: date) -> tuple[Offer, ...]:
    if tower is None or not tower.id or on > today:
        return ()
    return (Offer(label=line("button.done"), question=Log(tower=tower.name, change="yes")),)
