"""One part was poured too much: the others brought up to the label's ratio."""

from __future__ import annotations

from bot.records.answer import Amount, Answer, Fact, FromText, Line, Measure, Pour, Pours, line
from bot.records.book import Book
from bot.records.facts import Feed, Tower
from bot.records.questions import Dose
from bot.services.facts import computed, label_rate, tank_fact, tap_fact, target_fact
from bot.services.pouring import poured_in, rates_of
from calc.dose import evened_out

_HIGHEST_EC = 5.0


def even(question: Dose, tower: Tower | None, feed: Feed, book: Book) -> Answer:
    """One part was over-poured: bring the others up to the label's ratio."""
    poured = poured_in(question.poured or "", feed, book)
    adds = evened_out(poured_amounts=poured, label_rates_per_l=[p.rate_per_l for p in feed.parts])
    inputs = tuple(
        Fact(f"{part.name} poured", amount, FromText())
        for part, amount in zip(feed.parts, poured, strict=True)
    )
    amounts = tuple(
        Amount(
            name=part.name,
            value=add,
            unit="g" if part.dry else "mL",
            origin=computed(*inputs, label_rate(feed, part)),
        )
        for part, add in zip(feed.parts, adds, strict=True)
    )
    short = tuple(Pour(p.name, a, p.dry) for p, a in zip(feed.parts, adds, strict=True) if a > 0.05)
    done = [p.name for p, a in zip(feed.parts, adds, strict=True) if a <= 0.05]
    say = line(
        "dose.even",
        pours=Pours(short, minutes=book.number("mix_minutes")),
        none=tuple(line("button.tower", name=name) for name in done),
    )
    expect, more = _expect_evened(question, tower, feed, poured, adds, book)
    if any(a.value > _HIGHEST_EC for a in more):
        return Answer(outcome="answer", intent="two_part_imbalance", do=(line("dose.ruined"),))
    read = Pours(
        tuple(Pour(p.name, v, p.dry) for p, v in zip(feed.parts, poured, strict=True)),
        steps=False,
        spoons=False,
    )
    return Answer(
        outcome="answer",
        intent="two_part_imbalance",
        amounts=(*amounts, *more),
        do=(say,) if short else (line("dose.even_done"),),
        expect=expect,
        why=(line("why.even", rates=rates_of(feed)),),
        check=(line("check.read_parts", poured=read), *_fresh_water(more)),
        cautions=(line("caution.parts"),),
    )


def _fresh_water(more: tuple[Amount, ...]) -> tuple[Line, ...]:
    """The expected reading takes the rest of the tank for fresh water: say so."""
    return (line("check.fresh_water"),) if more else ()


def _expect_evened(
    question: Dose,
    tower: Tower | None,
    feed: Feed,
    poured: list[float],
    adds: tuple[float, ...],
    book: Book,
) -> tuple[tuple[Line, ...], tuple[Amount, ...]]:
    """The reading of the whole tank once the parts match, where size and gain are known."""
    water = tank_fact(question.water, tower, book)
    gain, rate = feed.ec_gain_ms_per_cm, feed.parts[0].rate_per_l
    if water is None or gain is None:
        return (), ()
    tap, target = tap_fact(question, tower, book), target_fact(question, tower, book)
    ec = tap.value + gain * (poured[0] + adds[0]) / (rate * water.value)
    amount = Amount(name="ec_expected", value=ec, unit="mS/cm", origin=computed(water, tap))
    lines = [line("expect.ec", ec=Measure(ec, "ec_about"))]
    if ec > target.value * book.number("ec_red_high"):
        lines.append(line("expect.red", target=Measure(target.value, "ec")))
    elif ec > target.value + book.number("ec_miss"):
        lines.append(line("expect.high", target=Measure(target.value, "ec")))
    return tuple(lines), (amount,)
