"""pH by the jug test: drops that brought a jug of tank water to the middle of the band, scaled to
the water in the tank now, half of it first, once a day.

No amount ever comes from a pH alone, and nothing here knows a concentrated acid.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from bot.errors import Refusal
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
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.changes import AddEntry
from bot.records.facts import Entry, Tower
from bot.records.questions import Ph, Undo
from bot.services.asking import Ask, clarify
from bot.services.care.standing import Stands, stands_now
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed, measures, tank_fact
from bot.services.log.entries import mark, when, who
from calc.errors import Unreadable, within
from calc.source import ALKALINITY_HIGH_MG_PER_L, hardness_class
from calc.units import DROPS_PER_ML, read_number, read_ph, read_volume

_NOTE: Final = re.compile(r"pH-(?:down|up) \d")  # how the log's notes of a correction begin
_ONE_DAY: Final = timedelta(hours=20)  # "tomorrow", at about the same hour
_JUG_L: Final = 1.0
_IN_LITRES_L: Final = 2.0
_MOST_DROPS_PER_L: Final = 40  # 2 mL a litre: a strong buffer, or the wrong bottle (from memory)
_LEAST_ML: Final = 0.1  # two drops: less is lost in the cap
_SAID_BOTTLE: Final = re.compile(r"\b(?:of\s+)?(?:ph[\s-]*)?(?P<which>up|down)\b", re.IGNORECASE)
# Nothing of these is ever dosed by the drop.
_STRONG: Final = re.compile(
    r"acid|bleach|vinegar|battery|muriatic|lemon|ammonia|lye|caustic|sulph?uric|nitric|h2so4|hno3|h3po4|hcl|cleaner|descaler|pool|homemade|home-made",
    re.IGNORECASE,
)
_IN: Final = re.compile(
    r"^(?P<n>.*?)\b(?:per|in|an?|for)\b\s*(?P<jug>.+)$|^(?P<m>.*?)/\s*(?P<jug2>[^\d].*)$"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Test:
    """What the test says. bottle: "down", "up", or "tested" where no pH was told."""

    drops: Fact
    jug: Fact
    per_ml: Fact
    stands: Stands
    bottle: str

    @property
    def full_ml(self) -> float:
        return self.drops.value / self.jug.value * self.stands.litres.value / self.per_ml.value


def ph(question: Ph, book: Book) -> Answer:
    """What the jug test means for the tank now; how to do it, where it was not done.

    Raises
    ------
    Ask, CalcError
    """
    reading = _reading(question)
    if question.added is not None:
        return _logged(question, chosen_tower(question, book), book)
    if reading is not None and _inside(reading, book):
        return _leave_it(reading, book)
    bare = reading is None and question.drops is None
    tower = tower_or_none(question, book) if bare else _tower(question, book)
    lately = _corrected(tower, book) if tower else None
    if lately is not None and not bare:
        return _once_a_day(lately, book)
    if question.drops is None:
        raise Ask(_how_to(question, reading, tower, book))
    return _dose(question, _test(question, reading, tower, book), tower, book)


def _reading(question: Ph) -> float | None:
    if question.ph is None:
        return None
    return within(name="pH", value=read_ph(question.ph), low=3, high=10, unit="")


def _inside(reading: float, book: Book) -> bool:
    return book.number("ph_low") <= reading <= book.number("ph_high")


def _tower(question: Ph, book: Book) -> Tower | None:
    """The text may do without a tower where it says the tank itself."""
    if question.tank and question.level:
        return tower_or_none(question, book)
    return chosen_tower(question, book)


def _leave_it(reading: float, book: Book) -> Answer:
    band = {
        "low": Measure(book.number("ph_low"), "ph"),
        "high": Measure(book.number("ph_high"), "ph"),
    }
    return Answer(
        outcome="answer",
        intent="ph_jug_test",
        do=(line("ph.leave", ph=Measure(reading, "ph"), **band),),
    )


def _corrected(tower: Tower, book: Book) -> Entry | None:
    """The correction of the last day, if there was one."""
    today = book.local(book.now)
    lines = [
        e
        for e in book.entries(tower.name)
        if e.kind == "ph" and (e.at > book.now - _ONE_DAY or book.local(e.at) == today)
    ]
    mine = [e for e in lines if _NOTE.match(e.note)]
    return mine[-1] if mine else None


def _once_a_day(last: Entry, book: Book) -> Answer:
    again = max(book.local(last.at + _ONE_DAY), book.local(book.now) + timedelta(days=1))
    said = line("ph.once", who=(who(last),), what=last.note, at=when(last.at, book),
                day=Weekday(again))  # fmt: skip
    return Answer(
        outcome="answer",
        intent="ph_jug_test",
        do=(said,),
        check=(line("ph.rebound"),) if "down" in last.note else (),
    )


def _how_to(question: Ph, reading: float | None, tower: Tower | None, book: Book) -> Answer:
    """The test comes first: no drops, no amount."""
    middle = Measure(_middle(book), "ph")
    down = reading is None or reading > book.number("ph_high")
    said = line(
        "ph.how_down" if down else "ph.how_up",
        middle=middle,
        tower=tower.name if tower else "",
    )
    offer = Offer(label=line("button.write_down"), question=question, form="jug_test")
    found = clarify("ph_unknown", said, offers=[offer])
    return found if reading is not None else replace(found, do=(_band(book), *found.do))


def _band(book: Book) -> Line:
    low, high = (Measure(book.number(k), "ph") for k in ("ph_low", "ph_high"))
    return line("ph.band", low=low, high=high)


def _middle(book: Book) -> float:
    return (book.number("ph_low") + book.number("ph_high")) / 2


def _test(question: Ph, reading: float | None, tower: Tower | None, book: Book) -> _Test:
    if _STRONG.search(f"{question.drops} {question.jug or ''}"):
        raise Refusal("no.acid", outcome="refuse")
    drops, jug = _drops(question, book)
    tank = tank_fact(question.tank, tower, book)
    assert tank is not None, "a tower, or the tank in the text"
    counted = book.member.drops_per_ml
    if question.per_ml:
        counted = read_number(question.per_ml, wanted="drops per mL", low=5, high=60, unit="drops")
    per_ml = (
        Fact("drops per mL", counted, FromRecord())
        if counted
        else Fact("drops per mL", DROPS_PER_ML, FromTable("common practice"))
    )
    return _Test(
        drops=drops,
        jug=jug,
        per_ml=per_ml,
        stands=stands_now(question, tank, tower, book),
        bottle=_bottle(question, reading, book),
    )


def _bottle(question: Ph, reading: float | None, book: Book) -> str:
    """Which bottle brought it to the middle: as said, or by the reading before.

    Raises
    ------
    Ask
        What is said would drive the reading the other way.
    """
    words = _SAID_BOTTLE.search(question.drops or "")
    said = words["which"].casefold() if words else None
    if reading is None:
        return said or "tested"
    needed = "down" if reading > book.number("ph_high") else "up"
    if said not in (None, needed):
        bottle = (line(f"ph.bottle_{needed}"),)
        raise Ask(
            clarify("ph_unknown", line("ph.ask_bottle", ph=Measure(reading, "ph"), bottle=bottle))
        )
    return needed


def _drops(question: Ph, book: Book) -> tuple[Fact, Fact]:
    """ "2", "6 drops per gal", "3 in 1 l": how many, and in how much."""
    text, jug = question.drops or "", question.jug
    split = _IN.match(text)
    if split is not None and jug is None:
        text, jug = split["n"] or split["m"] or "", split["jug"] or split["jug2"]
    words = _SAID_BOTTLE.sub(" ", re.sub(r"\bdrops?\b", " ", text, flags=re.IGNORECASE))
    try:
        count = read_number(words, wanted="drops", low=0.25, high=400, unit="drops")
    except Unreadable:
        raise Unreadable(text=(question.drops or "")[:60], wanted="drops") from None
    drops = Fact("drops", count, FromText())
    if not jug:
        return drops, Fact("jug", _JUG_L, FromTable("the jug test, common practice"))
    bare = jug if re.search(r"\d", jug) else f"1 {jug}"
    litres = read_volume(bare, measures=measures(book)).litres
    within(name="jug", value=litres, low=0.1, high=20, unit="L")
    return drops, Fact("jug", litres, FromText())


def _dose(question: Ph, test: _Test, tower: Tower | None, book: Book) -> Answer:
    if test.drops.value / test.jug.value > _MOST_DROPS_PER_L:
        raise Ask(clarify("ph_unknown", line("ph.too_many")))
    if test.full_ml < _LEAST_ML:
        raise Ask(clarify("ph_unknown", line("ph.too_few")))
    inputs = (test.drops, test.jug, test.stands.litres, test.per_ml)
    full, first = test.full_ml, test.full_ml / 2
    kind = test.bottle
    minutes = Measure(book.number("read_after_minutes"), "minutes")
    bottle = line(f"ph.bottle_{kind}")
    do = (
        line(
            "ph.first" if tower else "ph.first_unnamed",
            tower=tower.name if tower else "",
            first=Measure(first, "pour_down"),
            bottle=(bottle,),
            minutes=minutes,
        ),
        line("ph.rest", low=Measure(book.number("ph_low"), "ph"),
             high=Measure(book.number("ph_high"), "ph")),
    )  # fmt: skip
    unit = "water_l" if test.jug.value < _IN_LITRES_L else "water"  # one unit, so it can be redone
    why = line(
        "why.jug_test",
        drops=Measure(test.drops.value, "number"),
        jug=Measure(test.jug.value, unit),
        water=Measure(test.stands.litres.value, unit),
        per=Measure(test.per_ml.value, "number"),
        full=Measure(full, "pour_down"),
    )
    return Answer(
        outcome="answer",
        intent="ph_jug_test",
        amounts=(
            Amount(name="full_dose", value=full, unit="mL", origin=computed(*inputs)),
            Amount(name="first_step", value=first, unit="mL", origin=computed(*inputs)),
        ),
        do=do,
        expect=_rebound(tower),
        why=(why,),
        check=(*test.stands.notes, *_guessed(test)),
        cautions=(line("caution.ph_bottle"),),
        offers=_log_it(question, tower, kind, first),
    )


def _guessed(test: _Test) -> tuple[Line, ...]:
    if isinstance(test.per_ml.origin, FromTable):
        return (line("check.drops_guess", per=Measure(test.per_ml.value, "number")),)
    return ()


def _rebound(tower: Tower | None) -> tuple[Line, ...]:
    """Hard or alkaline water: the tower breathes its CO2 out and the pH climbs again."""
    if tower is None:
        return ()
    hardness = hardness_class(hardness_mg_per_l_caco3=tower.hardness_mg_per_l or 0.0)
    hard = hardness in ("hard", "very_hard")
    alkaline = (tower.alkalinity_mg_per_l or 0) > ALKALINITY_HIGH_MG_PER_L
    return (line("ph.hard_rebound"),) if hard or alkaline else ()


def _log_it(question: Ph, tower: Tower | None, kind: str, first_ml: float) -> tuple[Offer, ...]:
    if tower is None or not tower.id:
        return ()
    told = Ph(tower=tower.name, ph=question.ph, added=f"{kind} {first_ml:.2f}")
    return (Offer(label=line("button.ph_added"), question=told),)


def _logged(question: Ph, tower: Tower, book: Book) -> Answer:
    """What went in, in the log: it holds the next correction back for a day. The test's other half
    belongs to the same correction."""
    kind, amount, *rest = (question.added or "").split()
    value = read_number(amount, wanted="drops", low=0, high=10_000, unit="mL")
    said = line("ph.logged", what=(line(f"ph.bottle_{kind}"),), ml=Measure(value, "pour_down"),
                tower=tower.name)  # fmt: skip
    bottle = "down" if kind == "tested" else kind
    entry = Entry(
        tower=tower.name,
        at=book.now,
        kind="ph",
        ph=_reading(question),
        note=f"pH-{bottle} {value:.{1 if value < 10 else 0}f} mL",
        by=book.member.name,
        recorded_at=book.now,
    )
    undo = Offer(label=line("button.undo"), question=Undo(entry=mark(book.now)))
    other = Ph(tower=tower.name, added=f"{kind} {amount} rest")
    again = () if rest else (Offer(label=line("button.other_half"), question=other),)
    minutes = Measure(book.number("read_after_minutes"), "minutes")
    return Answer(
        outcome="answer",
        intent="log",
        do=(said,),
        expect=(line("ph.tomorrow", minutes=minutes),),
        offers=(undo, *again),
        changes=(AddEntry(tower_id=tower.id, entry=entry),),
    )
