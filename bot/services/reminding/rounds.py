"""Full change, stronger feed, a newcomer's step, the pen: what comes round."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from bot.records.answer import Measure, Offer, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import (
    Door,
    Dose,
    Log,
    Reminded,
    SettingsEdit,
    TowerEdit,
)
from bot.records.reminders import Debt
from bot.services.log.use import (
    change_due,
)
from bot.services.newcomer.steps import steps
from bot.services.reminding.said import Said, answered, tower_of

_THREE_QUARTERS: Final = 0.7
_DAY: Final = timedelta(days=1)


def full_change(debt: Debt, book: Book) -> Said | None:
    tower = tower_of(debt, book)
    found = change_due(tower, book) if tower else None
    if tower is None or found is None:
        return None
    began = found.since.id if found.since.kind == "change" else 0
    later = found.on > book.local(book.now) + _DAY  # slower by now: told again then
    if later or debt.key.rsplit(":", 1)[1] != str(began):
        return None
    say = line("remind.change", tower=tower.name, day=Weekday(found.on))
    why = line(
        "why.change" if began else "why.change_unknown",
        since=book.local(found.since.at),
        days=Measure(book.number("change_every_days"), "number"),
        tanks=Measure(book.number("change_after_tanks"), "number"),
    )
    done = Log(tower=tower.name, change="yes")
    return Said(
        debt=debt,
        short=say,
        alone=answered(say, line("remind.change_how"), why=why),
        own=(Offer(label=line("button.done"), question=done),),
    )


def stage(debt: Debt, book: Book) -> Said | None:
    tower = tower_of(debt, book)
    if tower is None or tower.moved_in_on is None or tower.strength is None:
        return None
    if debt.key.split(":")[2:] != [tower.moved_in_on.isoformat(), str(round(tower.strength * 100))]:
        return None
    half = tower.strength < _THREE_QUARTERS
    rate = book.rule("no_meter_topup_strength").value or 1.0
    to = 0.75 if half else rate
    say = line("remind.stage", tower=tower.name, to=Measure(to, "share"))
    why = line("why.stage", day=tower.moved_in_on, now=Measure(tower.strength, "share"))
    go = TowerEdit(tower=tower.name, strength=f"{to * 100:.1f} %")
    wait = Reminded(debts=str(debt.id), act="days")
    return Said(
        debt=debt,
        short=say,
        alone=answered(say, why=why),
        own=(
            Offer(label=line("button.go_to", to=Measure(to, "share")), question=go),
            Offer(label=line("button.not_yet"), question=wait),
        ),
    )


def step(debt: Debt, book: Book) -> Said | None:
    tower = tower_of(debt, book)
    if tower is None or tower.stage not in ("coming", "empty"):
        return None
    name = debt.key.split(":")[2]
    found = next((one for one in steps(tower, book) if one.name == name), None)
    if found is None:
        return None
    say = line(f"remind.{found.name}", tower=tower.name, day=Weekday(found.on))
    sown = tower.sown_on if name in ("first_fill", "move_in", "moved") else None
    why = line("why.step") if sown is None else line("why.step_sown", day=sown)
    return Said(
        debt=debt, short=say, alone=answered(say, why=why), own=_step_offers(found.name, tower)
    )


def _step_offers(name: str, tower: Tower) -> tuple[Offer, ...]:
    here_ = Door(tower=tower.name, stage="empty")
    growing = Door(tower=tower.name, stage="growing")
    match name:
        case "leak_run":
            return (Offer(label=line("button.it_is_here"), question=here_),)
        case "jug":
            count = TowerEdit(tower=tower.name)
            return (Offer(label=line("button.counted"), question=count, form="counted"),)
        case "first_fill":
            return (Offer(label=line("button.how_much"), question=Dose(tower=tower.name)),)
        case _:
            return (Offer(label=line("button.plants_in"), question=growing),)


def calibrate(debt: Debt, book: Book) -> Said | None:
    last = book.member.calibrated_on
    if not book.member.has_ec_meter:
        return None
    if last is not None and debt.key != f"calibrate:{last.isoformat()}":
        return None
    say = line("remind.calibrate")
    why = line("why.calibrate", day=last) if last else line("why.calibrate_never")
    done = SettingsEdit(calibrated="today")
    return Said(
        debt=debt,
        short=say,
        alone=answered(say, why=why, check=(line("check.common"),)),
        own=(Offer(label=line("button.done"), question=done),),
    )
