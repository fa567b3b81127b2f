"""How long the water lasts, and when the next full change is due."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
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
from bot.records.facts import Entry, Tower
from bot.records.questions import ChangeDue, Forecast, Log
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed, measures, rule_fact, tank_fact
from bot.services.log.courses import picture_offer
from bot.services.log.entries import when
from bot.services.log.use import (
    SPREAD,
    Use,
    change_due,
    counted,
    pump_line_l,
    reaches,
    refill_mark_l,
    use_of,
)
from bot.services.log.use import ChangeDue as Counted
from bot.services.moments import read_past
from bot.services.reminding.spoken import part_of_day
from bot.services.yardstick import Measured, depth_of, measured
from calc.refill import daily_use_l, days_to_mark
from calc.units import read_duration_d, read_volume

_DAY: Final = timedelta(days=1)
_PUMP_LINE: Final = "pump line"


def forecast(question: Forecast, book: Book) -> Answer:
    """When a tank comes down to a mark.

    Raises
    ------
    Ask, CalcError
    """
    alone = question.after is not None and question.mark is not None
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    told = _measured(question, tower, book)
    use, level = _pace(question, told, tower, book)
    mark = _mark(question, told, tower, book)
    known = _from_log(told, tower, book)
    days = days_to_mark(level_l=level.value, mark_l=mark.value, use_l_per_d=use.value)
    early, late = days / (1 + SPREAD), days / (1 - SPREAD)
    if known is not None:
        days, early, late = _ahead(known, mark.value, book)
    at = book.now + days * _DAY
    inputs = computed(use, level, mark)
    first = line(
        "last.until" if days else "last.there",
        mark=Measure(mark.value, told.kind),
        at=(part_of_day(at, book),),
        days=Measure(days, "ph"),
        early=Weekday(book.local(book.now + early * _DAY)),
        late=Weekday(book.local(book.now + late * _DAY)),
    )
    return Answer(
        outcome="answer",
        intent="refill_forecast",
        amounts=(
            *(
                (Amount(name="use", value=use.value, unit="L/day", origin=use.origin),)
                if told.unit == "L"
                else ()
            ),
            Amount(name="days", value=days, unit="days", origin=inputs),
        ),
        days=(Dated(name="at", on=at.astimezone(when(at, book).tzinfo), origin=inputs),),
        do=(*_passed(question, known, mark.value, tower, book), first),
        expect=_pump_line_too(known, mark.value, tower, book),
        why=(
            line(
                "why.pace",
                use=Measure(use.value, told.kind),
                level=Measure(level.value, told.kind),
            ),
        ),
        check=_range(known) if days else (),
        offers=_seen(known, tower, book),
    )


def _seen(known: Use | None, tower: Tower | None, book: Book) -> tuple[Offer, ...]:
    """The same as a picture, where the log tells it."""
    if known is None or tower is None or not tower.id or not book.private:
        return ()
    return (picture_offer(tower, "level"), picture_offer(tower, "use"))


def _passed(
    question: Forecast, known: Use | None, mark_l: float, tower: Tower | None, book: Book
) -> tuple[Line, ...]:
    """Asked without a mark, and the refill mark is behind: that comes first."""
    if known is None or tower is None or question.mark is not None:
        return ()
    refill_l = refill_mark_l(tower, book)
    if mark_l >= refill_l or reaches(known, refill_l)[0] > book.now:
        return ()
    return (line("last.refill_now", mark=Measure(refill_l, "water")),)


def _pump_line_too(
    known: Use | None, mark_l: float, tower: Tower | None, book: Book
) -> tuple[Line, ...]:
    """The second mark, where the first is another: what must not be missed."""
    if known is None or tower is None or mark_l <= (pump_l := pump_line_l(tower, book)):
        return ()
    likely, early, _ = reaches(known, pump_l)
    if likely <= book.now:
        return (line("last.pump_now", mark=Measure(pump_l, "water")),)
    return (
        line(
            "last.pump",
            mark=Measure(pump_l, "water"),
            at=(part_of_day(likely, book),),
            early=Weekday(book.local(max(early, book.now))),
        ),
    )


def _from_log(told: Measured, tower: Tower | None, book: Book) -> Use | None:
    """The log and the plants alone tell: neither a level nor a pace stands in the question."""
    if tower is None or told.values.keys() & {"before", "after", "use"}:
        return None
    return use_of(tower, book)


def _ahead(known: Use, mark_l: float, book: Book) -> tuple[float, float, float]:
    """Days from now: most likely, early, late."""
    likely, early, late = (max(0.0, (at - book.now) / _DAY) for at in reaches(known, mark_l))
    return likely, early, late


def _range(known: Use | None) -> tuple[Line, ...]:
    if known is None or known.outlook is None:
        return (line("last.range"),)
    if known.readings < 2:
        return (line("last.range_guess"),)
    return (line("last.range_plants", count=known.readings),)


_IN_DAYS: Final = re.compile(r"^(.+?) in (.+)$")


def _measured(question: Forecast, tower: Tower | None, book: Book) -> Measured:
    """All amounts told, on one measure."""
    use = question.use or ""
    over = _IN_DAYS.match(use)
    told = {
        "before": question.before,
        "after": question.after,
        "added": question.added,
        "mark": None if question.mark == _PUMP_LINE else question.mark,
        "use": over[1] if over else use,
    }
    tank = tower.tank_l if tower else None
    found = measured(told, tank, depth_of(tower, None, book), book, tower)
    if not over:
        return found
    days = read_duration_d(over[2], bare="d", wanted="days", low=0.05, high=400)
    return replace(found, values={**found.values, "use": found.values["use"] / days})


def _pace(question: Forecast, told: Measured, tower: Tower | None, book: Book) -> tuple[Fact, Fact]:
    """Use a day [L/d] and what stands in the tank now [L], told or from the log."""
    values = told.values
    if "before" in values and "after" in values and question.days:
        start, end = values["before"], values["after"]
        days = read_duration_d(question.days, bare="d", wanted="days", low=0.05, high=400)
        rate = daily_use_l(start_l=start, end_l=end, added_l=values.get("added", 0.0), days_d=days)
        origin = computed(Fact("before", start, FromText()), Fact("after", end, FromText()))
        return Fact("use", rate, origin), Fact("level", end, FromText())
    known = use_of(tower, book) if tower else None
    if "use" not in values and known is None:
        offer = Offer(
            label=line("button.write_down"), question=Log(tower=question.tower), form="log"
        )
        raise Ask(clarify("refill_forecast", line("last.ask"), offers=[offer]))
    use = (
        Fact("use", values["use"], FromText())
        if "use" in values
        else Fact("use", known.l_per_d if known else 0.0, Learned(known.readings if known else 0))
    )
    return use, _level_now(values, use.value, tower, book)


def _level_now(values: Mapping[str, float], rate: float, tower: Tower | None, book: Book) -> Fact:
    """As told; else the last reading, less what was drunk since."""
    if "after" in values:
        return Fact("level", values["after"], FromText())
    known = use_of(tower, book) if tower else None
    if known is None:
        raise Ask(clarify("refill_forecast", line("last.ask")))
    gone = (book.now - known.at) / _DAY * rate
    read = Fact("last level", known.level_l, FromRecord(book.local(known.at)))
    return Fact(
        "level",
        max(0.0, known.level_l - gone),
        computed(read, Fact("drunk", gone, Learned(known.readings))),
    )


def _mark(question: Forecast, told: Measured, tower: Tower | None, book: Book) -> Fact:
    """The level named, else the tower's refill mark, its pump line, or half the tank."""
    if "mark" in told.values:
        return Fact("mark", told.values["mark"], FromText())
    if tower is None or told.unit != "L":
        raise Ask(clarify("refill_forecast", line("last.ask_mark")))
    tank = Fact("tank", tower.tank_l, FromRecord(tower.set_on))
    if question.mark == _PUMP_LINE:
        return Fact("pump line", pump_line_l(tower, book), tank.origin)
    if tower.refill_at_fraction is None and tower.pump_min_l is not None:
        return Fact("mark", tower.pump_min_l, FromRecord(tower.set_on))
    if tower.refill_at_fraction is not None:
        return Fact("mark", tower.refill_at_fraction * tower.tank_l, tank.origin)
    share = rule_fact("refill_mark_fraction", "refill mark", book)
    return Fact("mark", share.value * tower.tank_l, computed(share, tank))


