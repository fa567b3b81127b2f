"""Energy and cost of what runs, and the tower it belongs to."""

from __future__ import annotations

from typing import Final

from bot.records.answer import Amount, Fact, FromRecord, FromText, Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Lamp, Timer
from bot.services.choosing import chosen_tower
from bot.services.facts import computed
from calc.pump import energy_kwh_per_d
from calc.units import read_number

_PRICE: Final = frozenset("$ € £ ¥ per kwh /".split())
_MONTH_D = 30


def tower_of(question: Timer | Lamp, book: Book) -> Tower | None:
    """The named or only tower; the arithmetic does without where the text is enough."""
    told = (
        question.timer
        if isinstance(question, Timer)
        else (question.ppfd or question.hours or question.lux)
    )
    if told and not question.tower and len(book.towers) != 1:
        return None
    match question:
        case Timer():
            return chosen_tower(question, book)
        case Lamp():
            return chosen_tower(question, book)


def power(
    watts: str | None, price: str | None, known_w: float | None, hours: float, book: Book
) -> tuple[tuple[Line, ...], tuple[Amount, ...]]:
    """Energy and, with a price, what it costs in the person's currency."""
    told = read_number(watts, wanted="watts", low=0.1, high=5000, unit="W") if watts else known_w
    beside = {*_PRICE, book.member.currency.casefold()}
    each = (
        read_number(price, wanted="price", low=0, high=100, unit="", also=beside) if price else None
    )
    if told is None:
        return ((line("power.no_watts"),) if price else ()), ()
    kwh = energy_kwh_per_d(power_w=told, run_h=hours)
    drawn = Fact("power", told, FromText() if watts else FromRecord())
    facts = (drawn, Fact("hours", hours, FromText()))
    lines = [line("power.energy", day=Measure(kwh, "kwh"), month=Measure(kwh * _MONTH_D, "kwh"))]
    amounts = [
        Amount(name="kwh_day", value=kwh, unit="kWh", origin=computed(*facts)),
        Amount(name="kwh", value=kwh * _MONTH_D, unit="kWh", origin=computed(*facts)),
    ]
    if each is not None:
        cost = kwh * _MONTH_D * each
        lines.append(line("power.cost", month=Measure(cost, "money")))
        paid = computed(*facts, Fact("price", each, FromText()))
        amounts.append(Amount(name="cost", value=cost, unit=book.member.currency, origin=paid))
    return tuple(lines), tuple(amounts)
