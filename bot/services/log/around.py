"""A top-up beside the log: who fed it lately, when it is due again, and the buttons that log it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from bot.records.answer import Answer, Line, Measure, Offer, Weekday, line
from bot.records.facts import Entry, Tower
from bot.records.questions import Log, Remind
from bot.services.calendar import not_before
from bot.services.log.entries import fed, said, when, who
from bot.services.log.leaks import found_offers, sudden
from bot.services.log.use import refill_mark_l, use_of
from bot.services.log.writing import shown_offers
from bot.services.reminding.spoken import weekday_line
from bot.services.tank import Tank
from bot.words import sentence

# L per grown leafy plant and day, and what an open outdoor tower loses: common practice, no source.
_PER_PLANT_L = {"indoor": (0.05, 0.15), "outdoor": (0.1, 0.25)}
_OPEN_AIR_L = (0.2, 0.5)
_SWAP = "overstrong"
_READ_AGAIN = timedelta(days=3)


def with_record(case: Tank, found: Answer) -> Answer:
    """The answer with its place in the record of a tower that is kept."""
    tower = case.tower
    if tower is None or found.outcome != "answer":
        return found
    leaks = _leaks(case, tower)
    wait = not_before(tower, case.book)
    first = (line("dose.not_before", day=Weekday(wait)),) if wait else ()
    return replace(
        found,
        do=(*first, *leaks, *found.do),
        expect=(*found.expect, *_next(case, tower)),
        check=(*_lately(case, tower), *found.check),
        # What is not to be poured yet has no button that says it was.
        offers=found.offers
        if wait
        else (
            *(found_offers(tower) if leaks else ()),
            *found.offers,
            *_offers(case, tower, found),
            *_read_again(case, tower),
        ),
    )


def _leaks(case: Tank, tower: Tower) -> tuple[Line, ...]:
    """Far below what thirst explains: that comes before any amount."""
    if case.told.guessed:
        return ()  # an eye alone is no alarm
    now = Entry(tower=tower.name, at=case.book.now, kind="level", level_l=case.now_l)
    return sudden(tower, now, case.book)


def _read_again(case: Tank, tower: Tower) -> tuple[Offer, ...]:
    """No history yet: a second reading in a few days tells the pace."""
    growing = tower.stage == "growing"
    if not case.book.private or not growing or use_of(tower, case.book) is not None:
        return ()
    day = case.book.local(case.book.now) + _READ_AGAIN
    text = sentence("remind.read_level").format(tower=tower.name)
    ask = Remind(about=text, when=f"{day:%d %b %Y} morning", tower=tower.name)
    return (Offer(label=line("button.remind_day", day=(weekday_line(day),)), question=ask),)


def with_log(case: Tank, found: Answer) -> Answer:
    """Feed for water that is in already: one button logs both."""
    if case.tower is None or found.outcome != "answer":
        return found
    poured = ", ".join(f"{a.name} {a.value:.6f}" for a in found.amounts if a.unit in ("mL", "g"))
    told = Log(tower=case.tower.name, added=case.question.added, poured=poured or None)
    return replace(found, offers=(Offer(label=line("button.log_it"), question=told),))


def _lately(case: Tank, tower: Tower) -> tuple[Line, ...]:
    """Somebody fed it within the hours in which a second dose is asked about."""
    hours = case.book.number("double_dose_h")
    since = case.book.now - timedelta(hours=hours)
    near = [e for e in case.book.entries(tower.name) if fed(e) and e.at > since]
    if not near:
        return ()
    last = near[-1]
    what = said(replace(last, level_l=None, ec=None, ph=None, note=""), tower, case.book)
    return (line("check.fed_lately", who=(who(last),), at=when(last.at, case.book), what=what),)


def _next(case: Tank, tower: Tower) -> tuple[Line, ...]:
    """When it is at its mark again once full: at the known pace, or a range with full ports."""
    if not case.book.private:
        return ()
    room = tower.tank_l - refill_mark_l(tower, case.book)
    mark = Measure(refill_mark_l(tower, case.book), "water")
    use = use_of(tower, case.book)
    if use is not None:
        day = case.book.local(case.book.now + timedelta(days=room / use.l_per_d))
        return (line("expect.next", mark=mark, day=Weekday(day)),)
    if tower.stage != "growing" or not (tower.levels and tower.ports_per_level):
        return ()
    plants = tower.levels * tower.ports_per_level
    low, high = _PER_PLANT_L[tower.place or "outdoor"]
    air_low, air_high = _OPEN_AIR_L if tower.place == "outdoor" else (0.0, 0.0)
    least, most = room / (plants * high + air_high), room / (plants * low + air_low)
    return (line("expect.next_guess", mark=mark, least=round(least), most=round(most)),)


def _offers(case: Tank, tower: Tower, found: Answer) -> tuple[Offer, ...]:
    """ "Filled as shown" and "Different"; a full tank with nothing to add keeps its reading."""
    amounts = tuple((a.name, a.value) for a in found.amounts if a.unit in ("mL", "g"))
    poured = any(value > 0 for _, value in amounts)
    if case.full and not poured and found.intent != _SWAP:
        if case.question.ec is None:
            return ()
        reading = Log(tower=tower.name, level="full", ec=case.question.ec)
        return (Offer(label=line("button.log_reading"), question=reading),)
    return shown_offers(
        tower,
        before_l=case.now_l,
        added_l=0.0 if case.full else case.added_l,
        amounts=amounts,
        ec=case.question.ec,
    )