def due(question: ChangeDue, book: Book) -> Answer:
    """The day of the next full change, by days and by what was topped up, with the reason.

    Raises
    ------
    Ask, CalcError
    """
    found, added = _counted(question, book)
    tower = tower_or_none(question, book)
    days = _every(question, book)
    tanks = rule_fact("change_after_tanks", "tanks", book)
    today, since = book.local(book.now), book.local(found.since.at)
    overdue = max(0, (today - found.latest).days)
    inputs = computed(days, tanks, added)
    why = line(
        "why.change_rule",
        since=since,
        days=Measure(days.value, "number"),
        tanks=Measure(tanks.value, "number"),
        added=Measure(added.value, "water"),
    )
    coachs = book.rule("change_every_days").set_on is not None
    return Answer(
        outcome="answer",
        intent="tank_change",
        amounts=(
            Amount(name="until_due", value=found.left_l, unit="L", origin=inputs),
            Amount(name="days_since", value=(today - since).days, unit="days", origin=inputs),
            Amount(name="overdue", value=overdue, unit="days", origin=inputs),
            Amount(name="added_total", value=added.value, unit="L", origin=added.origin),
        ),
        days=(Dated(name="due_date", on=min(found.on, found.latest), origin=inputs),),
        do=(_due_said(found, today),),
        why=(why,),
        check=(line("change.coach" if coachs else "change.common"),),
        offers=_changed(tower, found.on, today),
    )


