"""What is at home: bottles, seeds, the spare pump; used up by logged doses, ordered in time."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from bot.errors import Refusal
from bot.records.answer import (
    Amount,
    Answer,
    Awaits,
    Dated,
    Fact,
    FromRecord,
    FromText,
    Learned,
    Line,
    Measure,
    Offer,
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.changes import SetSupply, UndoSupply
from bot.records.facts import Supply
from bot.records.questions import Stock
from bot.services.asking import Ask, clarify
from bot.services.facts import computed, measures
from bot.services.log.entries import mark
from bot.text import plain
from calc.cost import uses_left_n
from calc.errors import Unreadable, within
from calc.units import Quantity, Word, read_duration_d, read_number, scan, to_si, volume

_LOOK_BACK_D: Final = 56  # eight weeks of doses tell the pace
_SHORTEST_D: Final = 7
SPARE_PUMP: Final = "spare pump"
_PUMP: Final = re.compile(r"(?:spare |extra |second )?pumps?")
_MOST: Final = 1_000_000.0
_FARTHEST_D: Final = 365  # a pace of today says nothing of the year after
_BOTTLES: Final = frozenset(
    "bottle bottles bag bags jug jugs canister canisters pack packs".split()
)
_PERIOD: Final = re.compile(
    r"(?:\b(?:a|per|each|every)\b|/)\s*(?P<period>days?|weeks?|months?)|\b(?:weekly|daily)\b"
)
_PER_WEEK: Final = {"day": 7.0, "wee": 1.0, "mon": 7 / 30}
# What may stand beside a count: any other word may be a unit that is not known here.
_PIECES: Final = frozenset(
    "count left seeds seed plugs plug pumps pump pieces packs spare of".split()
)
_UNIT_KIND: Final = {"mL": "ml", "g": "g", "count": "count"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Left:
    """An item as it stands: what is left now, what a week takes, whole weeks, the last day."""

    item: str
    unit: str
    now: Fact
    week: Fact | None
    weeks: int | None
    last: date | None


def stock(question: Stock, book: Book) -> Answer:
    """One item told or asked, or all of it.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    item = _named(question.item or "")
    if question.undo is not None:
        return _undone(item, question.undo)
    if not item and question.left is None:
        return _all(question, book)
    if not item:
        offer = Offer(label=line("button.write_down"), question=question, form="stock")
        raise Ask(clarify("supplies", line("stock.ask_item"), offers=[offer]))
    known = _known(item, book)
    if question.left is None and known is None:
        found = clarify("supplies", line("stock.ask_left", item=item))
        raise Ask(_awaiting(found, question))
    told = _told(question, item, known, book) if question.left is not None else None
    left = _left(told or known, question, book, just_told=told is not None)
    return _one(question, left, told, book)


def _awaiting(found: Answer, question: Stock) -> Answer:
    return replace(found, awaits=Awaits(question=question, field="left"))


def _named(text: str) -> str:
    """The name as it is kept; the spare pump has one, however it is said."""
    item = plain(text).strip(" .,")[:40]
    return SPARE_PUMP if _PUMP.fullmatch(item.casefold()) else item


def _known(item: str, book: Book) -> Supply | None:
    return next((s for s in book.supplies if s.item.casefold() == item.casefold()), None)


def _told(question: Stock, item: str, known: Supply | None, book: Book) -> Supply:
    size, unit = _amount(question.size, book) if question.size else (None, None)
    if size is None and known is not None:
        size, unit = known.size, known.unit
    left, told_unit = _amount(question.left or "", book, full=size, unit=unit)
    lead = _days(question.lead) if question.lead else (known.lead_days if known else None)
    week = known.week if known and known.unit == told_unit else None
    plain_told = Supply(item=item, left=left, unit=told_unit, at=book.now)
    if question.use:
        week = _weekly(question.use, plain_told, book)
    return Supply(
        item=known.item if known else item,
        left=left,
        unit=told_unit,
        size=size,
        week=week,
        lead_days=lead,
        at=book.now,
    )


