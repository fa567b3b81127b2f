"""Something done or read at a tank -> log lines, and an echo of what was stored."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import datetime

from bot.errors import Refusal
from bot.records.answer import Answer, Awaits, Fact, FromRecord, Measure, Offer, Pour, Pours, line
from bot.records.book import Book
from bot.records.changes import AddEntry, Change, PassOn, UndoEntry
from bot.records.facts import Entry, Feed, Tower
from bot.records.questions import Log, Undo
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower
from bot.services.facts import ec_fact, feed_for, measures, typed_volume
from bot.services.levels import told_level
from bot.services.log.again import fed_lately, older, repeated
from bot.services.log.checking import remarks
from bot.services.log.entries import mark, marked, said, when
from bot.services.log.leaks import found_offers, rose, rose_offers
from bot.services.log.learning import labels_offer, learned_said, lesson, taught, wants_pen
from bot.services.log.use import level_at, use_of
from bot.services.moments import read_past
from bot.services.pouring import poured_in, water_in
from bot.text import plain
from bot.words import sentence
from calc.errors import within
from calc.units import read_ph, read_temperature_c, read_volume

LONGEST_NOTE = 200
REMINDED = "reminded"  # shown under a reminder: nobody has read the level yet
_MOST_FEED = 3.0  # times the label's amount for a whole tank: a slip of the finger beyond
_SLACK = 1.02
_RATIO = 0.7  # of the label's ratio: what a careless pour still keeps
_TOLD = ("level", "added", "poured", "ec", "ph", "temp", "note", "change")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """One log question, read: what stands where in the line."""

    tower: Tower
    at: datetime
    level_l: float | None
    added_l: float | None
    amounts: tuple[tuple[str, float], ...]
    ec: float | None
    ph: float | None
    water_c: float | None
    note: str


def log(question: Log, book: Book) -> Answer:
    """Store it, say what was stored, and offer the way back.

    Raises
    ------
    Ask, CalcError
    """
    tower = chosen_tower(question, book)
    if not any(getattr(question, name) for name in _TOLD):
        raise Ask(_what(question, tower))
    told = _read(question, tower, book)
    lines = _lines(question, told, book)
    if told.amounts and not question.also:
        fed_lately(lines[-1], tower, question, book)
    if (same := repeated(lines[-1], tower, question, book)) is not None:
        return same
    return _stored(question, lines, told, book)


def _what(question: Log, tower: Tower) -> Answer:
    form = "different" if question.shown else "log"
    offer = Offer(label=line("button.write_down"), question=question, form=form)
    return clarify("log", line("log.what", tower=tower.name), offers=[offer])


def _read(question: Log, tower: Tower, book: Book) -> _Told:
    tank = Fact("tank", tower.tank_l, FromRecord(tower.set_on))
    level = told_level(question, tank, tower, book).litres.value if question.level else None
    added = water_in(question.added, book).value if question.added else None
    if question.change and level is None:
        level = tower.tank_l
    if added is not None and added > tower.tank_l * _SLACK:
        raise Ask(_too_much_water(added, tower))
    if question.before is not None and level is not None and added is None:
        before = read_volume(question.before, measures=measures(book)).litres
        added = level - before if level > before else None
    if question.shown == REMINDED and added is None and level is not None:
        added = _by_pace(level, tower, book)
    if added and level is not None:
        _sums(level, added, question, book)
    ph = None if question.ph is None else read_ph(question.ph)
    if ph is not None:
        within(name="pH", value=ph, low=3, high=10, unit="")
    return _Told(
        tower=tower,
        at=_moment(question, book),
        level_l=level,
        added_l=added,
        amounts=_amounts(question, tower, book),
        ec=None if question.ec is None else ec_fact("ec", question.ec, book, question).value,
        ph=ph,
        water_c=None
        if question.temp is None
        else read_temperature_c(question.temp, fahrenheit=book.member.units == "us"),
        note=_note(question, book),
    )


def _note(question: Log, book: Book) -> str:
    """As told; of an EC that is another than we had said, by how much."""
    if question.ec is None or question.expected is None:
        return plain(question.note or "")[:LONGEST_NOTE]
    came = ec_fact("ec", question.ec, book, question).value
    said_ = ec_fact("expected", question.expected, book, question).value
    return sentence("log.missed").format(
        came=f"{came:.2f}", said=f"{said_:.2f}", off=f"{came - said_:+.2f}"
    )


def _by_pace(level_l: float, tower: Tower, book: Book) -> float | None:
    """Water of a fill that a reminder asked for, when nobody read the level before: by the pace
    so far, which it then leaves as it is."""
    use = use_of(tower, book)
    if use is None:
        return None
    before = level_at(use, book.now)
    return level_l - before if level_l > before else None


def _replaced(question: Log, book: Book) -> tuple[Entry, ...]:
    """The line that this one stands for; what was read before it stays."""
    return marked(question.replaces, book)[-1:] if question.replaces else ()


def _moment(question: Log, book: Book) -> datetime:
    """When it happened: as told, as the replaced line says, or now."""
    if question.at is None:
        old = _replaced(question, book)
        return old[0].at if old else book.now
    return read_past(
        question.at,
        now=book.now,
        zone=book.member.time_zone,
        month_first=book.member.units == "us",
    )


def _too_much_water(added: float, tower: Tower) -> Answer:
    tank = Measure(tower.tank_l, "water")
    return clarify("bad_input", line("log.above_tank", added=Measure(added, "water"), tank=tank))


def _sums(level: float, added: float, question: Log, book: Book) -> None:
    """A corrected fill holds what was in before it and what went in; else one of them is wrong.

    Raises
    ------
    Ask
    """
    told = marked(question.replaces, book)[:-1] if question.replaces else ()
    before = next((e.level_l for e in told if e.level_l is not None), None)
    if before is None or abs(before + added - level) <= book.number("level_guess_fraction") * (
        before + added
    ):
        return
    asked = line(
        "log.no_sum",
        before=Measure(before, "water"),
        added=Measure(added, "water"),
        sum=Measure(before + added, "water"),
        level=Measure(level, "water"),
    )
    fits = replace(question, added=f"{level - before:.6f} l")
    offers = [Offer(label=line("button.type_again"), question=question, form="change_log")]
    if level > before:
        water = Measure(level - before, "water")
        offers.insert(0, Offer(label=line("button.water_was", water=water), question=fits))
    raise Ask(clarify("bad_input", asked, offers=offers))


def _amounts(question: Log, tower: Tower, book: Book) -> tuple[tuple[str, float], ...]:
    """Each part that went in, [mL] or [g]."""
    if not question.poured or question.poured.strip() in ("0", "none", "no"):
        return ()
    feed = feed_for(tower, None, book)
    if feed is None or not feed.parts:
        raise Ask(clarify("log", line("ask.feed")))
    bare = re.fullmatch(r"\s*\d+(?:[.,]\d+)?\s*", question.poured)
    # Logging, a lone number is what went in of each; putting a mistake right, it would be a guess.
    amounts = poured_in(f"{question.poured} each" if bare else question.poured, feed, book)
    for part, amount in zip(feed.parts, amounts, strict=True):
        most = _MOST_FEED * part.rate_per_l * tower.tank_l
        if amount > most and not question.also:
            raise Ask(_too_much_feed(question, part.name, amount, most))
    _ratio(question, feed, amounts)
    parts = zip(feed.parts, amounts, strict=True)
    return tuple((part.name, amount) for part, amount in parts if amount > 0)


def _ratio(question: Log, feed: Feed, amounts: list[float]) -> None:
    """Parts far from the label's ratio are asked about: one forgotten, or a slip of the finger.

    Raises
    ------
    Ask
    """
    shares = [a / p.rate_per_l for a, p in zip(amounts, feed.parts, strict=True)]
    if question.also or max(shares, default=0.0) == 0 or min(shares) >= _RATIO * max(shares):
        return
    parts = tuple(Pour(p.name, a, p.dry) for p, a in zip(feed.parts, amounts, strict=True))
    asked = line("log.ratio", pours=Pours(parts, steps=False, spoons=False), feed=feed.name)
    sure = Offer(label=line("button.sure"), question=replace(question, also="yes"))
    again = Offer(label=line("button.type_again"), question=question, form="change_log")
    raise Ask(clarify("bad_input", asked, offers=[sure, again]))


def _too_much_feed(question: Log, part: str, amount: float, most: float) -> Answer:
    asked = line(
        "log.too_much",
        part=part,
        amount=Measure(amount, "ml"),
        most=Measure(most, "ml"),
    )
    sure = Offer(label=line("button.sure"), question=replace(question, also="yes"))
    again = Offer(label=line("button.type_again"), question=question, form="log")
    return clarify("bad_input", asked, offers=[sure, again])


def _kind(question: Log, told: _Told) -> str:
    if question.change:
        return "change"
    if told.added_l:
        return "topup"
    if told.amounts:
        return "dose"
    if told.level_l is not None:
        return "level"
    if told.ec is not None:
        return "ec"
    return "ph" if told.ph is not None else "note"


def _lines(question: Log, told: _Told, book: Book) -> tuple[Entry, ...]:
    """The line itself; under a top-up's own button also what was read before it."""
    base = Entry(
        tower=told.tower.name,
        at=told.at,
        kind=_kind(question, told),
        level_l=told.level_l,
        water_added_l=told.added_l,
        amounts=told.amounts,
        ec=told.ec,
        ph=told.ph,
        water_c=told.water_c,
        note=told.note,
        by=book.member.name,
        recorded_at=book.now,
    )
    if question.shown is None or question.before is None:
        return (base,)
    before = read_volume(question.before, measures=measures(book)).litres
    first = replace(
        base, kind="level", level_l=before, water_added_l=None, amounts=(), note="", ph=None,
        water_c=None,
    )  # fmt: skip
    return first, replace(base, ec=None)


