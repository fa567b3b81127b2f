"""What an answer rests on: each fact from the text if it is there, else the record, else a guess.

Every function gives a Fact, whose origin says which of the three it was.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from rapidfuzz import fuzz

from bot.errors import Refusal
from bot.records.answer import (
    Answer,
    Computed,
    Fact,
    FromPolicy,
    FromRecord,
    FromTable,
    FromText,
    Line,
    Measure,
    Offer,
    line,
)
from bot.records.book import Book
from bot.records.facts import Feed, Part, Tower
from bot.records.questions import Dose, Question, TopUp, with_field
from bot.services.asking import Ask, Asked, clarify, which_tower
from calc.units import Measures, from_si, read_conductivity, read_rate, read_strength, read_volume

_SAME_SIZE = 0.05
_CLOSE_NAME = 80.0
_LARGEST_EC = 5.0
NUMBER = "#"  # no name begins with it


def measures(book: Book) -> Measures:
    """What the member's own words stand for."""
    member = book.member
    gallon = member.gallon or ("us" if member.units == "us" else None)
    mine = Measures(
        gallon=gallon,
        jug_l=member.jug_l,
        tds_scale=member.tds_scale,
        metric_spoons=member.units != "us",
    )
    if member.finger_mm:
        mine = replace(mine, finger_cm=member.finger_mm / 10)
    if member.drops_per_ml:
        mine = replace(mine, drops_per_ml=member.drops_per_ml)
    return mine


def typed_volume(litres: float, book: Book) -> str:
    """A volume as this person would type it, for a form to start from."""
    units = book.member.units
    if units == "us":
        return f"{from_si(litres, 'us_gal'):.4g} gal"
    if units == "uk" and book.member.gallon == "uk":
        return f"{from_si(litres, 'uk_gal'):.4g} gal"
    return f"{litres:.4g} l"


def tower_for(question: Asked, book: Book, again: Callable[[Asked, Book], Answer]) -> Tower | None:
    """The tower a question is about; None where nobody has one and the text may do without.

    Raises
    ------
    Ask
        Several towers fit, or the name fits none.
    """
    if question.tower:
        found = named_tower(question.tower, book)
        if found is None and book.towers:
            raise which_tower(question, book, again, unknown=question.tower)
        if found is None:
            raise Ask(clarify("which_tower", line("tower.none")))
        return found
    if len(book.towers) <= 1:
        return book.towers[0] if book.towers else None
    told = question.tank if isinstance(question, TopUp) else question.water
    if told:
        litres = read_volume(told, measures=measures(book)).litres
        if isinstance(question, Dose) and _of_size(book, litres) is None and _alike(book):
            return book.towers[0]
        if (only := _of_size(book, litres)) is not None:
            return only
    raise which_tower(question, book, again)


def _alike(book: Book) -> bool:
    """All towers give the same dose for the same water."""
    return len({(t.feed, t.strength, t.water_ec, t.target_ec) for t in book.towers}) == 1


def _of_size(book: Book, litres: float) -> Tower | None:
    fitting = [t for t in book.towers if abs(t.tank_l - litres) <= _SAME_SIZE * t.tank_l]
    return fitting[0] if len(fitting) == 1 else None


def numbered(question: Question, book: Book) -> Question:
    """The question for a button to keep: its tower by number, whatever it is called by then."""
    name = getattr(question, "tower", None)
    tower = next((t for t in (*book.towers, *book.packed) if t.name == name and t.id), None)
    return question if tower is None else with_field(question, "tower", f"{NUMBER}{tower.id}")


def named_tower(name: str, book: Book) -> Tower | None:
    """The tower whose name a person meant: exact, then a part of it, then a typo of it.

    A button's number means that tower and no other.

    Raises
    ------
    Refusal
        The number of a tower that is packed away, left or gone.
    """
    if name.startswith(NUMBER):
        found = next((t for t in book.towers if f"{NUMBER}{t.id}" == name), None)
        if found is None:
            raise Refusal("no.tower_gone", outcome="refuse")
        return found
    wanted = name.casefold().strip()
    names = {t.name.casefold(): t for t in book.towers}
    if wanted in names:
        return names[wanted]
    inside = [t for key, t in names.items() if wanted in key.split() or key in wanted.split()]
    if len(inside) == 1:
        return inside[0]
    close = [t for key, t in names.items() if fuzz.ratio(wanted, key) >= _CLOSE_NAME]
    return close[0] if len(close) == 1 else None


def feed_for(tower: Tower | None, named: str | None, book: Book) -> Feed | None:
    """The feed named in the question, else the tower's, else the community's first.

    The tower's own adds what its fills have shown, where they have.
    """
    if named:
        named_ones = [f for f in book.feeds if f.name.casefold() == named.casefold().strip()]
        if not named_ones:
            raise _no_such_feed(named, book)
        return named_ones[0]
    if tower is not None and tower.feed:
        found = next((f for f in book.feeds if f.name == tower.feed), None)
        gain = found.ec_gain_ms_per_cm if found is not None else None
        if found is not None and gain is not None and tower.gain_factor is not None:
            return replace(found, ec_gain_ms_per_cm=gain * tower.gain_factor)
        return found
    return book.feeds[0] if book.feeds else None


def _no_such_feed(named: str, book: Book) -> Ask:
    if not book.feeds:
        return Ask(clarify("feed", line("ask.feed")))
    known = tuple(line("button.tower", name=f.name) for f in book.feeds)
    return Ask(clarify("feed", line("ask.feed_unknown", name=named, feeds=known)))


