"""What was picked: any unit, several crops in one breath, into the log; ports emptied with it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import Final

from bot.records.answer import Amount, Answer, FromText, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import AddEntry, Change, Replant
from bot.records.facts import Entry, Picked, Tower
from bot.records.questions import Harvest, Undo
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower
from bot.services.log.entries import mark, picked_said, when
from bot.services.moments import read_past
from bot.services.plants.places import port_names, read_ports, standing_in
from bot.text import plain
from calc.errors import Unreadable
from calc.units import Quantity, scan, to_si

_PIECES: Final = frozenset(
    "head heads bunch bunches piece pieces fruit fruits pod pods leaf leaves plant plants".split()
)
_FILLER: Final = frozenset(
    ("of", "and", "the", "a", "an", "some", "my", "log", "harvest", "harvested", "picked", "i",
     "we", "got", "cut", "from", ",", ";", "+", "&", ".")
)  # fmt: skip
_LEAST_G: Final = 0.1
_MOST_G: Final = 50_000.0
_MOST_PIECES: Final = 5_000
_MOST: Final = 20
_LONGEST_CROP: Final = 40


def harvest(question: Harvest, book: Book) -> Answer:
    """Log it, with the sum in grams and ounces.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    tower = chosen_tower(question, book)
    if not question.what:
        offer = Offer(label=line("button.write_down"), question=question, form="harvest")
        raise Ask(clarify("harvest", line("harvest.ask"), offers=[offer]))
    picked = read_harvest(question.what)
    at = _moment(question, book)
    entry = Entry(tower=tower.name, at=at, kind="harvest", by=book.member.name,
                  recorded_at=book.now, picked=picked)  # fmt: skip
    change, emptied = _change(question, entry, tower, book)
    grams = sum(one.g or 0.0 for one in picked)
    word = "harvest.logged_at" if question.at else "harvest.logged"
    said = line(word, tower=tower.name, what=picked_said(picked), at=when(at, book))
    undo = Offer(label=line("button.undo"), question=Undo(entry=mark(book.now)))
    return Answer(
        outcome="answer",
        intent="harvest",
        amounts=(Amount(name="total", value=grams, unit="g", origin=FromText()),) if grams else (),
        do=(said, *emptied),
        expect=_sums(grams, picked, tower, book),
        cautions=(line("caution.harvest"),),
        offers=(undo,),
        changes=(change,),
    )


def _moment(question: Harvest, book: Book) -> datetime:
    if not question.at:
        return book.now
    return read_past(question.at, now=book.now, zone=book.member.time_zone,
                     month_first=book.member.units == "us")  # fmt: skip


def _change(
    question: Harvest, entry: Entry, tower: Tower, book: Book
) -> tuple[Change, tuple[Line, ...]]:
    """One line of the log; where ports were named, they are empty by it."""
    if not question.ports:
        return AddEntry(tower_id=tower.id, entry=entry), ()
    wanted = read_ports(question.ports, tower)
    there = standing_in(wanted, tower, book)
    ended = tuple((p.id, "harvested") for p in there)
    names = port_names((p.level, p.port) for p in there)
    said = (line("harvest.emptied", ports=names),) if there else (line("harvest.was_empty"),)
    return Replant(tower_id=tower.id, entry=entry, ended=ended), said


def _sums(grams: float, picked: Sequence[Picked], tower: Tower, book: Book) -> tuple[Line, ...]:
    """Both units, and what the tower has given so far."""
    said: list[Line] = []
    if grams and len([one for one in picked if one.g]) > 1:
        said.append(line("harvest.sum", both=Measure(grams, "mass_both")))
    before = sum(
        one.g or 0.0 for e in book.entries(tower.name) for one in e.picked if e.kind == "harvest"
    )
    if grams and before:
        said.append(line("harvest.so_far", both=Measure(before + grams, "mass_both")))
    if not before and not any(e.kind == "harvest" for e in book.entries(tower.name)):
        said.append(line("harvest.first", tower=tower.name))
    return tuple(said)


def read_harvest(text: str) -> tuple[Picked, ...]:
    """ "340 g lettuce and 5 oz basil", "1 lb 3 oz kale", "lettuce 240 g" -> each crop, one by one.

    Weights with no crop between them are of the next that is named.

    Raises
    ------
    Unreadable
    """
    parts = _parts(text)
    if not parts or len(parts) > _MOST or re.search(r"-\s*\d", text):
        raise Unreadable(text=text[:60], wanted="harvest")
    found: list[Picked] = []
    before = 0.0
    for quantity, words in parts:
        crop = _crop(words)
        if not crop and quantity.kind == "mass":
            before += to_si(quantity.number, quantity.unit)
            continue
        found.append(_picked(quantity, crop, before, text))
        before = 0.0
    if before or not found:
        raise Unreadable(text=text[:60], wanted="harvest")
    return tuple(found)


def _parts(text: str) -> list[tuple[Quantity, list[str]]]:
    """Each number with the words that belong to it: those behind it, else those before it."""
    items = scan(text)
    at = [n for n, item in enumerate(items) if isinstance(item, Quantity)]
    first_words = [i.text for i in items[: at[0]] if not isinstance(i, Quantity)] if at else []
    leading = bool(set(first_words) - _FILLER)
    found = []
    for number, place in enumerate(at):
        begin = (at[number - 1] + 1 if number else 0) if leading else place + 1
        end = place if leading else (at[number + 1] if number + 1 < len(at) else len(items))
        words = [i.text for i in items[begin:end] if not isinstance(i, Quantity)]
        quantity = items[place]
        assert isinstance(quantity, Quantity)
        found.append((quantity, words))
    return found


def _crop(words: list[str]) -> str:
    kept = [w for w in words if w.casefold() not in _FILLER | _PIECES and re.search(r"\w", w)]
    return plain(" ".join(kept)).strip(" .,")[:_LONGEST_CROP]


def _picked(quantity: Quantity, crop: str, before_g: float, text: str) -> Picked:
    if not crop:
        raise Unreadable(text=text[:60], wanted="harvest")
    if quantity.kind == "mass":
        grams = before_g + to_si(quantity.number, quantity.unit)
        if not _LEAST_G <= grams <= _MOST_G:
            raise Unreadable(text=text[:60], wanted="harvest")
        return Picked(crop=crop, g=grams)
    count = quantity.number
    if quantity.kind != "number" or quantity.unit or before_g or count != int(count):
        raise Unreadable(text=text[:60], wanted="harvest")
    if not 1 <= count <= _MOST_PIECES:
        raise Unreadable(text=text[:60], wanted="harvest")
    return Picked(crop=crop, count=round(count))
