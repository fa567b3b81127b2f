"""Days away: whether the tank lasts to the pump line, and what a helper does otherwise."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from bot.clock import latitude_of
from bot.records.answer import (
    Amount,
    Answer,
    Awaits,
    Fact,
    FromRecord,
    FromText,
    Learned,
    Line,
    Measure,
    Offer,
    Pours,
    line,
)
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Away
from bot.services.asking import Ask, clarify
from bot.services.care.helper import Visits, sheet
from bot.services.care.standing import stands_now
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import (
    computed,
    feed_for,
    measures,
    rule_fact,
    tank_fact,
)
from bot.services.log.use import pace_said, pump_line_l, use_of
from bot.services.pouring import poured_parts, refill_strength
from bot.services.yardstick import depth_of, measured
from calc.refill import days_to_mark
from calc.units import read_duration_d, read_volume

_TROPIC_DEG = 23.4
_MORE = 1.2  # indoors: a fifth more than the pace so far, common practice
_SHARE = 2  # a helper comes when half of the days are over, by the worse pace


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trip:
    """days away; litres above the pump line when leaving; use a day; how much worse it can be;
    full: it stands at the line; pace: what stands behind the use."""

    days: float
    room: Fact
    use: Fact
    factor: float
    full: bool
    pace: tuple[Line, ...]

    @property
    def normal_d(self) -> float:
        return days_to_mark(level_l=self.room.value, mark_l=0, use_l_per_d=self.use.value)

    @property
    def worse_d(self) -> float:
        return self.normal_d / self.factor

    @property
    def every_d(self) -> int:
        return max(1, math.floor(self.worse_d / _SHARE))


def away(question: Away, book: Book) -> Answer:
    """Does it last, and if not, when a helper comes and what they pour.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_or_none(question, book) if question.tank else chosen_tower(question, book)
    if question.days is None:
        found = clarify("vacation", line("away.ask"))
        raise Ask(replace(found, awaits=Awaits(question=question, field="days")))
    if question.days == "longest":
        return _longest(question, tower, book)
    trip = _trip(question, tower, book)
    _sane(trip, tower)
    told = trip  # the numbers hold for what was told; the advice may begin by filling up
    first: tuple[Line, ...] = ()
    if trip.worse_d < trip.days and not trip.full:  # whoever goes away can fill to the line first
        first = (line("away.fill_first", days=Measure(trip.normal_d, "ph")),)
        trip = _trip(replace(question, level=None), tower, book, full=True)
    helper = trip.worse_d < trip.days
    if helper and question.sheet and tower is not None:
        visits = Visits(days=trip.days, every_d=trip.every_d, use=trip.use, factor=trip.factor)
        return sheet(question, visits, tower, book)
    inputs = computed(told.room, told.use)
    short = max(0.0, told.days - told.normal_d)
    return Answer(
        outcome="answer",
        intent="vacation",
        amounts=(
            Amount(name="days_to_min", value=told.normal_d, unit="days", origin=inputs),
            Amount(name="margin", value=told.normal_d - told.days, unit="days", origin=inputs),
            Amount(name="short", value=short, unit="days", origin=inputs),
        ),
        do=(*first, _verdict(trip, tower), *(_helper(trip, tower, book) if helper else ())),
        expect=(line("away.before"),),
        why=(
            line("why.away", room=Measure(trip.room.value, "water"),
                 use=Measure(trip.use.value, "water"), days=Measure(trip.normal_d, "ph")),
        ),
        check=(*trip.pace, line("away.growth")),
        cautions=(line("caution.away"),) if helper else (),
        offers=(
            (Offer(label=line("button.helper_sheet"), question=replace(question, sheet="yes")),)
            if helper and tower is not None and book.private
            else ()
        ),
    )  # fmt: skip


def _longest(question: Away, tower: Tower | None, book: Book) -> Answer:
    """How long it lasts, whatever the days away are."""
    trip = _trip(replace(question, days="1 day"), tower, book)
    _sane(trip, tower)
    found = Amount(name="days_to_min", value=trip.normal_d, unit="days",
                   origin=computed(trip.room, trip.use))  # fmt: skip
    said = line(
        "away.longest",
        tower=(line("button.tower", name=tower.name),) if tower else (line("away.tank"),),
        days=Measure(trip.normal_d, "ph"),
        worse=Measure(trip.worse_d, "ph"),
    )
    return Answer(outcome="answer", intent="vacation", amounts=(found,), do=(said,),
                  expect=(line("away.before"),), check=trip.pace)  # fmt: skip


def _trip(question: Away, tower: Tower | None, book: Book, *, full: bool = False) -> _Trip:
    days = read_duration_d(question.days or "", bare="d", wanted="days", low=0.5, high=120)
    tank = tank_fact(question.tank, tower, book)
    assert tank is not None, "a tower, or the tank in the text"
    told = _in_depths(question, tank, tower, book)
    level = (
        Fact("level", told["level"], FromText())
        if "level" in told
        else tank
        if full
        else _level(question, tank, tower, book)
    )
    mark = (
        Fact("pump line", told["pump_line"], FromText())
        if "pump_line" in told
        else _pump_line(question, tank, tower, book)
    )
    room = Fact("above the pump line", max(0.0, level.value - mark.value), computed(level, mark))
    factor = _MORE
    if (tower is None or tower.place != "indoor") and _hot_season(book):
        factor = rule_fact("hot_thirst", "hot thirst", book).value
    pace: tuple[Line, ...] = ()
    if "use" in told:
        use = Fact("use", told["use"], FromText())
    else:
        use, pace = _use(question, tower, book)
    full = level.value >= 0.99 * tank.value
    return _Trip(days=days, room=room, use=use, factor=factor, full=full, pace=pace)


