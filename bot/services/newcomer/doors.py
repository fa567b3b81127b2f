"""Where a new tower stands today, and the one next step from there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from bot.records.answer import Answer, Awaits, Line, Measure, Offer, Weekday, line
from bot.records.book import Book
from bot.records.changes import AddEntry, Change, EditTower
from bot.records.facts import Entry, Tower
from bot.records.questions import Door, RemindStop, Said, SettingsEdit, TopUp, TowerEdit
from bot.services.asking import clarify
from bot.services.calendar import move_in_window
from bot.services.choosing import chosen_tower
from bot.services.log.entries import SOWN
from bot.services.moments import read_day
from bot.services.refusing import off_range_day
from bot.services.reminding.changing import RECORDS
from bot.services.reminding.facts import step_owed
from bot.services.reminding.spoken import here
from calc.errors import OutOfRange

_PLUGS = 6
_SEEDS = 2
_SOW_C = (
    20.0  # lettuce: 99 % normal seedlings at 20 C, Harrington & Minges, Univ. of California, 1954
)
_UNKNOWN = ("don't know", "dont know", "not sure", "no idea", "?")


def door(question: Door, book: Book) -> Answer:
    """One named step for today.

    Raises
    ------
    Ask, CalcError
    """
    tower = chosen_tower(question, book)
    match question.stage:
        case "coming":
            return _coming(question, tower, book)
        case "where":
            return _where(tower)
        case "empty":
            return _empty(question, tower, book)
        case _:
            return _growing(question, tower, book)


def _where(tower: Tower) -> Answer:
    """The three doors again, for a tower that is saved."""
    return clarify("newcomer", line("door.where", tower=tower.name), offers=three_doors(tower))


def three_doors(tower: Tower) -> tuple[Offer, ...]:
    """Not here yet, here and empty, plants growing."""
    return tuple(
        Offer(label=line(f"button.door_{stage}"), question=Door(tower=tower.name, stage=stage))
        for stage in ("coming", "empty", "growing")
    )


def _edit(tower: Tower, **facts: str | float | date | None) -> EditTower:
    return EditTower(tower_id=tower.id, name=tower.name, facts=tuple(facts.items()))


def _coming(question: Door, tower: Tower, book: Book) -> Answer:
    here = replace(question, tower=tower.name)
    if question.arrives is None:
        offers = [
            Offer(label=line("button.type_day"), question=here, form="arrival"),
            Offer(label=line("button.dont_know"), question=replace(here, arrives="don't know")),
        ]
        found = clarify("newcomer", line("door.when"), offers=offers)
        return replace(found, awaits=Awaits(question=here, field="arrives"))
    arrives = _arrival(question.arrives, book)
    if arrives is not None:
        here = replace(here, arrives=arrives.isoformat())  # "tomorrow" is another day tomorrow
    if question.sown is None:
        return _sow_today(here, tower, arrives, book)
    return _sown(here, tower, arrives, book)


def _arrival(text: str, book: Book) -> date | None:
    if text.strip().casefold().strip(".!") in _UNKNOWN:
        return None
    try:
        return read_day(
            text,
            now=book.now,
            zone=book.member.time_zone,
            month_first=book.member.units == "us",
        )
    except OutOfRange as error:
        raise off_range_day(error, text) from None


def _sow_today(question: Door, tower: Tower, arrives: date | None, book: Book) -> Answer:
    today = book.local(book.now)
    start, end = move_in_window(today, book)
    first = line("door.arrives", day=Weekday(arrives)) if arrives else line("door.arrives_unknown")
    offers = (
        Offer(label=line("button.sown"), question=replace(question, sown="yes")),
        Offer(label=line("button.not_yet"), question=replace(question, sown="no")),
    )
    facts: dict[str, str | float | date | None] = {
        "stage": "coming",
        "strength": book.number("seedling_strength"),
    }
    if arrives is not None:
        facts["arrives_on"] = arrives
    return Answer(
        outcome="answer",
        intent="newcomer",
        do=(first, _sowing()),
        expect=(line("door.move_in", first=Weekday(start), last=Weekday(end)),),
        check=(line("door.common_sowing"),),
        offers=offers,
        changes=(_edit(tower, **facts),),
    )


def _sowing() -> Line:
    return line("door.sow", plugs=_PLUGS, seeds=_SEEDS, warmth=Measure(_SOW_C, "temperature"))


def _sown(question: Door, tower: Tower, arrives: date | None, book: Book) -> Answer:
    """Seeds are in, or not yet; the next step is the leak run on the day it comes."""
    today = book.local(book.now)
    done = question.sown == "yes"
    changes: list[Change] = []
    if done:
        changes.append(_edit(tower, sown_on=today))
        note = Entry(
            tower=tower.name, at=book.now, kind="note", note=SOWN, by=book.member.name,
            recorded_at=book.now,
        )  # fmt: skip
        changes.append(AddEntry(tower_id=tower.id, entry=note))
    after = replace(tower, stage="coming", arrives_on=arrives, sown_on=today if done else None)
    writes = sorted(one.due for one in step_owed(after, book, {}))
    first = line("door.sown", plugs=_PLUGS, day=today) if done else line("door.not_sown")
    then = line("door.leak_next", day=Weekday(arrives)) if arrives else line("door.leak_then")
    return Answer(
        outcome="answer",
        intent="newcomer",
        do=(first,),
        expect=(then, *(line("door.will_write", at=here(at, book)) for at in writes[:1])),
        check=(line("door.undo"),) if done else (),
        offers=_reminding() if writes else (),
        changes=tuple(changes),
    )


def _reminding() -> tuple[Offer, ...]:
    """The hour of reminders changed, or none wanted."""
    return (
        Offer(label=line("button.other_time"), question=SettingsEdit(), form="evening"),
        Offer(label=line("button.no_reminders"), question=RemindStop(which=RECORDS)),
    )


def _empty(question: Door, tower: Tower, book: Book) -> Answer:
    here = replace(question, tower=tower.name)
    if question.sown in ("yes", "today"):
        changes: list[Change] = []
        if question.sown == "today":
            changes.append(_edit(tower, sown_on=book.local(book.now)))
        lines = (_sowing(),) if question.sown == "today" else (line("door.dry_until"),)
        start, end = move_in_window(book.local(book.now), book)
        return Answer(
            outcome="answer",
            intent="newcomer",
            do=lines,
            expect=(
                line("door.move_in", first=Weekday(start), last=Weekday(end)),
                line("door.dry_until"),
            )
            if question.sown == "today"
            else (),
            changes=tuple(changes),
        )
    offers = (
        Offer(label=line("button.yes_sown"), question=replace(here, sown="yes")),
        Offer(label=line("button.sow_today"), question=replace(here, sown="today")),
        Offer(label=line("button.counted"), question=TowerEdit(tower=tower.name), form="counted"),
    )
    facts: dict[str, str | float | date | None] = {
        "stage": "empty",
        "arrives_on": book.local(book.now),
        "strength": book.number("seedling_strength"),
    }
    return Answer(
        outcome="answer",
        intent="newcomer",
        do=(line("door.leak_run"), line("door.jug")),
        expect=(line("door.seeds"),),
        cautions=(
            line("door.outlet"),
            line("tower.weight", weight=Measure(tower.tank_l, "weight")),
        ),
        offers=offers,
        changes=(_edit(tower, **facts),),
    )


def _growing(question: Door, tower: Tower, book: Book) -> Answer:
    """Plants stand in it: straight to the first top-up."""
    metered = bool(book.member.has_ec_meter)
    moved: dict[str, str | float | date | None] = {"stage": "growing"}
    if tower.stage in ("coming", "empty"):
        moved["moved_in_on"] = book.local(book.now)
    ask = TopUp(tower=tower.name)
    form = "topup_metered" if metered else "topup"
    offers = [Offer(label=line("button.write_down"), question=ask, form=form)]
    if not metered:
        offers += [
            Offer(label=line(f"button.{word}"), question=TopUp(tower=tower.name, level=level))
            for word, level in (
                ("three_quarters", "3/4"),
                ("half", "half"),
                ("quarter", "a quarter"),
            )
        ]
    offers.append(Offer(label=line("button.later"), question=Said(word="door.later")))
    found = Answer(
        outcome="clarify",
        intent="newcomer",
        do=(line("door.how_full_metered" if metered else "door.how_full", tower=tower.name),),
        offers=tuple(offers),
        changes=(_edit(tower, **moved),),
    )
    return replace(found, awaits=Awaits(question=ask, field="level"))