def _amount(
    text: str, book: Book, *, full: float | None = None, unit: str | None = None
) -> tuple[float, str]:
    """ "900 ml", "1.5 kg", "12", "2/5", "half": in mL, g or pieces; a share needs the full size.

    Raises
    ------
    Unreadable, OutOfRange
    """
    items = [i for i in scan(text) if isinstance(i, Quantity)]
    words = {i.text.casefold() for i in scan(text) if isinstance(i, Word)}
    if not items and words & {"none", "no", "empty"}:
        return 0.0, unit or "count"
    if not items and words & {"full"} and full is not None:
        return full, unit or "mL"
    if len(items) != 1:
        raise Unreadable(text=text[:60], wanted="stock")
    one = items[0]
    if one.number == 0:
        return 0.0, unit or {"volume": "mL", "mass": "g"}.get(one.kind, "count")
    if one.kind == "volume":
        return _sane(volume(one, measures=measures(book)).litres * 1000, "mL")
    if one.kind == "mass":
        return _sane(to_si(one.number, one.unit), "g")
    if one.kind == "fraction" and full is not None and 0 <= one.number <= 1:
        return one.number * full, unit or "mL"
    if words & _BOTTLES and unit in ("mL", "g"):
        if full is None:
            raise Unreadable(text=text[:60], wanted="stock")
        return _sane(one.number * full, unit)
    if one.kind == "number" and not one.unit:
        kept = unit or "count"
        count = read_number(text, wanted="stock", low=0, high=_MOST, unit=kept, also=_PIECES)
        return count, kept
    raise Unreadable(text=text[:60], wanted="stock")


def _sane(value: float, unit: str) -> tuple[float, str]:
    return within(name="stock", value=value, low=0, high=_MOST, unit=unit), unit


def _days(text: str) -> int:
    return round(read_duration_d(text, bare="d", wanted="days", low=0, high=120))


def _left(supply: Supply | None, question: Stock, book: Book, *, just_told: bool) -> _Left:
    """What is left after the doses logged since it was told, and how long that lasts."""
    assert supply is not None
    used = 0.0 if just_told else _used(supply, book)
    told = Fact("left", supply.left, FromRecord(book.local(supply.at)))
    origin = FromText() if just_told else computed(told, Fact("poured since", used, FromRecord()))
    now = Fact("left", max(0.0, supply.left - used), origin)
    planned, unit = (
        _amount(question.planned, book, unit=supply.unit)
        if question.planned
        else (0.0, supply.unit)
    )
    if unit != supply.unit:
        raise Unreadable(text=(question.planned or "")[:60], wanted="stock use")
    week = _per_week(supply, question, book)
    weeks = last = None
    if week is not None and week.value > 0:
        weeks = uses_left_n(left_amount=now.value, planned_amount=planned, use_amount=week.value)
        days = max(0.0, now.value - planned) / week.value * 7
        if days <= _FARTHEST_D:
            last = book.local(book.now) + timedelta(days=int(days))
    return _Left(item=supply.item, unit=supply.unit, now=now, week=week, weeks=weeks, last=last)


def _used(supply: Supply, book: Book) -> float:
    """Poured by this person since it was told, top-ups and full changes alike."""
    return sum(
        amount
        for e in book.log
        if e.mine and e.at > supply.at
        for name, amount in e.amounts
        if name.casefold() == supply.item.casefold()
    )


def _per_week(supply: Supply, question: Stock, book: Book) -> Fact | None:
    """As told, now or before; else the pace of the person's own logged doses."""
    if question.use:
        return Fact("a week", _weekly(question.use, supply, book), FromText())
    if supply.week is not None:
        return Fact("a week", supply.week, FromRecord(book.local(supply.at)))
    since = book.now - timedelta(days=_LOOK_BACK_D)
    poured = sorted(
        (e.at, amount)
        for e in book.log
        if e.mine and e.at > since
        for name, amount in e.amounts
        if name.casefold() == supply.item.casefold() and amount > 0
    )
    if len(poured) < 2:
        return None
    days = (poured[-1][0] - poured[0][0]) / timedelta(days=1)
    if days < _SHORTEST_D:
        return None
    # The last one is for the days that follow it.
    rate = sum(amount for _, amount in poured[:-1]) / days * 7
    return Fact("a week", rate, Learned(len(poured)))


