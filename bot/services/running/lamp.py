"""The lamp: two of light strength, hours and light per day give the third."""

from __future__ import annotations

from dataclasses import replace

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
from bot.records.facts import Tower
from bot.records.questions import Lamp, TowerEdit
from bot.services.asking import Ask, clarify
from bot.services.facts import computed
from bot.services.running.power import power, tower_of
from calc.errors import Impossible
from calc.light import dli as light_integral
from calc.light import hours_for_dli, lux_factor, ppfd_for_dli, ppfd_from_lux
from calc.units import read_number

_LONG_DAY_H = 18.0
_LUX_SPREAD = 0.05  # of sunlight and white LEDs: spectra of one kind differ by so much


def lamp(question: Lamp, book: Book) -> Answer:
    """Two of light strength, hours and light per day give the third.

    Raises
    ------
    Ask, CalcError
    """
    if question.lux and not question.ppfd:
        return _by_lux(question, book)
    tower = tower_of(question, book)
    ppfd = _number(question.ppfd, "PPFD", 1, 3000, tower.light_ppfd if tower else None)
    hours = _number(question.hours, "hours", 0.1, 24, None)
    wanted = _number(question.dli, "DLI", 0.1, 80, None)
    if ppfd is None and wanted is None and hours is not None and question.watts:
        return _cost_alone(question, hours, book)
    if ppfd is None and (hours is None or wanted is None):
        form = Offer(label=line("button.write_down"), question=question, form="lamp")
        raise Ask(clarify("light_dli", line("lamp.ask"), offers=[form]))
    if ppfd is None and hours is not None and wanted is not None:
        return _strength_wanted(wanted, hours, book)
    assert ppfd is not None
    if hours is None and wanted is None and tower is not None:
        hours = tower.light_h
    if wanted is not None:
        return _hours_wanted(question, tower, ppfd, wanted, book)
    if hours is None:
        return _hours_band(question, tower, ppfd, book)
    return _light_given(question, tower, ppfd, hours, book)


def _by_lux(question: Lamp, book: Book) -> Answer:
    """A lux meter's reading as PPFD, as good as the factor of that kind of light."""
    if question.light is None:
        offers = [
            Offer(label=line(f"choice.{kind}"), question=replace(question, light=kind))
            for kind in ("sunlight", "white_led", "other_light")
        ]
        raise Ask(clarify("light_dli", line("lux.which"), offers=offers))
    try:
        factor = lux_factor(light=question.light)
    except Impossible:
        raise Ask(clarify("light_dli", line("lux.no_factor"))) from None
    lux = read_number(question.lux or "", wanted="lux", low=1, high=200_000, unit="lx")
    ppfd = ppfd_from_lux(lux_lx=lux, factor_lx_per_umol=factor)
    found = lamp(replace(question, lux=None, ppfd=f"{ppfd:.9g}"), book)
    inputs = (
        Fact("lux", lux, FromText()),
        Fact("factor", factor, FromTable("calc/data/lights.csv")),
    )
    amounts = tuple(replace(a, origin=computed(*inputs)) for a in found.amounts)
    said = line(
        "lux.read", lux=Measure(lux, "number"), ppfd=Measure(round(ppfd), "number"),
        factor=Measure(factor, "number"), spread=Measure(_LUX_SPREAD * ppfd, "number"),
    )  # fmt: skip
    return replace(found, amounts=amounts, why=(said, *found.why))


def _cost_alone(question: Lamp, hours: float, book: Book) -> Answer:
    """Watts tell what a lamp costs, never how much light reaches the leaves."""
    cost, amounts = power(question.watts, question.price, None, hours, book)
    return Answer(
        outcome="answer",
        intent="light_dli",
        amounts=amounts,
        do=cost,
        check=(line("lamp.watts_no_light"),),
    )


def _given(name: str, value: float, text: str | None, tower: Tower | None) -> Fact:
    """A number with where it stands: in the text, or in the tower's record."""
    return Fact(name, value, FromText() if text else FromRecord(tower.set_on if tower else None))


def _number(
    text: str | None, name: str, low: float, high: float, known: float | None
) -> float | None:
    return read_number(text, wanted=name, low=low, high=high, unit="") if text else known


