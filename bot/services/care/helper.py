"""The page for whoever looks after a tower: bottles measured out, steps, days."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from bot.records.answer import Answer, Fact, Measure, Pours, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.pictures import Page
from bot.records.questions import Away
from bot.services.facts import feed_for
from bot.services.moments import read_day
from bot.services.pouring import poured_parts, refill_strength

_MOST_VISITS: Final = 14  # on one page
_MOST_BOTTLES: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Visits:
    """days away; a visit so many days apart; use [L/d], and how much worse it can be."""

    days: float
    every_d: int
    use: Fact
    factor: float


def sheet(question: Away, trip: Visits, tower: Tower, book: Book) -> Answer:
    """The page for the helper: bottles measured out, steps, days. Dates are only ever private."""
    leaves = book.local(book.now)
    if question.leaving:
        leaves = read_day(question.leaving, now=book.now, zone=book.member.time_zone,
                          month_first=book.member.units == "us")  # fmt: skip
    every, days = trip.every_d, math.ceil(trip.days)
    every_visit = list(range(every, days, every)) or [every]
    visits = every_visit[:_MOST_VISITS]
    water = Fact("water", every * trip.use.value, trip.use.origin)
    feed = feed_for(tower, None, book)
    pours = None
    if feed is not None and feed.parts:
        pours, _ = poured_parts(feed, water, refill_strength(None, tower, book)[0], book)
    parts = pours.parts if pours else ()
    steps = (
        line("helper.pump_off"),
        line("helper.water", water=Measure(water.value, "water"),
             hot=Measure(water.value * trip.factor, "water")),
        *(line("helper.part", name=p.name, minutes=Measure(pours.minutes, "minutes"))
          for p in parts if pours),
        *((line("helper.never"),) if len(parts) > 1 else ()),
        line("helper.timer"),
        line("helper.look"),
    )  # fmt: skip
    done = line("helper.visit" if parts else "helper.visit_water")
    title = line("helper.title", tower=tower.name, name=book.member.name)
    intro = line(
        "helper.intro" if len(every_visit) > 1 else "helper.intro_one", count=len(every_visit)
    )
    when = tuple(leaves + timedelta(days=n) for n in visits)
    on_and_on = (
        ()
        if len(visits) == len(every_visit)
        else (line("helper.so_on", day=Weekday(leaves + timedelta(days=days))),)
    )
    page = Page(
        name="helper",
        title=title,
        intro=(intro,),
        bottles=tuple(
            (p.name, Pours((replace(p, name=""),), steps=False)) for p in parts[:_MOST_BOTTLES]
        ),
        steps=steps,
        days=tuple((day, (done,)) for day in when),
        foot=(*on_and_on, line("helper.foot")),
        alt=(intro, *steps),
    )
    bottles = (
        line(
            "away.bottles",
            count=len(every_visit),
            parts=tuple(line("button.tower", name=p.name) for p in parts),
            pours=replace(pours, steps=False),
            minutes=Measure(pours.minutes, "minutes"),
        ),
    ) if pours else ()  # fmt: skip
    on = tuple(line("helper.on", day=Weekday(day)) for day in when)
    return Answer(
        outcome="answer",
        intent="vacation",
        do=(line("helper.said"), *bottles, line("helper.visits", days=on), *on_and_on),
        expect=steps,
        check=() if question.leaving else (line("helper.from_today"),),
        cautions=(line("caution.away"),),
        pictures=(page,),
    )
