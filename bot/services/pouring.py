"""The parts of a feed as they are poured: as steps to read, as exact amounts, and as told."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromPolicy,
    FromText,
    Line,
    Measure,
    Pour,
    Pours,
    line,
)
from bot.records.book import Book
from bot.records.facts import Feed, Tower
from bot.services.asking import Ask, clarify
from bot.services.facts import computed, feed_for, label_rate, measures, strength_fact
from calc.dose import part_amount
from calc.errors import CalcError
from calc.units import read_amounts, read_each, read_volume


def poured_parts(
    feed: Feed, water: Fact, strength: Fact, book: Book
) -> tuple[Pours, tuple[Amount, ...]]:
    """Each part for `water` at `strength`, as steps to read and as exact amounts."""
    amounts = tuple(
        Amount(
            name="dose" if part.name == "each part" else part.name,
            value=part_amount(
                volume_l=water.value,
                rate_per_l=part.rate_per_l,
                strength_fraction=strength.value,
            ),
            unit="g" if part.dry else "mL",
            origin=computed(water, strength, label_rate(feed, part)),
        )
        for part in feed.parts
    )
    return pours_of(feed, [a.value for a in amounts], book), amounts


def for_new_water(tower: Tower, water_l: float, book: Book) -> Pours:
    """Feed for so much new water at the tower's strength, as plain amounts; none without a feed."""
    feed = feed_for(tower, None, book)
    if feed is None:
        return Pours((), steps=False, spoons=False)
    water = Fact("water", water_l, FromText())
    pours, _ = poured_parts(feed, water, refill_strength(None, tower, book)[0], book)
    return replace(pours, steps=False, spoons=False)


def refill_strength(
    told: str | None, tower: Tower | None, book: Book
) -> tuple[Fact, tuple[Line, ...]]:
    """The tower's strength, or the coach's for tanks without a meter when that is lower."""
    own = strength_fact(told, tower, book)
    rule = book.rule("no_meter_topup_strength")
    if rule.value is None or rule.value >= own.value or isinstance(own.origin, FromText):
        return own, ()
    lower = Fact(
        "strength", rule.value, FromPolicy("no_meter_topup_strength", rule.set_on, rule.by)
    )
    if rule.set_on is None:
        return lower, ()
    note = line(
        "check.strength_policy",
        strength=Measure(rule.value, "share"),
        coach=rule.by or book.coach or "the coach",
        date=rule.set_on,
    )
    return lower, (note,)


def pours_of(feed: Feed, values: list[float], book: Book) -> Pours:
    """Steps for these amounts of a feed's parts, in label order."""
    parts = tuple(
        Pour(part.name, value, part.dry) for part, value in zip(feed.parts, values, strict=True)
    )
    return Pours(parts, minutes=book.number("mix_minutes"))


def rates_of(feed: Feed) -> tuple[Line, ...]:
    """The label rates as one short phrase: once where all are the same."""
    rates = {(part.rate_per_l, part.dry) for part in feed.parts}
    if len(rates) == 1:
        rate, dry = rates.pop()
        return (line("rate.each", rate=Measure(rate, "rate_g" if dry else "rate_ml")),)
    return tuple(
        line(
            "rate.part",
            name=part.name,
            rate=Measure(part.rate_per_l, "rate_g" if part.dry else "rate_ml"),
        )
        for part in feed.parts
    )


def poured_in(text: str, feed: Feed, book: Book) -> list[float]:
    """ "A 140, B 78", "48 ml each" -> [mL], or [g] of a dry part, for each part of the feed.

    Raises
    ------
    Ask
        A part that this feed does not have.
    CalcError
    """
    mine = measures(book)
    if (each := read_each(text)) is not None:
        text = ", ".join(f"{part.name} {text[each.start : each.end]}" for part in feed.parts)
    told = read_amounts(text, measures=mine)
    names = {part.name.casefold(): part for part in feed.parts}
    if not set(told) <= set(names):
        raise Ask(_which_parts(text, feed))
    return [told.get(part.name.casefold(), 0.0) for part in feed.parts]


def water_in(text: str, book: Book) -> Fact:
    """Water that went in, [L]. An amount that names a part is feed, and is asked about.

    Raises
    ------
    Ask, CalcError
    """
    try:
        read_amounts(text, measures=measures(book))
    except CalcError:
        return Fact("water", read_volume(text, measures=measures(book)).litres, FromText())
    raise Ask(clarify("bad_input", line("log.water_or_feed", text=text[:40])))


def _which_parts(text: str, feed: Feed) -> Answer:
    example = ", ".join(f"{part.name} 100" for part in feed.parts)
    parts = tuple(line("button.tower", name=part.name) for part in feed.parts)
    return clarify(
        "two_part_imbalance",
        line(
            "ask.parts_unknown",
            feed=feed.name,
            parts=parts,
            text=text,
            example=example,
        ),
    )
