"""How much to sow and when: from heads or bunches a week, or back from a day on the plate."""

from __future__ import annotations

import math
import re
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from bot.records.answer import (
    Amount,
    Answer,
    Dated,
    Fact,
    FromPolicy,
    FromRecord,
    FromTable,
    FromText,
    Line,
    Measure,
    Offer,
    Origin,
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.questions import Plan
from bot.services.asking import Ask, clarify
from bot.services.choosing import tower_or_none
from bot.services.facts import computed, rule_fact
from bot.services.moments import read_day, read_past
from bot.services.plants.crops import known_crop
from bot.services.plants.places import empty_ports, ports_of
from bot.services.plants.sharing import neighbours
from bot.services.refusing import off_range_day
from calc.errors import CalcError, OutOfRange, Unreadable
from calc.growing import (
    between_columns,
    port_days_d,
    ports_for_cutting_n,
    ports_for_heads_n,
    seeds_to_sow_n,
)
from calc.tables import Columns, Crop
from calc.units import read_duration_d, read_number, read_temperature_c

_SLOW_D = 25
_ROOM_C: Final = 20.0  # 68 F: what most sow in, where nothing was said
_POOR: Final = 0.6  # below it a better warmth is named
_GOOD_PERCENT: Final = 80.0
_CUTS_A_WEEK: Final = 0.5  # a bunch from a plant every second week: common practice, no source
_OF: Final = re.compile(r"(\d+)\s*(?:of|out of|/)\s*(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rate:
    """The share of seeds that come up, and what is to be said of where it is from."""

    share: Fact
    notes: tuple[Line, ...] = ()


def plan(question: Plan, book: Book) -> Answer:
    """Seeds and ports for a harvest a week, or the days for one harvest.

    Raises
    ------
    Ask, CalcError
    """
    crop = known_crop(question.crop) if question.crop else None
    if question.crop and crop is None and not (question.germination or question.days):
        raise Unreadable(text=question.crop[:40], wanted="crop")
    if question.sown is not None:
        return _from_sowing(question, crop, book)
    if question.moving == "heads" and question.per_week is None and question.days:
        return _heads(question, book)
    if question.per_week is None and question.by is None and (standing := _standing(crop, book)):
        return _from_sowing(replace(question, sown=standing.isoformat()), crop, book)
    if question.per_week is None and question.by is None:
        offer = Offer(label=line("button.write_down"), question=question, form="plan")
        asked = line("plan.ask_sown", crop=crop.called) if crop else line("plan.ask")
        raise Ask(clarify("succession", asked, offers=[offer]))
    if question.by is not None:
        return _back_from(question, crop, book)
    return _each_week(question, crop, book)


def _standing(crop: Crop | None, book: Book) -> date | None:
    """The day on which what stands in a port of theirs was sown."""
    names = {crop.id.replace("_", " "), crop.called} if crop else set()
    mine = [p.sown for p in book.plantings if p.crop.casefold() in names and p.status == "growing"]
    return next((day for day in reversed(mine) if day is not None), None)


def _heads(question: Plan, book: Book) -> Answer:
    """How many heads a week so many ports give."""
    days = Fact("days in port", _days(question.days or ""), FromText())
    if question.ports:
        count = read_number(question.ports, wanted="ports", low=1, high=1000, unit="")
        ports = Fact("ports", count, FromText())
    else:
        tower = tower_or_none(question, book)
        if tower is None or not ports_of(tower):
            raise Ask(clarify("succession", line("plan.ask_ports")))
        ports = Fact("ports", len(ports_of(tower)), FromRecord(tower.set_on))
    heads = ports.value / (days.value / 7)
    amount = Amount(name="heads", value=heads, unit="per week", origin=computed(ports, days))
    said = line("plan.heads", heads=Measure(heads, "ph"), ports=round(ports.value),
                days=Measure(days.value, "number"))  # fmt: skip
    return Answer(outcome="answer", intent="succession", amounts=(amount,), do=(said,))


# ---- so many a week


def _each_week(question: Plan, crop: Crop | None, book: Book) -> Answer:
    text = question.per_week or ""
    wanted = read_number(_bare(text), wanted="heads a week", low=0.1, high=1000, unit="")
    if crop is None and not question.germination and question.days:
        return _ports_alone(question, wanted)
    rate = _germination(question, crop, book)
    plants = _plants(wanted, text, crop)
    seeds = seeds_to_sow_n(
        plants_n=plants.value, germination_fraction=rate.share.value, survival_fraction=1.0
    )
    whole = crop is None or crop.whole
    ports = _ports(question, crop, plants)
    sow = line(
        "plan.weekly" if whole else "plan.once",
        count=seeds,
        crop=(line("button.tower", name=crop.called),) if crop else (line("plan.crop"),),
        share=Measure(rate.share.value, "percent_whole"),
        plants=Measure(plants.value, "number"),
    )
    unit = "per week" if whole else "seeds"
    amounts = [Amount(name="seeds", value=seeds, unit=unit, origin=computed(plants, rate.share))]
    if ports is not None:
        amounts.append(Amount(name="ports", value=ports.value, unit="ports", origin=ports.origin))
    return Answer(
        outcome="answer",
        intent="succession",
        amounts=tuple(amounts),
        do=(sow, *_room(question, ports, book)),
        expect=(
            *_then(crop),
            *_cooler(rate, crop, question, plants.value),
            *_with_others(question, crop, book),
        ),
        check=(*rate.notes, *_table(crop), line("plan.spare")),
    )


def _ports_alone(question: Plan, wanted: float) -> Answer:
    """So many a week, each so long in its port: whatever the crop is."""
    ports = _ports(question, None, Fact("plants", wanted, FromText()))
    assert ports is not None, "the days were told"
    amount = Amount(name="ports", value=ports.value, unit="ports", origin=ports.origin)
    said = line("plan.ports", count=round(ports.value))
    return Answer(outcome="answer", intent="succession", amounts=(amount,), do=(said,))


def _bare(text: str) -> str:
    """ "5 heads" -> "5" """
    return re.sub(r"[a-z/]+", " ", text.casefold())


def _plants(wanted: float, text: str, crop: Crop | None) -> Fact:
    """A head or plant is one; bunches come from fewer plants again and again (C21)."""
    if crop is None or crop.whole or "bunch" not in text.casefold():
        return Fact("plants", wanted, FromText())
    count = ports_for_cutting_n(bunches_per_week_n=wanted, cuts_per_week_n=_CUTS_A_WEEK)
    cuts = Fact("cuts a week", _CUTS_A_WEEK, FromTable("common practice"))
    return Fact("plants", count, computed(Fact("bunches", wanted, FromText()), cuts))


def _then(crop: Crop | None) -> tuple[Line, ...]:
    """How long after each sowing they move in, and are cut."""
    if crop is None:
        return ()
    seedling, port = _half_up(_middle(crop.seedling_d)), _half_up(_middle(crop.port_d))
    return (line("plan.then", seedling=round(seedling), port=round(port)),)


def _germination(question: Plan, crop: Crop | None, book: Book) -> _Rate:
    """The person's own seed test, else the table at the warmth they sow in."""
    if question.germination:
        return _Rate(share=Fact("germination", _share(question.germination), FromText()))
    if crop is None:
        offer = Offer(label=line("button.write_down"), question=question, form="plan")
        raise Ask(clarify("succession", line("plan.ask_crop"), offers=[offer]))
    if not crop.germination_percent:
        raise Ask(clarify("succession", line("plan.ask_germination")))
    us = book.member.units == "us"
    told = read_temperature_c(question.warmth, fahrenheit=us) if question.warmth else None
    warmth = told if told is not None else _nearest(crop.germination_percent, _ROOM_C)
    try:
        percent = between_columns(columns_any=crop.germination_percent, temperature_c=warmth)
    except CalcError:
        if told is None:
            raise
        near = _nearest(crop.germination_percent, told)
        percent = between_columns(columns_any=crop.germination_percent, temperature_c=near)
        warmth = near
    if percent <= 0:
        raise Ask(_none_come_up(crop, warmth))
    fact = Fact("germination", percent / 100, FromTable(crop.source_of_germination))
    said = "plan.warmth" if told is not None and abs(warmth - told) < 0.1 else "plan.warmth_guess"
    notes = [line(said, temp=Measure(warmth, "temperature"))]
    if "germ_percent" in crop.memory:
        notes.append(line("plan.germination_memory"))
    return _Rate(share=fact, notes=tuple(notes))


def _share(text: str) -> float:
    """ "70 %", "11 of 16", "0.7" """
    found = _OF.search(text)
    if found:
        up, sown = int(found[1]), int(found[2])
        if not 0 < up <= sown:
            raise Unreadable(text=text[:40], wanted="germination")
        return up / sown
    bare = re.sub(r"%|per ?cent", " ", text)
    value = read_number(bare, wanted="germination", low=0.01, high=100, unit="%")
    return value / 100 if value > 1 or bare != text else value


def _nearest(columns: Columns, warmth: float) -> float:
    return min((t for t, _ in columns), key=lambda t: abs(t - warmth))


def _none_come_up(crop: Crop, warmth: float) -> Answer:
    best = max(crop.germination_percent, key=lambda column: column[1])
    asked = line(
        "plan.none_up",
        crop=crop.called,
        temp=Measure(warmth, "temperature"),
        best=Measure(best[0], "temperature"),
    )
    return clarify("succession", asked)


def _cooler(rate: _Rate, crop: Crop | None, question: Plan, plants: float) -> tuple[Line, ...]:
    """Poor germination at this warmth: the nearest warmth at which it is good."""
    if crop is None or question.germination or rate.share.value >= _POOR:
        return ()
    good = [(t, p) for t, p in crop.germination_percent if p >= _GOOD_PERCENT and t <= 30]
    if not good:
        return ()
    warmth, percent = max(good)
    fewer = seeds_to_sow_n(
        plants_n=plants, germination_fraction=percent / 100, survival_fraction=1.0
    )
    return (
        line(
            "plan.cooler",
            temp=Measure(warmth, "temperature"),
            share=Measure(percent / 100, "percent_whole"),
            count=fewer,
        ),
    )


def _ports(question: Plan, crop: Crop | None, plants: Fact) -> Fact | None:
    """Ports that this fills: whole heads by the weeks each stands there, cut plants one by one."""
    if crop is not None and not crop.whole:
        each = Fact("ports a plant", crop.ports, FromTable("calc/data/crops.csv"))
        return Fact("ports", math.ceil(plants.value) * crop.ports, computed(plants, each))
    if question.days:
        days = Fact("days in port", _days(question.days), FromText())
    elif crop is not None:
        days = Fact("days in port", _middle(crop.port_d), FromTable("calc/data/crops.csv"))
    else:
        return None
    count = ports_for_heads_n(heads_per_week_n=plants.value, port_d=days.value)
    return Fact("ports", count * (crop.ports if crop else 1), computed(plants, days))


def _room(question: Plan, ports: Fact | None, book: Book) -> tuple[Line, ...]:
    """The ports it takes, of those that the tower has."""
    if ports is None:
        return ()
    count = round(ports.value)
    tower = tower_or_none(question, book) if book.private else None
    if tower is None or not ports_of(tower):
        return (line("plan.ports", count=count),)
    every = len(ports_of(tower))
    if count > every:
        return (line("plan.ports_over", count=count, every=every, tower=tower.name),)
    if not book.growing(tower.name):  # what stands there was never told
        return (line("plan.ports_all", count=count, every=every, tower=tower.name),)
    free = len(empty_ports(tower, book))
    return (line("plan.ports_of", count=count, every=every, tower=tower.name, free=free),)


def _with_others(question: Plan, crop: Crop | None, book: Book) -> tuple[Line, ...]:
    tower = tower_or_none(question, book) if book.private else None
    return () if tower is None else neighbours(crop, (), tower, book)


def _table(crop: Crop | None) -> tuple[Line, ...]:
    if crop is None:
        return ()
    found = [line("plan.poor", crop=crop.called)] if crop.fit == "poor" else []
    if not crop.whole:
        found.append(line("plan.cuts"))
    memory = {"seedling", "port_days"} & crop.memory
    return (*found, line("plan.memory")) if memory else tuple(found)


# ---- back from a day


def _back_from(question: Plan, crop: Crop | None, book: Book) -> Answer:
    by = _day(question.by or "", book)
    if question.moving == "yes":
        return _sow_to_move(by, book)
    if crop is not None and not crop.from_seed:
        return _from_plant(crop, by)
    if question.days and (span := _SPAN.search(question.days)):
        return _sow_between(by, span)
    total = _total(question, crop, book)
    if total is None or crop is None:
        days = total or Fact("days", _days(question.days or ""), FromText())
        return _sow_on(question, crop, by, days, None, book)
    seedling = _half_up(_middle(crop.seedling_d))
    return _sow_on(question, crop, by, total, min(seedling, total.value), book)


_SPAN: Final = re.compile(r"(\d+) ?(?:-|to|or) ?(\d+) ?(\w+)")


def _sow_between(by: date, span: re.Match[str]) -> Answer:
    """ "45 to 55 days": the last and the first day to sow."""
    short, long = sorted(_days(f"{n} {span[3]}") for n in span.group(1, 2))
    return _sow_from_to(by, long, short, FromText())


def _sow_to_move(by: date, book: Book) -> Answer:
    """Back from the day of moving in, by the house's days."""
    low, high = (book.number(f"transplant_{end}_days") for end in ("from", "to"))
    return _sow_from_to(by, high, low, rule_fact("transplant_to_days", "", book).origin)


def _sow_from_to(by: date, longest: float, shortest: float, origin: Origin) -> Answer:
    first, last = by - timedelta(days=longest), by - timedelta(days=shortest)
    inputs = computed(Fact("days", longest, origin), Fact("days at least", shortest, origin))
    return Answer(
        outcome="answer",
        intent="dates",
        days=(
            Dated(name="sow_from", on=first, origin=inputs),
            Dated(name="sow_to", on=last, origin=inputs),
        ),
        do=(line("plan.sow_between", first=Weekday(first), last=Weekday(last), by=Weekday(by)),),
        check=(line("plan.autumn"),),
    )


def _total(question: Plan, crop: Crop | None, book: Book) -> Fact | None:
    """Days from seed to plate: told, the coach's, else the table's."""
    if question.days:
        return Fact("days", _days(question.days), FromText())
    names = {crop.id.replace("_", " "), (question.crop or "").casefold().strip()} if crop else set()
    coachs = next((days for name, days in book.crop_days.items() if name in names), None)
    if coachs is not None:
        return Fact("days", coachs, FromPolicy("crops"))
    if crop is None:
        raise Ask(clarify("dates", line("plan.ask_days")))
    days = _half_up(_middle(crop.seedling_d)) + _half_up(_middle(crop.port_d))
    return Fact("days", days, FromTable("calc/data/crops.csv"))


def _sow_on(
    question: Plan, crop: Crop | None, by: date, total: Fact, seedling: float | None, book: Book
) -> Answer:
    sow = by - timedelta(days=total.value)
    move = None if seedling is None else sow + timedelta(days=seedling)
    today = book.local(book.now)
    first = line("plan.sow_on", day=Weekday(sow), by=Weekday(by), days=round(total.value))
    late = sow < today
    if late:
        first = line("plan.too_late", day=Weekday(sow), ready=Weekday(today + (by - sow)))
        move = None if seedling is None else today + timedelta(days=seedling)
    origin = computed(total)
    days = [Dated(name="sow_date", on=sow, origin=origin)]
    lines = [first]
    if move is not None and seedling is not None:
        days.append(Dated(name="move_date", on=move, origin=origin))
        inside = port_days_d(seed_to_harvest_d=total.value, seedling_d=seedling)
        lines.append(
            line("plan.move_on", day=Weekday(move), seedling=round(seedling), port=round(inside))
        )
    notes = _table(crop) if isinstance(total.origin, FromTable) else ()
    return Answer(
        outcome="answer",
        intent="dates",
        days=tuple(days),
        do=tuple(lines),
        check=(*notes, line("plan.autumn")),
    )


def _from_sowing(question: Plan, crop: Crop | None, book: Book) -> Answer:
    """When what was sown moves in, and when it is on the plate."""
    sown = book.local(read_past(question.sown or "", now=book.now, zone=book.member.time_zone,
                                month_first=book.member.units == "us"))  # fmt: skip
    if question.days and (span := _SPAN.search(question.days)):
        low, high = sorted(_days(f"{n} {span[3]}") for n in span.group(1, 2))
        return _moves(sown, low, high, FromText())
    if crop is None and not question.days:
        low, high = (book.number(f"transplant_{end}_days") for end in ("from", "to"))
        return _moves(sown, low, high, rule_fact("transplant_to_days", "", book).origin)
    total = _total(question, crop, book)
    assert total is not None, "asked where neither told nor tabled"
    origin = computed(total)
    ready = sown + timedelta(days=total.value)
    days = [Dated(name="harvest_date", on=ready, origin=origin)]
    low, high = (book.number(f"transplant_{end}_days") for end in ("from", "to"))
    if (
        crop is not None and crop.seedling_d[0] >= _SLOW_D
    ):  # tomatoes, peppers: the coach's days are leafy
        low, high = crop.seedling_d
    move = tuple(sown + timedelta(days=_half_up(n)) for n in (low, high))
    days += [
        Dated(name=n, on=d, origin=origin)
        for n, d in zip(("move_from", "move_to"), move, strict=True)
    ]
    return Answer(
        outcome="answer",
        intent="dates",
        days=tuple(days),
        do=(
            line("plan.moves", first=Weekday(move[0]), last=Weekday(move[1])),
            line("plan.ready", day=Weekday(ready), days=round(total.value)),
        ),
        check=(line("plan.memory"), line("plan.autumn")),
    )


def _moves(sown: date, low: float, high: float, origin: Origin) -> Answer:
    """When seedlings move in, whatever they are."""
    inputs = computed(Fact("days", high, origin), Fact("days at least", low, origin))
    first, last = (sown + timedelta(days=_half_up(n)) for n in (low, high))
    return Answer(
        outcome="answer",
        intent="dates",
        days=(
            Dated(name="move_from", on=first, origin=inputs),
            Dated(name="move_to", on=last, origin=inputs),
        ),
        do=(line("plan.moves", first=Weekday(first), last=Weekday(last)),),
        check=(line("plan.ask_crop_later"),),
    )


def _from_plant(crop: Crop, by: date) -> Answer:
    """Never a sowing date for what begins as a cutting or a bought plant."""
    put = by - timedelta(days=_half_up(_middle(crop.port_d)))
    said = line("plan.from_plant", crop=crop.called, day=Weekday(put))
    origin = computed(Fact("port days", _middle(crop.port_d), FromTable("calc/data/crops.csv")))
    return Answer(
        outcome="answer",
        intent="dates",
        days=(Dated(name="move_date", on=put, origin=origin),),
        do=(said,),
        check=(line("plan.memory"),),
    )


def _day(text: str, book: Book) -> date:
    """A day to come; one that is over this year is meant of the next."""
    told = {
        "now": book.now,
        "zone": book.member.time_zone,
        "month_first": book.member.units == "us",
    }
    try:
        return read_day(text, **told)  # type: ignore[arg-type]  # three keywords of three kinds
    except OutOfRange as error:
        if error.value < 0 and not re.search(r"\d{4}", text):
            with suppress(CalcError):
                next_year = book.local(book.now).year + 1
                return read_day(f"{text} {next_year}", **told)  # type: ignore[arg-type]  # as above
        raise off_range_day(error, text) from None


def _days(text: str) -> float:
    return read_duration_d(text, bare="d", wanted="days", low=1, high=400)


def _middle(pair: tuple[float, float]) -> float:
    return (pair[0] + pair[1]) / 2


def _half_up(value: float) -> float:
    return float(math.floor(value + 0.5))
