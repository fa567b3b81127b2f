"""Refill and pump line: the amounts worked out, or a look first where the sum says dry."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Final

from bot.records.answer import Answer, Line, Measure, Offer, Pour, Pours, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import (
    Log,
    TopUp,
)
from bot.records.reminders import Debt
from bot.services.log.use import (
    Use,
    change_due,
    level_at,
    pace_said,
    pump_line_l,
    reaches,
    refill_mark_l,
    use_of,
)
from bot.services.log.writing import REMINDED
from bot.services.reminding.facts import last_fill, last_read
from bot.services.reminding.said import Said, answered, tower_of
from bot.services.reminding.spoken import part_of_day
from bot.services.topup import topup

_DAY: Final = timedelta(days=1)
_CHANGE_SOON_D: Final = 3
_ALARM_WITHIN: Final = timedelta(hours=40)


def _same_cycle(debt: Debt, tower: Tower, book: Book) -> bool:
    """Nothing was filled since the debt was made."""
    fill = last_fill(tower, book)
    began = fill.id if fill and (fill.water_added_l or fill.kind == "change") else 0
    return debt.key.split(":")[2] == str(began)


def refill(debt: Debt, book: Book) -> Said | None:
    tower = tower_of(debt, book)
    use = use_of(tower, book) if tower else None
    if tower is None or use is None or not _same_cycle(debt, tower, book):
        return None
    mark = refill_mark_l(tower, book)
    likely, early, late = reaches(use, mark)
    if book.local(likely) > book.local(book.now) + _DAY:
        return None  # thirst has dropped: told of again when it is near
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    if dry <= book.now:
        return _unread(debt, tower, use, book)  # no sum is worth pouring by any more
    # What is down to the mark on the day is told as that; what is past it, as it should be now.
    level = min(mark, use.level_l if likely > book.now else level_at(use, book.now))
    found = topup(TopUp(tower=tower.name, level=f"{level:.6f} l"), book)
    over = likely <= book.now
    sure = book.local(early) == book.local(late)
    say = line(
        "remind.refill_now" if over else "remind.refill_sure" if sure else "remind.refill",
        tower=tower.name,
        mark=Measure(level, "water"),
        day=Weekday(book.local(max(likely, book.now))),
        early=Weekday(book.local(max(early, book.now))),
        late=Weekday(book.local(max(late, book.now))),
    )
    why = pace_said(use)
    change = change_due(tower, book)
    soon = change is not None and (change.on - book.local(book.now)).days <= _CHANGE_SOON_D
    better = (line("check.change_soon", day=Weekday(change.on)),) if change and soon else ()
    check = (*better, line("check.read_first"), *found.check[-1:])
    alone = replace(
        found,
        intent="reminder",
        do=(say, *found.do),
        why=(why,),
        check=check,
        expect=found.expect[:1],
        changes=(),
    )
    short = line("remind.row_fill", what=(say,), amounts=_amounts(found))
    return Said(debt=debt, short=short, alone=alone, own=_fill_offers(found))


def _unread(debt: Debt, tower: Tower, use: Use, book: Book) -> Said:
    """By the sum it is dry: somebody has to look, and the amounts wait for what they see."""
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    say = line(
        "remind.below_line",
        tower=tower.name,
        read=Weekday(book.local(use.at)),
        since=Weekday(book.local(dry)),
    )
    form = "topup_metered" if book.member.has_ec_meter else "topup"
    write = Offer(label=line("button.write_down"), question=TopUp(tower=tower.name), form=form)
    why = pace_said(use)
    dry_roots = line("remind.dry", mark=Measure(pump_line_l(tower, book), "water"))
    return Said(debt=debt, short=say, alone=answered(say, dry_roots, why=why), own=(write,))


def look(debt: Debt, book: Book) -> Said | None:
    """One reading, please: nobody knows any more how high the water is."""
    tower = tower_of(debt, book)
    if tower is None:
        return None
    last, use = last_read(tower, book), use_of(tower, book)
    if debt.key.split(":")[2] != str(last.id if last else 0):
        return None
    say = line("remind.look_first", tower=tower.name)
    if last is not None:
        say = line("remind.look", tower=tower.name, day=Weekday(book.local(last.at)))
    alone = Answer(outcome="answer", intent="reminder", do=(say,))
    if use is not None:
        mark = refill_mark_l(tower, book)
        _, early, late = (max(at, book.now) for at in reaches(use, mark))
        why = line(
            "remind.look_why",
            mark=Measure(mark, "water"),
            early=Weekday(book.local(early)),
            late=Weekday(book.local(late)),
        )
        alone = replace(alone, why=(why,))
    write = Offer(label=line("button.write_down"), question=Log(tower=tower.name), form="log")
    return Said(debt=debt, short=say, alone=alone, own=(write,))


def _amounts(found: Answer) -> tuple[Line, ...]:
    """Water and feed of a top-up in a few words."""
    water = next((a.value for a in found.amounts if a.name == "water"), 0.0)
    parts = tuple(
        Pour(a.name, a.value, a.unit == "g") for a in found.amounts if a.unit in ("mL", "g")
    )
    pours = Pours(parts, steps=False, spoons=False)
    if not any(part.amount for part in parts):
        return (line("reading.water", water=Measure(water, "water")),)
    return (line("reading.water_and", water=Measure(water, "water"), pours=pours),)


def _fill_offers(found: Answer) -> tuple[Offer, ...]:
    """The top-up's own two buttons, "Done" first; nobody has read the level yet."""
    offers = [
        replace(offer, question=replace(offer.question, before=None, added=None, shown=REMINDED))
        for offer in found.offers
        if isinstance(offer.question, Log) and offer.question.shown
    ]
    if not offers:
        return ()
    return (replace(offers[0], label=line("button.done")), *offers[1:])


def pump_line(debt: Debt, book: Book) -> Said | None:
    tower = tower_of(debt, book)
    use = use_of(tower, book) if tower else None
    if tower is None or use is None or not _same_cycle(debt, tower, book):
        return None
    mark = pump_line_l(tower, book)
    likely, early, _ = reaches(use, mark)
    if early - book.now > _ALARM_WITHIN:
        return None
    if likely <= book.now:
        return _unread(debt, tower, use, book)
    found = topup(TopUp(tower=tower.name, level=f"{level_at(use, book.now):.6f} l"), book)
    begins = part_of_day(max(early, book.now), book)
    begun = begins == part_of_day(book.now, book)
    say = line(
        "remind.pump_line_now" if begun else "remind.pump_line",
        tower=tower.name,
        early=(begins,),
        likely=(part_of_day(likely, book),),
    )
    why = pace_said(use)
    alone = answered(
        say,
        line("remind.dry", mark=Measure(mark, "water")),
        *found.do,
        why=why,
        check=(line("check.read_first"),),
    )
    short = line("remind.row_fill", what=(say,), amounts=_amounts(found))
    return Said(debt=debt, short=short, alone=alone, own=_fill_offers(found))
