"""Sums for a group: plugs and seeds to have ready, a bill in shares, what a head has cost."""

from __future__ import annotations

import re
from collections import Counter
from typing import Final

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromTable,
    FromText,
    Line,
    Measure,
    Offer,
    line,
)
from bot.records.book import Book
from bot.records.questions import Cost, Plugs, Shares
from bot.services.asking import Ask, clarify
from bot.services.facts import computed
from bot.services.plants.crops import known_crop
from calc.cost import cost_per_head, shares_minor, with_spare_n
from calc.errors import Unreadable
from calc.tables import Crop
from calc.units import read_number

# Currencies whose smallest coin is the whole: ISO 4217, exponent 0.
_WHOLE: Final = frozenset("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split())
_MONEY: Final = re.compile(
    r"[^\w\d.,-]*\s*(?P<whole>\d{1,3}(?:[ ,']\d{3})+|\d+)"
    r"(?:[.,](?P<part>\d{1,2}))?\s*[^\d.,-]{0,12}"
)
_THOUSANDS: Final = re.compile(r"\d\s*(?:k|m|thousand|million)\b", re.IGNORECASE)
_MOST_DIGITS: Final = 9
_SEEDLING_D: Final = (14.0, 21.0)  # leafy greens: common practice, no source
_NAME: Final = re.compile(r"^[^\d$€£¥-]*")  # "electric 7": what it was for
_MOST_SHARES: Final = 500


def plugs(question: Plugs, book: Book) -> Answer:
    """Plugs and seeds for so many people.

    Raises
    ------
    Ask, CalcError
    """
    if question.people is None or question.each is None:
        offer = Offer(label=line("button.write_down"), question=question, form="plugs")
        raise Ask(clarify("group_event", line("group.ask_plugs"), offers=[offer]))
    people = 1
    for part in question.people.split(" x "):  # "2 x 8": so many tables of so many
        people *= _whole(part, "people", 1, 10_000)
    each = _whole(question.each, "plugs each", 1, 1000)
    spare = _spare(question.spare)
    crop = known_crop(question.crop) if question.crop else None
    seeds_each = (
        _whole(question.seeds, "seeds a plug", 1, 100)
        if question.seeds
        else (crop.plants_per_plug if crop else 1)
    )
    ready = with_spare_n(people_n=people, each_n=each, spare_fraction=spare)
    origin = computed(
        Fact("people", people, FromText()),
        Fact("each", each, FromText()),
        Fact("spare", spare, FromText() if question.spare else FromTable("none was told")),
    )
    seeds_from = FromText() if question.seeds else FromTable("calc/data/crops.csv")
    with_seeds = computed(*origin.inputs, Fact("seeds a plug", seeds_each, seeds_from))
    return Answer(
        outcome="answer",
        intent="group_event",
        amounts=(
            Amount(name="plugs", value=ready, unit="plugs", origin=origin),
            Amount(name="seeds", value=ready * seeds_each, unit="seeds", origin=with_seeds),
        ),
        do=(line("group.plugs", plugs=ready, seeds=ready * seeds_each),),
        expect=_after(crop, seeds_each),
        why=(
            line("why.plugs", people=people, each=each, spare=Measure(spare, "percent_whole"),
                 seeds=seeds_each),
        ),
        check=() if question.spare else (line("group.no_spare"),),
    )  # fmt: skip


def _after(crop: Crop | None, seeds_each: int) -> tuple[Line, ...]:
    """What everybody does next, by the crop's own age where one was named."""
    low, high = crop.seedling_d if crop else _SEEDLING_D
    word = "group.after_thin" if seeds_each > 1 else "group.after"
    return (line(word, low=round(low), high=round(high)),)


def _whole(text: str, name: str, low: int, high: int) -> int:
    if re.search(r"-\s*\d", text):
        raise Unreadable(text=text[:40], wanted=name)
    bare = re.sub(r"[^\d.,]+", " ", text).strip()
    value = read_number(bare or text, wanted=name, low=low, high=high, unit="")
    if value != int(value):
        raise Unreadable(text=text[:40], wanted=name)
    return int(value)


def _spare(text: str | None) -> float:
    if text is None:
        return 0.0
    return (
        read_number(re.sub(r"%|per ?cent", " ", text), wanted="spare", low=0, high=200, unit="%")
        / 100
    )


def shares(question: Shares, book: Book) -> Answer:
    """A bill and its shipping, each share and one's own, to the last coin.

    Raises
    ------
    Ask, CalcError
    """
    if question.total is None or question.shares is None:
        offer = Offer(label=line("button.write_down"), question=question, form="shares")
        raise Ask(clarify("group_event", line("group.ask_shares"), offers=[offer]))
    coin = 1 if book.member.currency in _WHOLE else 100
    total = _money(question.total, coin) + (
        _money(question.shipping, coin) if question.shipping else 0
    )
    parts = _parts(question.shares)
    owed = shares_minor(total_minor_n=total, shares_n=parts)
    origin = computed(
        Fact("total", total / coin, FromText()), Fact("shares", sum(parts), FromText())
    )
    one_each = len(set(parts)) == 1
    rows = _rows(owed, parts, coin) if not one_each or len(set(owed)) > 1 else ()
    do = [line("group.share", share=_shown(total / sum(parts), coin), total=_shown(total, coin))]
    amounts = [
        Amount(
            name="each", value=total / coin / sum(parts), unit=book.member.currency, origin=origin
        )
    ]
    if question.mine:
        mine = _whole(question.mine, "shares of mine", 0, _MOST_SHARES)
        rest = sum(parts) - mine
        if rest < 0:
            raise Unreadable(text=question.mine[:40], wanted="shares of mine")
        owe = shares_minor(total_minor_n=total, shares_n=[mine, rest])[0]
        do.append(line("group.owe", mine=mine, owe=_shown(owe, coin)))
        amounts.append(
            Amount(name="owe", value=owe / coin, unit=book.member.currency, origin=origin)
        )
    return Answer(
        outcome="answer",
        intent="group_event",
        amounts=tuple(amounts),
        do=(*do, *rows),
        check=(line("group.no_money"),),
    )


def _money(text: str, coin: int, wanted: str = "bill") -> int:
    """ "$1,234.50" -> 123450 of the smallest coin.

    Raises
    ------
    Unreadable
    """
    found = _MONEY.fullmatch(text.strip())
    if found is None or _THOUSANDS.search(text):
        raise Unreadable(text=text[:40], wanted=wanted)
    whole = re.sub(r"[ ,']", "", found["whole"])
    part = found["part"] or ""
    if len(whole) > _MOST_DIGITS or (part and coin == 1):
        raise Unreadable(text=text[:40], wanted=wanted)
    return int(whole) * coin + (int(part.ljust(2, "0")) if part else 0)


def _parts(text: str) -> list[int]:
    """ "11" shares of one each, or each person's: "2, 2, 1, 6"."""
    numbers = [int(n) for n in re.findall(r"\d+", text)]
    if not numbers or re.search(r"\d[.]\d|-\s*\d", text) or len(numbers) > _MOST_SHARES:
        raise Unreadable(text=text[:40], wanted="shares")
    if len(numbers) == 1:
        if not 1 <= numbers[0] <= _MOST_SHARES:
            raise Unreadable(text=text[:40], wanted="shares")
        return [1] * numbers[0]
    return numbers


def _rows(owed: tuple[int, ...], parts: list[int], coin: int) -> tuple[Line, ...]:
    """Who pays what, equal sums in one line."""
    counted = Counter(zip(parts, owed, strict=True))
    return tuple(
        line(
            "group.row_single" if share == 1 else "group.row",
            count=count,
            share=share,
            owe=_shown(minor, coin),
        )
        for (share, minor), count in sorted(counted.items(), reverse=True)
    )


def _shown(minor: float, coin: int) -> Measure:
    """So many of the smallest coin, as money."""
    return Measure(minor / coin, "money")


def _times(text: str, coin: int) -> int:
    """ "6.50 x 4": so much, so many times."""
    sum_, _, count = text.partition(" x ")
    return _money(sum_, coin, "cost") * (_whole(count, "times", 1, 1000) if count else 1)


def cost(question: Cost, book: Book) -> Answer:
    """What a head has cost: running costs over heads, the tower apart.

    Raises
    ------
    Ask, CalcError
    """
    if question.costs is None or question.heads is None:
        raise Ask(clarify("cost", line("cost.ask")))
    parts = [p for p in re.split(r"\s*(?:\+|;|&|\band\b|,\s)\s*", question.costs) if p.strip()]
    coin = 1 if book.member.currency in _WHOLE else 100
    each = [_times(_NAME.sub("", part), coin) / coin for part in parts]
    if not each:
        raise Unreadable(text=question.costs[:40], wanted="cost")
    heads = _whole(question.heads, "heads", 1, 100_000)
    per = cost_per_head(running_costs_any=each, heads_n=heads)
    origin = computed(Fact("costs", sum(each), FromText()), Fact("heads", heads, FromText()))
    amounts = [Amount(name="per_head", value=per, unit=book.member.currency, origin=origin)]
    said = [line("cost.per_head", cost=Measure(per, "money"), heads=heads)]
    if question.shop is not None:
        price = _money(question.shop, coin, "cost") / coin
        inputs = computed(*origin.inputs, Fact("shop", price, FromText()))
        saved = (price - per) * heads
        amounts.append(Amount(name="saved", value=saved, unit=book.member.currency, origin=inputs))
        word = "cost.saved" if saved >= 0 else "cost.dearer"
        said.append(line(word, sum=Measure(abs(saved), "money"), shop=Measure(price, "money")))
    return Answer(
        outcome="answer",
        intent="cost",
        amounts=tuple(amounts),
        do=tuple(said),
        check=(line("cost.tower_apart"),),
    )