def typed_feed(rate: str, feed: Feed | None, book: Book) -> Feed:
    """The feed with the label rate from the text, the same for each part."""
    told = read_rate(rate, measures=measures(book))
    names = [p.name for p in feed.parts] if feed else ["each part"]
    parts = tuple(
        Part(name=name, g_per_l=told.per_l) if told.dry else Part(name=name, ml_per_l=told.per_l)
        for name in names
    )
    same = feed is not None and all(
        p.dry == told.dry and abs(p.rate_per_l - told.per_l) <= 0.02 * told.per_l
        for p in feed.parts
    )
    gain = feed.ec_gain_ms_per_cm if feed and same else None
    return Feed(name=feed.name if feed else "", parts=parts, ec_gain_ms_per_cm=gain)


def tank_fact(told: str | None, tower: Tower | None, book: Book) -> Fact | None:
    """Volume at the full line [L]."""
    if told:
        read = read_volume(told, measures=measures(book))
        litres = read.litres
        if tower is not None and abs(litres - tower.tank_l) <= 0.005 * tower.tank_l:
            litres = tower.tank_l  # the same tank, said in rounder words
        return Fact("tank", litres, FromText(), read.unit)
    if tower is not None:
        return Fact("tank", tower.tank_l, FromRecord(tower.set_on))
    return None


def ec_fact(name: str, told: str, book: Book, question: Question) -> Fact:
    """A reading or target from the text [mS/cm]; beyond 0 to 5 it is asked about.

    name: what it is and, alike, the field of `question` that it was typed in.

    Raises
    ------
    Ask, CalcError
    """
    read = read_conductivity(told, measures=measures(book))
    ec = read.ec_ms_per_cm
    if 0 <= ec <= _LARGEST_EC:
        return Fact(name, ec, FromText())
    guess = read.typed / 10
    if read.unit == "ms" and 0.2 <= guess <= _LARGEST_EC:
        raise Ask(_ec_decimal(name, read.typed, guess, question))
    raise Ask(clarify("bad_input", line("ask.ec_impossible", ec=Measure(read.typed, "number"))))


def _ec_decimal(name: str, typed: float, guess: float, question: Question) -> Answer:
    asked = line(
        "ask.ec_decimal",
        ec=Measure(typed, "number"),
        guess=Measure(guess, "number"),
        cf=Measure(typed, "number"),
    )
    offer = Offer(
        label=line("button.text", text=f"{guess:g}"),
        question=with_field(question, name, f"{guess:g}"),
    )
    return clarify("bad_input", asked, offers=[offer])


def target_fact(question: Dose | TopUp, tower: Tower | None, book: Book) -> Fact:
    """The EC to aim for [mS/cm]: told, recorded, or the house's."""
    if question.target:
        return ec_fact("target", question.target, book, question)
    return towers_target(tower, book)


def towers_target(tower: Tower | None, book: Book) -> Fact:
    """A tower's own target EC [mS/cm], else the house's."""
    if tower is not None and tower.target_ec is not None:
        return Fact("target", tower.target_ec, FromRecord(tower.set_on))
    return rule_fact("target_ec", "target", book)


def tap_fact(question: Dose | TopUp, tower: Tower | None, book: Book) -> Fact:
    """The EC of the water poured in [mS/cm]: told, recorded, or the house's."""
    if question.tap:
        return ec_fact("tap", question.tap, book, question)
    return towers_tap(tower, book)


def towers_tap(tower: Tower | None, book: Book) -> Fact:
    """The EC of a tower's usual water [mS/cm], else the house's."""
    if tower is not None and tower.water_ec is not None:
        return Fact("tap", tower.water_ec, FromRecord(tower.set_on))
    return rule_fact("tap_ec", "tap", book)


def water_over_target(tap: Fact, target: Fact) -> Ask:
    """The water alone reads more than the target: no feed can help."""
    asked = line(
        "ask.water_over_target", tap=Measure(tap.value, "ec"), target=Measure(target.value, "ec")
    )
    return Ask(clarify("overstrong", asked))


def rule_fact(key: str, name: str, book: Book) -> Fact:
    """A house rule that always has a value, as a Fact."""
    rule = book.rule(key)
    return Fact(name, book.number(key), FromPolicy(key, rule.set_on, rule.by))


YOUNG = "seedling"  # said instead of a strength: the house rule for them


def strength_fact(told: str | None, tower: Tower | None, book: Book) -> Fact:
    """Share of the label rate: the text's, the tower's last confirmed stage, or the label's own."""
    if told == YOUNG:
        return rule_fact("seedling_strength", "strength", book)
    if told:
        return Fact("strength", read_strength(told), FromText())
    if tower is not None and tower.strength is not None:
        return Fact("strength", tower.strength, FromRecord(tower.set_on))
    return Fact("strength", 1.0, FromTable("the feed's label"))


def assumed(fact: Fact) -> tuple[Line, ...]:
    """The line that names a target or tap EC as a guess or as the coach's."""
    if not isinstance(fact.origin, FromPolicy):
        return ()
    who = "coach" if fact.origin.on else "guess"
    shown = Measure(fact.value, "ec")
    if fact.name == "tap":
        return (line(f"check.tap_{who}", tap=shown),)
    return (line(f"check.target_{who}", target=shown),)


def computed(*facts: Fact) -> Computed:
    """The origin of a result of these facts."""
    return Computed(facts)


def label_rate(feed: Feed, part: Part) -> Fact:
    """A part's label rate as a Fact."""
    origin = FromRecord(feed.set_on) if feed.id or feed.name else FromText()
    return Fact(f"{part.name} rate", part.rate_per_l, origin)
