"""No water at the roots: the steps before anything else, how often to pour, nudges, the restart."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Final

from bot.clock import wall_key
from bot.records.answer import Amount, Answer, FromTable, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import AddEntry, AddRule, Change, StopRules
from bot.records.facts import Entry, Tower
from bot.records.questions import Outage, Undo
from bot.records.reminders import OUTAGE, Pattern, Rule
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.log.entries import mark
from calc.errors import CalcError
from calc.units import read_duration_d, read_number, read_temperature_c

# Minutes between pours by hand, least and most: common practice, no source.
POUR_MIN: Final = {"hot": (30, 60), "mild": (60, 90), "indoor": (60, 120)}
_SURELY_HOT: Final = (27, 50)
_NUDGED_FOR: Final = timedelta(days=2)
_MOMENT_MIN: Final = 3
_LONGEST: Final = timedelta(days=3)
BACK: Final = "power back"
RUNS: Final = "pump runs again"


def outage(question: Outage, book: Book) -> Answer:
    """What to do now that nothing drips: nobody is asked anything before the steps.

    Raises
    ------
    Ask, CalcError
    """
    match question.step:
        case "pump":
            return _pump(question, book)
        case "nudge":
            return _nudges(question, chosen_tower(question, book), book)
        case "runs":
            return _runs(question, chosen_tower(question, book), book)
        case "back":
            return _back(question, chosen_tower(question, book), book)
        case _:
            return _steps(question, book)


def _known(question: Outage, book: Book) -> Tower | None:
    """Whose place may be spoken of here; nobody is asked which tower while roots dry."""
    if not book.private or (not question.tower and len(book.towers) != 1):
        return None
    return tower_or_none(question, book)


def _steps(question: Outage, book: Book) -> Answer:
    tower = _known(question, book)
    kind = _kind(question, tower, book)
    outdoors = tower is not None and tower.place == "outdoor"
    often = _often(kind, outdoors=outdoors)
    low, high = POUR_MIN[kind or "hot"]
    every = Amount(
        name="pour_every",
        value=(low + high) / 2,
        unit="min",
        origin=FromTable("common practice"),
    )
    return Answer(
        outcome="answer",
        intent="power_cut",
        amounts=(every,),
        do=(line(_pour(book)), line("outage.shade"), *often),
        expect=(line("outage.which"),),
        check=(line("outage.common"),),
        cautions=(line("caution.wet_hands"),),
        offers=_first_offers(question, kind, book),
    )


def _pour(book: Book) -> str:
    return "outage.pour" if book.member.units == "us" else "outage.pour_metric"


def _kind(question: Outage, tower: Tower | None, book: Book) -> str | None:
    """ "hot", "mild" or "indoor"; None where it is not known which."""
    told = (question.heat or "").casefold().strip()
    if tower is not None and tower.place == "indoor":
        return "indoor"
    if told in POUR_MIN:
        return told
    if told.isdigit() and _SURELY_HOT[0] <= int(told) <= _SURELY_HOT[1]:
        return "hot"  # in either scale it may be, and roots dry faster than one can ask
    if told:
        try:
            warm = read_temperature_c(told, fahrenheit=book.member.units == "us")
        except CalcError:
            return None
        return "hot" if warm >= book.number("hot_from_c") else "mild"
    return None


def _often(kind: str | None, *, outdoors: bool) -> tuple[Line, ...]:
    words = (kind,) if kind else ("hot", "mild") if outdoors else ("hot", "mild", "indoor")
    night = () if kind == "hot" else (line("outage.night"),)
    return (
        *(
            line(
                f"outage.every_{word}",
                least=Measure(POUR_MIN[word][0], "minutes"),
                most=Measure(POUR_MIN[word][1], "minutes"),
            )
            for word in words
        ),
        *night,
    )


def _first_offers(question: Outage, kind: str | None, book: Book) -> tuple[Offer, ...]:
    base = Outage(tower=question.tower, heat=question.heat)
    offers = [Offer(label=line("button.pump_dead"), question=_step(base, "pump"))]
    if book.towers:
        low, high = POUR_MIN[kind or "hot"]
        offers += [
            Offer(
                label=line("button.nudge", every=Measure(minutes, "minutes")),
                question=Outage(tower=base.tower, heat=base.heat, step="nudge", every=str(minutes)),
            )
            for minutes in (low, high)
        ]
        offers.append(Offer(label=line("button.power_back"), question=_step(base, "back")))
    return tuple(offers)


def _step(base: Outage, step: str) -> Outage:
    return replace(base, step=step)


def _pump(question: Outage, book: Book) -> Answer:
    """The pump stands still though there is power: from the socket to the roots."""
    kind = _kind(question, _known(question, book), book)
    return Answer(
        outcome="answer",
        intent="power_cut",
        do=(line("outage.pump_outlet"), line("outage.pump_clog"), line("outage.pump_bucket")),
        expect=(line("outage.pour_meanwhile"),),
        cautions=(line("caution.wet_hands"),),
        offers=(
            *_first_offers(question, kind, book)[1:-1],
            Offer(label=line("button.pump_runs"), question=_step(question, "runs")),
        )
        if book.towers
        else (),
    )


def _nudges(question: Outage, tower: Tower, book: Book) -> Answer:
    """A private word every so many minutes, at night too, until the power is back."""
    minutes = round(
        read_number(question.every or "", wanted="minutes", low=15, high=240, unit="min")
    )
    start = (book.now + timedelta(minutes=minutes)).astimezone(UTC).replace(tzinfo=None)
    count = int(_NUDGED_FOR / timedelta(minutes=minutes))
    pattern = Pattern(
        start_local=wall_key(start),
        rrule=f"FREQ=MINUTELY;INTERVAL={minutes};COUNT={count}",
        kind="elapsed",
    )
    rule = Rule(what=OUTAGE, pattern=pattern, tower_id=tower.id, late="expire")
    changes: list[Change] = [AddRule(rule=rule)]
    running = _running(tower, book)
    if running:
        changes.insert(0, StopRules(rule_ids=running))
    if _began(tower, book) is None:
        entry = Entry(tower=tower.name, at=book.now, kind="outage", by=book.member.name,
                      recorded_at=book.now)  # fmt: skip
        changes.append(AddEntry(tower_id=tower.id, entry=entry))
    back = Offer(label=line("button.power_back"), question=Outage(tower=tower.name, step="back"))
    said = line("outage.nudging", tower=tower.name, every=Measure(minutes, "minutes"))
    return Answer(
        outcome="answer",
        intent="power_cut",
        do=(said,),
        offers=(back,),
        changes=tuple(changes),
    )


def _runs(question: Outage, tower: Tower, book: Book) -> Answer:
    """The pump alone stood still: no clock has to be set."""
    changes: list[Change] = [_ended(tower, RUNS, book)]
    if running := _running(tower, book):
        changes.append(StopRules(rule_ids=running))
    return Answer(
        outcome="answer",
        intent="power_cut",
        do=(line("outage.runs_look"), line("outage.back_look")),
        expect=(line("outage.back_level", tower=tower.name),),
        offers=(Offer(label=line("button.undo"), question=Undo(entry=mark(book.now))),),
        changes=tuple(changes),
    )


def _ended(tower: Tower, note: str, book: Book) -> AddEntry:
    entry = Entry(tower=tower.name, at=book.now, kind="outage", note=note, by=book.member.name,
                  recorded_at=book.now)  # fmt: skip
    return AddEntry(tower_id=tower.id, entry=entry)


def _running(tower: Tower, book: Book) -> tuple[int, ...]:
    return tuple(
        rule.id
        for rule in book.reminding.rules
        if rule.what == OUTAGE and rule.tower_id == tower.id and not rule.stopped
    )


def over(entry: Entry) -> bool:
    """The line that ends an outage."""
    return entry.kind == "outage" and entry.note.startswith((BACK, RUNS))


def _began(tower: Tower, book: Book) -> datetime | None:
    """When the outage that is still on began; None where none is."""
    lines = [e for e in book.entries(tower.name) if e.kind == "outage"]
    if not lines or over(lines[-1]):
        return None
    at = lines[-1].at
    return at if book.now - at <= _LONGEST else None


def _back(question: Outage, tower: Tower, book: Book) -> Answer:
    """Power again: what to set and to look at, in order; nudges end."""
    began = _began(tower, book)
    minutes = _lasted(question, began, book)
    changes: list[Change] = []
    if running := _running(tower, book):
        changes.append(StopRules(rule_ids=running))
    note = BACK if minutes is None else f"{BACK} after {minutes:.0f} min"
    changes.append(_ended(tower, note, book))
    undo = Offer(label=line("button.undo"), question=Undo(entry=mark(book.now)))
    return Answer(
        outcome="answer",
        intent="power_cut",
        do=(*_timer(tower, minutes), line("outage.back_pump"), line("outage.back_look")),
        expect=(line("outage.back_level", tower=tower.name),),
        cautions=(line("caution.wet_hands"),),
        offers=(undo,),
        changes=tuple(changes),
    )


def _lasted(question: Outage, began: datetime | None, book: Book) -> float | None:
    """How long it was, in minutes: as told, or since it was told of."""
    if question.lasted:
        days = read_duration_d(question.lasted, bare="h", wanted="duration", low=1 / 1440, high=10)
        return days * 24 * 60
    if began is None:
        return None
    return (book.now - began) / timedelta(minutes=1)


def _timer(tower: Tower, minutes: float | None) -> tuple[Line, ...]:
    """A dial stood still as long as the power was away; a digital one may have lost its clock."""
    if tower.timer_kind == "digital":
        return (line("outage.back_digital", tower=tower.name),)
    if minutes is None or minutes < _MOMENT_MIN:
        return (line("outage.back_dial_unknown", tower=tower.name),)
    if minutes >= 90:
        long = Measure(round(minutes / 60, 1), "hours")
    else:
        long = Measure(round(minutes), "minutes")
    return (line("outage.back_dial", tower=tower.name, long=long),)