def _every(question: ChangeDue, book: Book) -> Fact:
    """The house's days, or as told."""
    if question.every is None:
        return rule_fact("change_every_days", "days", book)
    days = read_duration_d(question.every, bare="d", wanted="days", low=1, high=400)
    return Fact("days", days, FromText())


def _told_use(added: float, since: datetime, book: Book) -> Use | None:
    """What was topped up, as it is told, is what was drunk a day."""
    days = (book.now - since) / _DAY
    if added <= 0 or days < 1:
        return None
    return Use(l_per_d=added / days, readings=0, at=book.now, level_l=0.0)


def _counted(question: ChangeDue, book: Book) -> tuple[Counted, Fact]:
    """By the log, or by what is told: since when, with how much, of which tank."""
    alone = question.since is not None and question.tank is not None
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    tank = tank_fact(question.tank, tower, book)
    assert tank is not None, "a tower, or the tank in the text"
    known = change_due(tower, book) if tower else None
    if question.since is None and known is None:
        raise Ask(clarify("tank_change", line("change.ask")))
    if question.since is None and question.added is None and known is not None:
        origin = computed(
            Fact("topped up since", known.added_l, FromRecord(book.local(known.since.at)))
        )
        return known, Fact("topped up", known.added_l, origin)
    at = known.since.at if known else book.now
    if question.since:
        at = read_past(question.since, now=book.now, zone=book.member.time_zone,
                       month_first=book.member.units == "us")  # fmt: skip
    lines = book.entries(tower.name) if tower else ()
    logged = sum(e.water_added_l or 0.0 for e in lines if e.at > at)
    added = Fact("topped up", logged, computed(Fact("logged", logged, FromRecord(book.local(at)))))
    if question.added:
        litres = read_volume(question.added, measures=measures(book)).litres
        added = Fact("topped up", litres, FromText())
    since = Entry(tower=tower.name if tower else "", at=at, kind="change")
    use = use_of(tower, book) if tower else None
    if question.added and question.since:
        use = _told_use(added.value, at, book)
    every = _every(question, book).value
    return counted(since, added.value, book.now, tank.value, use, book, every), added


def _due_said(found: Counted, today: date) -> Line:
    if found.on <= today:
        return line("change.now", day=min(found.on, found.latest))
    left = Measure(found.left_l, "water")
    if found.on < found.latest:
        return line(
            "change.by_water", day=Weekday(found.on), latest=Weekday(found.latest), left=left
        )
    return line("change.by_days", day=Weekday(found.on), left=left)


def _changed(tower: Tower | None, on: date, today: date) -> tuple[Offer, ...]:
    if tower is None or not tower.id or on > today:
        return ()
    return (Offer(label=line("button.done"), question=Log(tower=tower.name, change="yes")),)