def _stored(question: Log, lines: tuple[Entry, ...], told: _Told, book: Book) -> Answer:
    tower, main = told.tower, lines[-1]
    # A dose rests on nobody having fed it since; a mere reading may come in any order.
    after = book.newest.get(tower.id, 0) if told.amounts or told.added_l else None
    old = _replaced(question, book)
    if question.replaces and not old:
        raise Refusal("no.undone", outcome="refuse")
    changes: list[Change] = [AddEntry(tower_id=tower.id, entry=lines[0], after=after)]
    changes += [AddEntry(tower_id=tower.id, entry=e) for e in lines[1:]]
    changes += [UndoEntry(entry_id=e.id) for e in old]
    if question.expected and main.note:
        changes.append(PassOn(text=f"{tower.name}: {main.note}"))
    learned = lesson(tower, replace(main, id=0), book) if not old else None
    if learned is not None:
        changes.append(taught(tower, learned, book))
    word = "log.changed" if old else "log.stored"
    first = line(word, tower=tower.name, what=said(main, tower, book), at=when(main.at, book))
    key = mark(book.now)
    offers: tuple[Offer, ...] = (
        Offer(label=line("button.undo"), question=Undo(entry=key)),
        Offer(
            label=line("button.change"),
            question=_as_stored(question, main, book, key),
            form="change_log",
        ),
    )
    said_of_it = (
        *remarks(tower, main, book),
        *older(main, book),
        *wants_pen(tower, replace(main, id=0), book),
    )
    more = 0.0 if old else rose(tower, main, book)
    if learned is not None:
        said_of_it = (*said_of_it, learned_said(tower, learned))
        offers = (*offers, labels_offer(tower))
    if more:
        said_of_it = (*said_of_it, line("leak.rise_by", more=Measure(more, "water")))
        offers = (*rose_offers(tower, main, more, key, book), *offers)
    if any(one.word == "leak.sudden" for one in said_of_it):
        offers = (*found_offers(tower), *offers)
    return Answer(
        outcome="answer",
        intent="log",
        do=(first,),
        expect=said_of_it,
        offers=offers,
        changes=tuple(changes),
        awaits=Awaits(question=_as_stored(question, main, book, key), field="edit"),
    )


def _as_stored(question: Log, main: Entry, book: Book, key: str) -> Log:
    """The question that tells the line as it stands, for its form."""
    parts = ", ".join(f"{name} {amount:.4g}" for name, amount in main.amounts)
    return replace(
        question,
        tower=main.tower,
        level=question.level,
        added=typed_volume(main.water_added_l, book) if main.water_added_l else None,
        poured=parts or None,
        ec=question.ec if main.ec is not None else None,
        replaces=key,
        shown=None,
        before=None,
    )


def shown_offers(
    tower: Tower,
    *,
    before_l: float,
    added_l: float,
    amounts: tuple[tuple[str, float], ...],
    ec: str | None,
) -> tuple[Offer, Offer]:
    """ "Filled as shown" and "Different" under a top-up."""
    poured = ", ".join(f"{name} {amount:.6f}" for name, amount in amounts if amount > 0)
    base = Log(tower=tower.name, before=f"{max(before_l, 0.001):.6f} l", ec=ec, shown="yes")
    done = replace(
        base,
        level="full",
        added=f"{added_l:.6f} l" if added_l > 0 else None,
        poured=poured or None,
    )
    return (
        Offer(label=line("button.filled"), question=done),
        Offer(label=line("button.different"), question=base, form="different"),
    )
