"""What is in the tank, by the labels of a feed's parts: oxides as elements, in mg/L (coach)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.errors import Refusal
from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromRecord,
    FromTable,
    FromText,
    Line,
    Measure,
    Offer,
    line,
)
from bot.records.book import Book
from bot.records.changes import SetFeed
from bot.records.facts import ELEMENTS, Feed, Part
from bot.records.questions import Contents
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.services.facts import computed, feed_for
from calc.errors import Unreadable, within
from calc.salts import element_mg_per_l, element_share
from calc.units import read_number, read_strength

_ORDER: Final = ("N", "P", "K", "Ca", "Mg", "S")
# A label's element or oxide -> the element, and the compound that it is given as.
_AS: Final = {"P2O5": "P", "K2O": "K", "CaO": "Ca", "MgO": "Mg", "SO3": "S"}
# Hoagland & Arnon, Circular 347, 1950, solution 1 [mg/L]: a known full-strength solution.
HOAGLAND_MG_PER_L: Final = {"N": 210, "P": 31, "K": 235, "Ca": 200, "Mg": 49, "S": 64}
_NPK: Final = re.compile(
    r"(?:n-p-k\s*)?(\d+(?:\.\d+)?)\s*-\s*(\d+(?:\.\d+)?)\s*-\s*(\d+(?:\.\d+)?)(?!\S*-)",
    re.IGNORECASE,
)
_BETWEEN: Final = re.compile(r"[,;+]\s+|[;+]|\s+and\s+|,(?=\s*[A-Za-z])")
_ELEMENT: Final = "|".join(sorted(ELEMENTS, key=len, reverse=True))
_PAIR: Final = re.compile(
    rf"(?:(?P<name>{_ELEMENT})\s*[:=]?\s*(?P<share>\d+(?:[.,]\d+)?)\s*%?"
    rf"|(?P<share2>\d+(?:[.,]\d+)?)\s*%?\s*(?P<name2>{_ELEMENT}))",
    re.IGNORECASE,
)
_WATER_KG: Final = 1.0
_CLASH: Final = ("Ca", ("S", "P"))  # what falls out where undiluted parts meet


def contents(question: Contents, book: Book) -> Answer:
    """Elements in the tank at a strength; or a part's label told.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    must_coach(book)
    feed = feed_for(None, question.feed, book)
    if feed is None:
        raise Ask(clarify("tank_contents", line("ask.feed")))
    if question.label is not None:
        return _told(question, feed, book)
    missing = [part for part in feed.parts if not part.label]
    if len(missing) == len(feed.parts):
        offer = Offer(
            label=line("button.write_down"),
            question=replace(question, feed=feed.name, part=feed.parts[0].name),
            form="label",
        )
        raise Ask(clarify("tank_contents", line("contents.ask", feed=feed.name), offers=[offer]))
    return _shown(question, feed, missing, book)


def _told(question: Contents, feed: Feed, book: Book) -> Answer:
    named = (question.part or "").casefold().strip()
    found = [p for p in feed.parts if p.name.casefold() == named]
    if not found and len(feed.parts) == 1:
        found = list(feed.parts)
    if not found:
        names = tuple(line("button.tower", name=p.name) for p in feed.parts)
        raise Ask(clarify("tank_contents", line("contents.which", feed=feed.name, parts=names)))
    (part,) = found
    told = replace(part, label=read_label(question.label or ""), kg_per_l=_density(question, part))
    changed = replace(
        feed,
        parts=tuple(told if p.name == part.name else p for p in feed.parts),
        set_on=book.local(book.now),
    )
    shown = tuple(
        line("contents.label", name=name, share=Measure(share, "number"))
        for name, share in told.label
    )
    return Answer(
        outcome="answer",
        intent="tank_contents",
        do=(line("contents.saved", feed=feed.name, part=part.name, what=shown),),
        check=(line("contents.density"),) if part.ml_per_l and told.kg_per_l is None else (),
        offers=(Offer(label=line("button.in_tank"), question=Contents(feed=feed.name)),),
        changes=(SetFeed(feed=changed),),
    )


