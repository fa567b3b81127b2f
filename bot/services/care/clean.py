"""Cleaning an empty tank: plants out first, the coach's rate alone, nothing beside bleach."""

from __future__ import annotations

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromPolicy,
    FromText,
    Line,
    Measure,
    Offer,
    Pour,
    Pours,
    line,
)
from bot.records.book import Book
from bot.records.changes import AddEntry
from bot.records.facts import Entry, Tower
from bot.records.questions import Clean, Dose, PortClear, Undo
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed, measures, rule_fact, tank_fact
from bot.services.levels import told_level
from bot.services.log.entries import mark
from calc.cleaning import bleach_at_rate_ml
from calc.units import read_number, read_volume

_SLACK = 1.1
# What may stand beside a per cent: any other word is another bottle.
_PLAIN_BLEACH = frozenset(
    "bleach plain household unscented regular liquid sodium hypochlorite".split()
)
_NOTHING = frozenset(("", "no", "none", "nothing", "water", "plain water", "just water"))


def clean(question: Clean, book: Book) -> Answer:
    """The steps, with the bleach by the coach's rate; no rate set: no amount.

    Raises
    ------
    Ask, CalcError
    """
    if question.beside is not None and question.beside.casefold().strip() not in _NOTHING:
        # Whatever it is: nothing goes in beside bleach.
        return Answer(outcome="refuse", intent="cleaning", do=(line("no.bleach_mix"),))
    if question.done is not None:
        return _done(chosen_tower(question, book), book)
    tower = tower_or_none(question, book) if question.water else chosen_tower(question, book)
    for one in (tower,) if tower else book.towers:
        if growing := book.growing(one.name):
            return _plants_first(one, len(growing))
    return _steps(question, tower, book)


def _plants_first(tower: Tower, count: int) -> Answer:
    out = PortClear(tower=tower.name, ports="all", how="cleared")
    return Answer(
        outcome="answer",
        intent="cleaning",
        do=(line("clean.plants_first", tower=tower.name, count=count),),
        expect=(line("clean.then_again"),),
        cautions=(line("caution.bleach"),),
        offers=(Offer(label=line("button.all_out"), question=out),),
    )


def _steps(question: Clean, tower: Tower | None, book: Book) -> Answer:
    water = _water(question, tower, book)
    rate = book.rule("bleach_ml_per_l")
    first = line(
        "clean.first" if tower else "clean.first_unnamed", tower=tower.name if tower else ""
    )
    if rate.value is None:
        return Answer(
            outcome="answer",
            intent="cleaning",
            do=(first, line("clean.scrub_only")),
            expect=(line("clean.no_rate"),),
            cautions=(line("caution.bleach"),),
            offers=_done_offer(tower),
        )
    label = _label(question, book)
    at = rule_fact("bleach_at_percent", "rate's strength", book)
    per = Fact("rate", rate.value, FromPolicy("bleach_ml_per_l", rate.set_on, rate.by))
    bleach = bleach_at_rate_ml(
        tank_l=water.value,
        rate_ml_per_l=per.value,
        rate_at_percent=at.value,
        label_percent=label.value,
    )
    shown = Pours((Pour("bleach", bleach),), steps=False)
    percent = Measure(label.value, "number")
    return Answer(
        outcome="answer",
        intent="cleaning",
        amounts=(
            Amount(name="bleach", value=bleach, unit="mL", origin=computed(water, per, at, label)),
        ),
        do=(
            first,
            line("clean.pour", water=Measure(water.value, "water"), bleach=shown, percent=percent),
            line("clean.run"),
            line("clean.rinse"),
        ),
        why=(_why(book, per.value, at.value),),
        check=_assumed(question, label.value),
        cautions=(line("caution.bleach"),),
        offers=_done_offer(tower),
    )


def _water(question: Clean, tower: Tower | None, book: Book) -> Fact:
    if question.level is not None:
        tank = tank_fact(question.water, tower, book)
        assert tank is not None, "chosen above, or told"
        return told_level(question, tank, tower, book).litres
    if question.water:
        litres = read_volume(question.water, measures=measures(book)).litres
        if tower is not None and litres > tower.tank_l * _SLACK:
            raise Ask(_too_much(litres, tower))
        return Fact("water", litres, FromText())
    tank = tank_fact(None, tower, book)
    assert tank is not None, "chosen above"
    return tank


def _too_much(litres: float, tower: Tower) -> Answer:
    tank = Measure(tower.tank_l, "water")
    return clarify("cleaning", line("ask.above_full", level=Measure(litres, "water"), tank=tank))


def _label(question: Clean, book: Book) -> Fact:
    if question.label:
        told = question.label.replace("%", " ")
        value = read_number(told, wanted="bleach strength", low=1, high=15, unit="%",
                            also=_PLAIN_BLEACH)  # fmt: skip
        return Fact("label", value, FromText())
    return rule_fact("bleach_at_percent", "label", book)


def _assumed(question: Clean, percent: float) -> tuple[Line, ...]:
    if question.label:
        return ()
    return (line("clean.assumed", percent=Measure(percent, "number")),)


def _why(book: Book, rate: float, percent: float) -> Line:
    rule = book.rule("bleach_ml_per_l")
    shown = {"rate": Measure(rate, "rate_ml"), "percent": Measure(percent, "number")}
    who = book.coach or ""
    if rule.set_on is None or not who:
        return line("why.bleach_coach", **shown)
    return line("why.bleach", coach=who, date=rule.set_on, **shown)


def _done_offer(tower: Tower | None) -> tuple[Offer, ...]:
    if tower is None or not tower.id:
        return ()
    return (Offer(label=line("button.cleaned"), question=Clean(tower=tower.name, done="yes")),)


def _done(tower: Tower, book: Book) -> Answer:
    entry = Entry(tower=tower.name, at=book.now, kind="clean", by=book.member.name,
                  recorded_at=book.now)  # fmt: skip
    return Answer(
        outcome="answer",
        intent="log",
        do=(line("clean.logged", tower=tower.name),),
        expect=(line("clean.fill_next"),),
        offers=(
            Offer(label=line("button.undo"), question=Undo(entry=mark(book.now))),
            Offer(label=line("button.how_much"), question=Dose(tower=tower.name)),
        ),
        changes=(AddEntry(tower_id=tower.id, entry=entry),),
    )
