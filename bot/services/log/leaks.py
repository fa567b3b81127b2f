"""A drop is thirst or a leak; a rise is rain, or a fill that nobody logged."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from typing import Final

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromRecord,
    FromText,
    Learned,
    Line,
    Measure,
    Offer,
    line,
)
from bot.records.book import Book
from bot.records.changes import AddEntry
from bot.records.facts import Entry, Tower
from bot.records.questions import Check, Leak, Log
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed, measures, tank_fact
from bot.services.log.entries import LEAK, NO_LEAK, of_this_tank, when
from bot.services.log.use import Use, between, level_at, use_of
from bot.services.yardstick import depth_of, measured
from bot.text import plain
from bot.words import sentence
from calc.errors import CalcError
from calc.units import Measures, read_depth_cm, read_duration_d, read_volume

FOUND: Final = ("leak", "thirst")  # what a suspicion came to
_LEAK: Final = 3.0  # times the normal day: common practice, no source
_JUMP: Final = 1.5  # within a day, beyond what a hot day drinks
_LOOK_BACK: Final = timedelta(days=3)
_LONGEST_NOTE: Final = 120


def leak(question: Leak, book: Book) -> Answer:
    """A leak first, where a day's loss is far over the tower's own normal.

    Raises
    ------
    Ask, CalcError
    """
    if question.rise:
        raise Ask(clarify("leak", line("leak.rise")))
    if question.found is not None:
        return _closed(question, "leak" if question.found == "leak" else "thirst", book)
    alone = question.use is not None and bool(question.lost or question.before)
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    if question.lost is None and question.level and question.before:
        return _between(question, tower, book)
    if question.lost is None and question.level and tower is not None:
        return _against_log(question, tower, book)
    if question.lost is None:
        raise _asks("leak.ask")
    mine = measures(book)
    if question.use:
        with suppress(CalcError):  # in depth, where the sides are straight: the ratio is the same
            lost_cm, use_cm = (
                read_depth_cm(t, measures=mine) for t in (question.lost, question.use)
            )
            return _judged(
                question,
                Fact("lost", lost_cm, FromText()),
                Fact("normal", use_cm, FromText()),
                tower,
                "depth_cm",
            )
    tank = tank_fact(question.tank, tower, book) if tower or question.tank else None
    told = measured({"lost": question.lost}, tank.value if tank else None, None, book)
    lost = Fact("lost", told.values["lost"], FromText())
    return _judged(question, lost, _normal(question, tower, mine, book), tower, "water")


def _between(question: Leak, tower: Tower | None, book: Book) -> Answer:
    """What was there less what is there now."""
    told = {"before": question.before, "now": question.level}
    tank_l = tower.tank_l if tower else None
    found = measured(told, tank_l, depth_of(tower, None, book), book, tower)
    gone = found.values["before"] - found.values["now"]
    was = Fact("before", found.values["before"], FromText())
    lost = Fact("lost", gone, computed(was, Fact("now", found.values["now"], FromText())))
    return _judged(question, lost, _normal(question, tower, measures(book), book), tower, "water")


def _asks(word: str) -> Ask:
    """One question; what may stand in water near a plug comes before it."""
    found = clarify("leak", line(word))
    return Ask(replace(found, do=(line("leak.electric"), *found.do)))


def _against_log(question: Leak, tower: Tower, book: Book) -> Answer:
    """What is there now against the last reading, and against the days before that."""
    now = read_volume(question.level or "", measures=measures(book)).litres
    lines = [e for e in book.entries(tower.name) if e.level_l is not None]
    if not lines or (use := use_of(tower, book)) is None:
        raise _asks("leak.ask")
    last = lines[-1]
    since = sum(e.water_added_l or 0.0 for e in book.entries(tower.name) if e.at > last.at)
    gone = (last.level_l or 0.0) + since - now
    if gone <= 0:
        raise _asks("leak.ask")
    hours = (book.now - last.at) / timedelta(hours=1)
    read = Fact("last level", last.level_l or 0.0, FromRecord(book.local(last.at)))
    lost = Fact("lost", gone, computed(read, Fact("now", now, FromText())))
    normal = Fact("normal", use.l_per_d, Learned(use.readings))
    return _judged(replace(question, hours=f"{hours:.2f} h"), lost, normal, tower, "water")


def _judged(question: Leak, lost: Fact, normal: Fact, tower: Tower | None, unit: str) -> Answer:
    """A leak or thirst, by the ratio of what is gone to a normal day."""
    hours = _hours(question)
    days = max(1.0, hours / 24)  # a night is set against a whole day: it is no less a jump
    ratio = lost.value / days / normal.value
    jump = hours <= 24 and ratio > _JUMP
    is_leak = ratio > _LEAK or jump
    shown = {"ratio": Measure(ratio, "ph"), "normal": Measure(normal.value, unit)}
    return Answer(
        outcome="answer",
        intent="leak",
        amounts=(Amount(name="ratio", value=ratio, unit="x", origin=computed(lost, normal)),),
        do=(line("leak.electric"), line("leak.yes", **shown))
        if is_leak
        else (line("leak.no", **shown),),
        expect=(line("leak.test"), line("leak.where")) if is_leak else (line("leak.thirst"),),
        check=(line("leak.common"),),
        cautions=(line("caution.leak"),) if is_leak else (),
        offers=(*(found_offers(tower) if tower and is_leak else ()), *_read_it(tower)),
    )


def sudden(tower: Tower, entry: Entry, book: Book) -> tuple[Line, ...]:
    """A level just read that is far below what a day or two of thirst explain: a leak first.

    What an eye can err by, at both readings, is no loss. With its plants known, what thirst alone
    would have left is said beside it.
    """
    use = use_of(tower, book) if book.private else None
    if use is None or entry.level_l is None:
        return ()
    lost, day = use.level_l - entry.level_l, timedelta(days=1)
    ratio = lost / max(1.0, (book.now - use.at) / day) / use.l_per_d
    shown = line(
        "leak.sudden",
        lost=Measure(lost, "water"),
        at=when(use.at, book),
        ratio=Measure(lost / use.l_per_d, "ph"),
        normal=Measure(use.l_per_d, "water"),
    )
    if use.outlook is not None:
        if not use.outlook.leaks_at(entry):
            return ()
        return (line("leak.electric"), shown, *_thirst_alone(use, book))
    if book.now - use.at > _LOOK_BACK:
        return ()  # a pace of long ago explains nothing
    slack = 2 * book.number("level_guess_fraction") * tower.tank_l
    within_a_day = book.now - use.at <= day
    if lost <= slack or not (ratio > _LEAK or (within_a_day and ratio > _JUMP)):
        return ()
    return (line("leak.electric"), shown)


def _thirst_alone(use: Use, book: Book) -> tuple[Line, ...]:
    """What would stand there now, four times in five."""
    low, _, high = between(use, book.now)
    return (line("leak.thirst_alone", low=Measure(low, "water"), high=Measure(high, "water")),)


def found_offers(tower: Tower) -> tuple[Offer, ...]:
    """How a suspicion is closed: with what was found."""
    if not tower.id:
        return ()
    leaked, thirst = (Leak(tower=tower.name, found=found) for found in FOUND)
    return (
        Offer(label=line("button.it_leaked"), question=leaked, form="leak"),
        Offer(label=line("button.no_leak"), question=thirst),
    )


def _closed(question: Leak, found: str, book: Book) -> Answer:
    """What was found, kept in the log."""
    tower = chosen_tower(question, book)
    entry = Entry(
        tower=tower.name,
        at=book.now,
        kind=LEAK if found == "leak" else NO_LEAK,
        note=plain(question.where or "")[:_LONGEST_NOTE] if found == "leak" else "",
        by=book.member.name,
        recorded_at=book.now,
    )
    return Answer(
        outcome="answer",
        intent="leak",
        do=(line(f"leak.closed_{found}", tower=tower.name),),
        changes=(AddEntry(tower_id=tower.id, entry=entry),),
    )


def rose(tower: Tower, entry: Entry, book: Book) -> float:
    """Water that nobody logged [L]: more in the tank than the last level and what went in since;
    0 where an eye can have erred by it."""
    if entry.level_l is None or entry.water_added_l or entry.kind == "change" or not book.private:
        return 0.0
    lines = of_this_tank([e for e in book.entries(tower.name) if e.at <= entry.at])
    levels = [n for n, e in enumerate(lines) if e.level_l is not None]
    if not levels:
        return 0.0
    since = lines[levels[-1] + 1 :]
    if any(e.kind == "change" for e in since):
        return 0.0
    most = (lines[levels[-1]].level_l or 0.0) + sum(e.water_added_l or 0.0 for e in since)
    more = entry.level_l - most
    return more if more > book.number("level_guess_fraction") * tower.tank_l else 0.0


def _filled(tower: Tower, entry: Entry, more_l: float, book: Book) -> float:
    """What a fill must have been [L]: the rise, and what was drunk before it."""
    use = use_of(tower, book)
    if use is None:
        return more_l
    return (entry.level_l or 0.0) - level_at(use, entry.at)


def rose_offers(
    tower: Tower, entry: Entry, more_l: float, key: str, book: Book
) -> tuple[Offer, ...]:
    """Rain, or a fill: asked once, under the reading itself."""
    filled = Log(
        tower=tower.name,
        level=f"{entry.level_l:.6f} l",
        added=f"{_filled(tower, entry, more_l, book):.6f} l",
        at=entry.at.isoformat(),
        replaces=key,
    )
    rain = Log(tower=tower.name, note=sentence("leak.rain"))
    return (
        Offer(label=line("button.i_filled"), question=filled),
        Offer(label=line("button.rain"), question=rain),
    )


def _hours(question: Leak) -> float:
    if question.hours is None:
        return 24.0
    return 24 * read_duration_d(question.hours, bare="h", wanted="hours", low=0.004, high=60)


def _normal(question: Leak, tower: Tower | None, mine: Measures, book: Book) -> Fact:
    if question.use:
        return Fact("normal", read_volume(question.use, measures=mine).litres, FromText())
    known = use_of(tower, book) if tower else None
    if known is None:
        raise _asks("leak.ask_normal")
    return Fact("normal", known.l_per_d, Learned(known.readings))


def _read_it(tower: Tower | None) -> tuple[Offer, ...]:
    if tower is None or not tower.id:
        return ()
    return (Offer(label=line("button.write_down"), question=Check(tower=tower.name), form="check"),)