def _light_given(
    question: Lamp, tower: Tower | None, ppfd: float, hours: float, book: Book
) -> Answer:
    made = light_integral(ppfd_umol_per_m2_s=ppfd, light_h=hours)
    low, high = book.number("lettuce_dli_low"), book.number("lettuce_dli_high")
    word = "lamp.low" if made < low else "lamp.high" if made > high else "lamp.right"
    return _lamp_answer(
        question, tower, hours, book,
        do=line("lamp.makes", ppfd=Measure(ppfd, "number"), hours=Measure(hours, "hours"),
                dli=Measure(made, "dli")),
        expect=line(word, low=Measure(low, "number"), high=Measure(high, "number")),
        amount=Amount(name="dli", value=made, unit="mol/m2/d",
                      origin=computed(_given("ppfd", ppfd, question.ppfd, tower))),
    )  # fmt: skip


def _hours_wanted(
    question: Lamp, tower: Tower | None, ppfd: float, wanted: float, book: Book
) -> Answer:
    hours = hours_for_dli(dli_mol_per_m2_d=wanted, ppfd_umol_per_m2_s=ppfd)
    amount = Amount(name="light_h", value=hours, unit="h",
                    origin=computed(_given("ppfd", ppfd, question.ppfd, tower)))  # fmt: skip
    if hours > 24:
        return Answer(
            outcome="answer",
            intent="light_dli",
            amounts=(amount,),
            do=(
                line("lamp.too_weak", dli=Measure(wanted, "number"), ppfd=Measure(ppfd, "number")),
            ),
        )
    return _lamp_answer(
        question, tower, hours, book,
        do=line("lamp.hours", hours=Measure(hours, "hours"), dli=Measure(wanted, "number"),
                ppfd=Measure(ppfd, "number")),
        expect=line("lamp.dark" if hours > _LONG_DAY_H else "lamp.at_leaves"),
        amount=amount,
    )  # fmt: skip


def _hours_band(question: Lamp, tower: Tower | None, ppfd: float, book: Book) -> Answer:
    low, high = book.number("lettuce_dli_low"), book.number("lettuce_dli_high")
    least, most = (hours_for_dli(dli_mol_per_m2_d=d, ppfd_umol_per_m2_s=ppfd) for d in (low, high))
    if least > 24:
        return _hours_wanted(question, tower, ppfd, low, book)
    return _lamp_answer(
        question, tower, least, book,
        do=line("lamp.band", least=Measure(least, "hours"), most=Measure(min(most, 24.0), "hours"),
                low=Measure(low, "number"), high=Measure(high, "number"),
                ppfd=Measure(ppfd, "number")),
        expect=line("lamp.at_leaves"),
        amount=Amount(name="light_h", value=least, unit="h",
                      origin=computed(_given("ppfd", ppfd, question.ppfd, tower))),
    )  # fmt: skip


def _strength_wanted(wanted: float, hours: float, book: Book) -> Answer:
    ppfd = ppfd_for_dli(dli_mol_per_m2_d=wanted, light_h=hours)
    amount = Amount(name="ppfd_needed", value=ppfd, unit="umol/m2/s",
                    origin=computed(Fact("dli", wanted, FromText())))  # fmt: skip
    first = line("lamp.needs", ppfd=Measure(ppfd, "number"), dli=Measure(wanted, "number"),
                 hours=Measure(hours, "hours"))  # fmt: skip
    return Answer(outcome="answer", intent="light_dli", amounts=(amount,), do=(first,),
                  expect=(line("lamp.at_leaves"),))  # fmt: skip


def _lamp_answer(
    question: Lamp,
    tower: Tower | None,
    hours: float,
    book: Book,
    *,
    do: Line,
    expect: Line,
    amount: Amount,
) -> Answer:
    known = tower.light_w if tower else None
    more, extra = power(question.watts, question.price, known, hours, book)
    return Answer(
        outcome="answer",
        intent="light_dli",
        amounts=(amount, *extra),
        do=(do,),
        expect=(expect, *more),
        check=(line("lamp.meaning"),),
        offers=_keep(question, tower, hours),
    )


def _keep(question: Lamp, tower: Tower | None, hours: float) -> tuple[Offer, ...]:
    """A button that stores the lamp with this tower, where something about it is new."""
    if tower is None or not tower.id or not (question.ppfd or question.watts or question.hours):
        return ()
    edit = TowerEdit(
        tower=tower.name, ppfd=question.ppfd, hours=f"{hours:.3g}", lamp_watts=question.watts
    )
    return (Offer(label=line("button.save_for", tower=tower.name), question=edit),)
