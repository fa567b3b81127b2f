"""Several tanks filled at once: each tank's parts, and what to measure out in all."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromRecord,
    FromText,
    Line,
    Measure,
    Pours,
    line,
)
from bot.records.book import Book
from bot.records.facts import Feed, Tower
from bot.records.questions import DoseAll, Start, TopUp, packed
from bot.services.asking import Ask, clarify
from bot.services.choosing import begun
from bot.services.facts import computed, feed_for, measures, strength_fact, typed_feed
from bot.services.pouring import poured_parts, pours_of
from bot.services.topup import topup
from calc.units import read_volume

_MOST = 20
_BOTH = 2
_ADDED = "added "
_SPLIT = re.compile(r"[,;]|\band\b|&|\+")


def dose_all(question: DoseAll, book: Book) -> Answer:
    """Each part, for every tank and altogether.

    Raises
    ------
    Ask, CalcError
    """
    if question.missing or question.level:
        return _topped(question, book)
    if question.tanks:
        mine = measures(book)
        each = [t for t in _SPLIT.split(question.tanks) if t.strip()][:_MOST]
        told = [read_volume(t, measures=mine).litres for t in each]
        tanks = [(_like(litres, book), Fact("water", litres, FromText())) for litres in told]
    else:
        if not book.towers:
            raise Ask(begun(book, Start(then=packed(question))))
        tanks = [(t, Fact("water", t.tank_l, FromRecord(t.set_on))) for t in book.towers]
    rows: list[Line] = []
    amounts: list[Amount] = []
    sums: dict[str, list[Amount]] = {}
    feed: Feed | None = None
    for tower, water in tanks:
        feed = feed_for(tower, None, book)
        if question.rate:
            feed = typed_feed(question.rate, feed, book)
        if feed is None or not feed.parts:
            raise Ask(clarify("many_towers", line("ask.feed")))
        strength = strength_fact(question.strength, tower, book)
        pours, found = poured_parts(feed, water, strength, book)
        litres = Measure(water.value, "water")
        plainly = Pours(pours.parts, steps=False)
        name = tower.name if tower else None
        row = (
            line("fills.row", tower=name, water=litres, pours=plainly)
            if name
            else line("fills.row_unnamed", water=litres, pours=plainly)
        )
        rows.append(row)
        for one in found:
            sums.setdefault(one.name, []).append(one)
            if name:
                amounts.append(Amount(name=f"{name} {one.name}", value=one.value, unit=one.unit,
                                      origin=one.origin))  # fmt: skip
    assert feed is not None, "at least one tank"
    totals = [
        Amount(
            name=name,
            value=sum(a.value for a in parts),
            unit=parts[0].unit,
            origin=computed(*(Fact(f"{name} {n}", a.value, a.origin) for n, a in enumerate(parts))),
        )
        for name, parts in sums.items()
    ]
    one_feed = len({feed_name(t, book) for t, _ in tanks}) == 1
    head = (
        line(
            "fills.total",
            pours=Pours(pours_of(feed, [a.value for a in totals], book).parts, steps=False),
        )
        if one_feed
        else line("fills.each")
    )
    return Answer(
        outcome="answer",
        intent="many_towers",
        amounts=(*totals, *amounts),
        do=(head, *rows),
        cautions=(line("caution.parts"),) if len(feed.parts) > 1 else (),
    )


def _topped(question: DoseAll, book: Book) -> Answer:
    """Several towers topped up, each from its own level: as each alone, and in all."""
    told = [t.partition(":") for t in (question.missing or "").split(";") if t.strip()]
    asked = [(name.strip(), text.strip()) for name, _, text in told]
    asked = asked or [(t.name, question.level or "") for t in book.towers]
    if len(asked) < _BOTH:
        raise Ask(clarify("many_towers", line("fills.ask_levels")))
    rows: list[Line] = []
    amounts: list[Amount] = []
    sums: dict[tuple[str, str], list[Amount]] = {}
    for name, text in asked:
        added = text.startswith(_ADDED)
        bare = text.removeprefix(_ADDED).strip()
        alone = topup(
            TopUp(tower=name, level=None if added else bare, added=bare if added else None), book
        )
        if alone.outcome != "answer":
            raise Ask(alone)
        rows += (line("fills.row_of", tower=name, what=(alone.do[0],)), *alone.do[1:])
        for one in alone.amounts:
            if one.unit in ("mL", "g") or one.name == "water":
                amounts.append(replace(one, name=f"{name} {one.name}"))
                sums.setdefault((one.name, one.unit), []).append(one)
    totals = [
        Amount(name=name, value=sum(a.value for a in parts), unit=unit,
               origin=computed(*(Fact(f"{name} {n}", a.value, a.origin)
                                 for n, a in enumerate(parts))))
        for (name, unit), parts in sums.items()
    ]  # fmt: skip
    return Answer(
        outcome="answer",
        intent="many_towers",
        amounts=(*totals, *amounts),
        do=tuple(rows),
        cautions=(line("caution.parts"),),
    )


def feed_name(tower: Tower | None, book: Book) -> str:
    """The feed that a tank gets."""
    found = feed_for(tower, None, book)
    return found.name if found else ""


def _like(litres: float, book: Book) -> Tower | None:
    """The one tower with a tank of that size."""
    found = [t for t in book.towers if abs(t.tank_l - litres) <= 0.05 * litres]
    return found[0] if len(found) == 1 else None
