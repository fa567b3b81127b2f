"""The lid table: how much is missing at a depth, and what goes in, to tape on the tank."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from bot.records.answer import Answer, Measure, Pour, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.pictures import Page
from bot.services.asking import Ask, clarify
from bot.services.facts import feed_for
from bot.services.pouring import for_new_water, refill_strength
from bot.services.shape import full_depth_of, litres_at, marks_of
from calc.units import to_si

_CM: Final = 2.0  # a row in metric units
_MOST, _LEAST = 24, 4  # rows
_PARTS: Final = 3


def lid(tower: Tower, book: Book) -> Answer:
    """A row for each inch (or 2 cm) from the full line down to half the depth and further.

    Raises
    ------
    Ask
        The tank's depth at the full line is not known.
    """
    full = full_depth_of(tower)
    if full is None:
        raise Ask(clarify("picture", line("ask.no_depth", tower=tower.name)))
    us = book.member.units == "us"
    step = to_si(1.0, "in") if us else _CM
    while full / step > _MOST:
        step *= 2
    while full / step < _LEAST:
        step /= 2
    feed = feed_for(tower, None, book)
    strength = refill_strength(None, tower, book)[0].value
    parts = feed.parts[:_PARTS] if feed else ()
    count = int(full / step + 1e-6)
    missing = [tower.tank_l - litres_at(full - n * step, full_cm=full, tank_l=tower.tank_l,
                                        tower=tower) for n in range(1, count + 1)]  # fmt: skip
    rows = tuple(
        (
            Measure(n * step, "bare_in" if us else "number"),
            Measure(litres, "bare_water"),
            *(Measure(pour.amount, "bare_pour") for pour in _poured(tower, litres, book)),
        )
        for n, litres in enumerate(missing, 1)
    )
    head = (
        line("lid.missing_in" if us else "lid.missing_cm"),
        line("lid.water", unit=Measure(tower.tank_l, "unit")),
        *(line("lid.part_g" if part.dry else "lid.part", name=part.name) for part in parts),
    )
    first = missing[0]
    said = line(
        "lid.shaped" if marks_of(tower, tower.tank_l) else "lid.straight",
        tower=tower.name,
        step=Measure(step, "depth_in" if us else "depth_cm"),
        water=Measure(first, "water"),
        pours=for_new_water(tower, first, book),
        strength=Measure(strength, "share"),
    )
    if not parts:
        said = replace(said, word="lid.water_only")
    foot = (line("lid.read_first"), *((line("caution.parts"),) if len(parts) > 1 else ()))
    page = Page(
        name="lid",
        title=line("lid.title", tower=tower.name),
        intro=(line("lid.intro", tank=Measure(tower.tank_l, "water"),
                    strength=Measure(strength, "share")),),
        head=head,
        rows=rows,
        foot=foot,
        alt=(said,),
    )  # fmt: skip
    return Answer(
        outcome="answer", intent="picture", do=(said,), expect=(line("lid.tape"),), pictures=(page,)
    )


def _poured(tower: Tower, litres: float, book: Book) -> tuple[Pour, ...]:
    return for_new_water(tower, litres, book).parts[:_PARTS]