def _level(question: Away, tank: Fact, tower: Tower | None, book: Book) -> Fact:
    """As told, or as last read; where nobody knows, whoever goes away fills to the line first."""
    if question.level:
        return stands_now(question, tank, tower, book).litres
    if question.tank or tower is None or not book.private:
        return tank
    try:
        return stands_now(question, tank, tower, book).litres
    except Ask:
        return tank


def _in_depths(question: Away, tank: Fact, tower: Tower | None, book: Book) -> Mapping[str, float]:
    """Level, use and pump line in litres, where one of them is told as a depth or a share.

    Where the tank's depth is not known, as if it held a litre a centimetre: the days are the same.
    """
    told = {"level": question.level, "use": question.use, "pump_line": question.pump_line}
    given = {name: text for name, text in told.items() if text}
    if not any(_NO_VOLUME.search(text) for text in given.values()):
        return {}
    found = measured(given, tank.value, depth_of(tower, question.depth, book), book, tower)
    alone = found.unit == "cm" and len(found.values) < len(told)
    return {} if alone else found.values


_NO_VOLUME: Final = re.compile(r"\b(in|inch\w*|cm|mm|fingers?|half|quarters?|thirds?)\b")


def _sane(trip: _Trip, tower: Tower | None) -> None:
    """A tank in a day is no thirst.

    Raises
    ------
    Ask
    """
    if tower is not None and trip.use.value > tower.tank_l:
        shown = Measure(trip.use.value, "water")
        raise Ask(clarify("vacation", line("away.ask_much", use=shown)))


def _hot_season(book: Book) -> bool:
    """May to September, November to March in the south, always in the tropics."""
    latitude = latitude_of(book.member.time_zone)
    month = book.local(book.now).month
    if latitude is None or abs(latitude) < _TROPIC_DEG:
        return True
    return 5 <= month <= 9 if latitude > 0 else month >= 11 or month <= 3


def _pump_line(question: Away, tank: Fact, tower: Tower | None, book: Book) -> Fact:
    if question.pump_line:
        litres = read_volume(question.pump_line, measures=measures(book)).litres
        return Fact("pump line", litres, FromText())
    if tower is not None:
        if tower.pump_min_l is not None:
            return Fact("pump line", tower.pump_min_l, FromRecord(tower.set_on))
        return Fact(
            "pump line", pump_line_l(tower, book), rule_fact("pump_line_fraction", "", book).origin
        )
    share = rule_fact("pump_line_fraction", "pump line", book)
    return Fact("pump line", share.value * tank.value, computed(share, tank))


def _use(question: Away, tower: Tower | None, book: Book) -> tuple[Fact, tuple[Line, ...]]:
    """What it drinks a day, and what stands behind that where it is not told."""
    if question.use:
        per_day = question.use.casefold().replace("a day", "").replace("per day", "")
        litres = read_volume(per_day.replace("/day", ""), measures=measures(book)).litres
        return Fact("use", litres, FromText()), ()
    use = use_of(tower, book) if tower else None
    if use is None:
        found = clarify("vacation", line("away.ask_use"))
        raise Ask(replace(found, awaits=Awaits(question=question, field="use")))
    return Fact("use", use.l_per_d, Learned(use.readings)), (pace_said(use),)


def _verdict(trip: _Trip, tower: Tower | None) -> Line:
    word = "away.yes" if trip.worse_d >= trip.days else "away.tight"
    if trip.normal_d < trip.days:
        word = "away.no"
    hot = "hot" if trip.factor > _MORE else "more"
    return line(
        word,
        tower=(line("button.tower", name=tower.name),) if tower else (line("away.tank"),),
        days=Measure(trip.normal_d, "ph"),
        away=Measure(trip.days, "number"),
        spare=Measure(abs(trip.normal_d - trip.days), "ph"),
        worse=(line(f"away.{hot}", days=Measure(trip.worse_d, "ph")),),
    )


def _helper(trip: _Trip, tower: Tower | None, book: Book) -> tuple[Line, ...]:
    """When they come, and what they pour from bottles measured out beforehand."""
    every = trip.every_d
    water = Fact("water", every * trip.use.value, trip.use.origin)
    said = line(
        "away.helper" if every > 1 else "away.helper_daily",
        day=every,
        every=every,
        water=Measure(water.value, "water"),
        hot=Measure(water.value * trip.factor, "water"),
    )
    feed = feed_for(tower, None, book) if tower else None
    if tower is None or feed is None or not feed.parts:
        return (said,)
    pours, _ = poured_parts(feed, water, refill_strength(None, tower, book)[0], book)
    visits = max(1, math.ceil(trip.days / every) - 1)
    names = tuple(line("button.tower", name=part.name) for part in feed.parts)
    bottles = line(
        "away.bottles",
        count=visits,
        parts=names,
        pours=Pours(pours.parts, steps=False),
        minutes=Measure(pours.minutes, "minutes"),
    )
    return (said, bottles)