def _weekly(text: str, supply: Supply, book: Book) -> float:
    """ "48 ml", "48 ml a week", "7 ml a day" -> a week's, in the supply's own unit.

    Raises
    ------
    Unreadable
        Another kind of unit than what is left is counted in.
    """
    words = re.sub(r"\beach\b", " ", text.casefold())
    every = re.search(r"\bevery (\d+) days\b", words)
    if every:
        words = words.replace(every[0], " ")
    found = _PERIOD.search(words)
    amount, unit = _amount(_PERIOD.sub(" ", words), book, unit=supply.unit)
    if unit != supply.unit:
        raise Unreadable(text=text[:60], wanted="stock use")
    if every:
        return amount * 7 / max(1, int(every[1]))
    return amount * (_PER_WEEK[found["period"][:3]] if found and found["period"] else 1.0)


def _one(question: Stock, left: _Left, told: Supply | None, book: Book) -> Answer:
    supply = told or _known(left.item, book)
    lead = supply.lead_days if supply else None
    do = [_row(left)]
    days: list[Dated] = []
    if left.last is not None and lead is not None:
        order = left.last - timedelta(days=lead)
        inputs = [left.now, Fact("days to arrive", lead, FromRecord())]
        inputs += [left.week] if left.week else []
        days.append(Dated(name="reorder_date", on=order, origin=computed(*inputs)))
        late = order <= book.local(book.now)
        do.append(line("stock.order_now" if late else "stock.order", day=Weekday(order), lead=lead))
    amounts = [Amount(name="left", value=left.now.value, unit=left.unit, origin=left.now.origin)]
    if left.weeks is not None and left.week is not None:
        origin = computed(left.now, left.week)
        amounts.append(Amount(name="weeks", value=left.weeks, unit="weeks", origin=origin))
        days_left = left.now.value / left.week.value * 7 if left.week.value else 0.0
        amounts.append(Amount(name="days_left", value=days_left, unit="days", origin=origin))
    undo = Offer(label=line("button.undo"), question=Stock(item=left.item, undo=mark(book.now)))
    return Answer(
        outcome="answer",
        intent="supplies",
        amounts=tuple(amounts),
        days=tuple(days),
        do=tuple(do),
        check=_how(left, lead),
        offers=(undo,) if told else (),
        changes=(SetSupply(supply=told),) if told else (),
    )


def _row(left: _Left) -> Line:
    if left.now.value == 0 and left.unit != "count":
        return line("stock.row_empty", item=left.item)
    amount = Measure(left.now.value, f"stock_{_UNIT_KIND[left.unit]}")
    if left.weeks is None:
        return line("stock.row", item=left.item, left=amount)
    if left.last is None:
        return line("stock.row_years", item=left.item, left=amount)
    return line("stock.row_weeks", item=left.item, left=amount, weeks=left.weeks,
                last=Weekday(left.last))  # fmt: skip


def _how(left: _Left, lead: int | None) -> tuple[Line, ...]:
    said: list[Line] = []
    if left.week is None and left.unit != "count":
        said.append(line("stock.no_pace"))
    elif left.week is not None and isinstance(left.week.origin, Learned):
        week = Measure(left.week.value, f"stock_{_UNIT_KIND[left.unit]}")
        said.append(line("stock.pace", week=week, count=left.week.origin.n))
    if lead is None and left.weeks is not None:
        said.append(line("stock.no_lead"))
    return tuple(said)


def _all(question: Stock, book: Book) -> Answer:
    """Everything, what runs out first on top, and whether there is a pump to spare."""
    found = [_left(s, Stock(), book, just_told=False) for s in book.supplies]
    found.sort(key=lambda one: (one.last is None, one.last or date.max, one.item))
    rows = tuple(_row(one) for one in found)
    spare = _known(SPARE_PUMP, book)
    offer = Offer(label=line("button.write_down"), question=question, form="stock")
    extra = () if spare is not None else (line("stock.no_spare"),)
    return Answer(
        outcome="answer",
        intent="supplies",
        do=(line("stock.head"), *rows) if rows else (line("stock.none"),),
        expect=extra,
        check=(line("stock.parts_alike"),) if len(rows) > 1 else (),
        offers=(offer,),
    )


def _undone(item: str, told: str) -> Answer:
    """Back to the telling before; `told` is the mark of the one that was wrong."""
    if not item:
        raise Refusal("no.undone", outcome="refuse")
    return Answer(
        outcome="answer",
        intent="supplies",
        do=(line("stock.undone", item=item),),
        changes=(UndoSupply(item=item, at=datetime.fromisoformat(told)),),
    )