def read_label(text: str) -> tuple[tuple[str, float], ...]:
    """ "4-18-38", "N 4, K2O 26, Ca 5", "15.5 % N, 19 % Ca" -> per cent by weight of each.

    Three numbers with dashes are N, P2O5 and K2O, as labels print them. All of it is read or none.

    Raises
    ------
    Unreadable, OutOfRange
    """
    words = text.strip().rstrip(".")
    found: dict[str, float] = {}
    npk = _NPK.match(words)
    if npk:
        values = (float(g) for g in npk.groups())
        found |= {n: v for n, v in zip(("N", "P2O5", "K2O"), values, strict=True) if v}
        words = words[npk.end() :].lstrip(" ,;+")
    names = {name.casefold(): name for name in ELEMENTS}
    for part in [p for p in _BETWEEN.split(words) if p.strip()]:
        pair = _PAIR.fullmatch(part.strip())
        if pair is None:
            raise Unreadable(text=text[:60], wanted="label analysis")
        name = names[(pair["name"] or pair["name2"]).casefold()]
        if name in found:
            raise Unreadable(text=text[:60], wanted="label analysis")
        found[name] = float((pair["share"] or pair["share2"]).replace(",", "."))
    if not found:
        raise Unreadable(text=text[:60], wanted="label analysis")
    for name, share in found.items():
        within(name=name, value=share, low=0, high=60, unit="%")
    within(name="label", value=sum(found.values()), low=0.01, high=100, unit="%")
    return tuple(found.items())


def _density(question: Contents, part: Part) -> float | None:
    if not question.weight:
        return part.kg_per_l
    bare = question.weight.casefold().replace("kg/l", " ").replace("kg per l", " ")
    return read_number(bare, wanted="weight", low=0.7, high=2.0, unit="kg/L")


def in_tank(feed: Feed, strength: float) -> dict[str, float]:
    """Element -> mg/L that the labelled parts of a feed make at a strength."""
    found: dict[str, float] = {}
    for part in feed.parts:
        grams = part.rate_per_l * strength * (1.0 if part.dry else part.kg_per_l or _WATER_KG)
        for name, share in part.label:
            element = _AS.get(name, name)
            of = element_share(compound=name, element=element) if name in _AS else 1.0
            mg = element_mg_per_l(salt_mg_per_l=grams * 1000, share_fraction=of * share / 100)
            found[element] = found.get(element, 0.0) + mg
    return {name: found[name] for name in _ORDER if name in found}


def _shown(question: Contents, feed: Feed, missing: Sequence[Part], book: Book) -> Answer:
    strength = read_strength(question.strength) if question.strength else 1.0
    found = in_tank(feed, strength)
    if not found:
        raise Refusal("no.label", outcome="refuse")
    told = Fact("strength", strength, FromText() if question.strength else FromTable("the label"))
    shares = (
        Fact(f"{p.name} {n}", v, FromRecord(feed.set_on)) for p in feed.parts for n, v in p.label
    )
    origin = computed(told, *shares)
    rows = tuple(
        line("contents.row", name=name, value=Measure(mg, "number"), known=HOAGLAND_MG_PER_L[name])
        for name, mg in found.items()
    )
    head = line("contents.head", feed=feed.name, strength=Measure(strength, "share"))
    assumed = [p.name for p in feed.parts if p.ml_per_l and p.label and p.kg_per_l is None]
    names = tuple(line("button.tower", name=p.name) for p in missing)
    return Answer(
        outcome="answer",
        intent="tank_contents",
        amounts=tuple(
            Amount(name=name, value=mg, unit="mg/L", origin=origin) for name, mg in found.items()
        ),
        do=(head, *rows),
        expect=(line("contents.hoagland"),),
        check=(
            *((line("contents.missing", parts=names),) if missing else ()),
            *((line("contents.density"),) if assumed else ()),
        ),
        cautions=_apart(feed),
    )


def _apart(feed: Feed) -> tuple[Line, ...]:
    """Calcium in one part, sulphate or phosphate in another: why they never meet undiluted."""
    with_calcium = [p for p in feed.parts if any(_AS.get(n, n) == _CLASH[0] for n, _ in p.label)]
    others = [p for p in feed.parts if any(_AS.get(n, n) in _CLASH[1] for n, _ in p.label)]
    if with_calcium and others and with_calcium[0] is not others[0]:
        return (line("contents.apart", calcium=with_calcium[0].name, other=others[0].name),)
    return (line("caution.parts"),) if len(feed.parts) > 1 else ()
