"""The pump's timer: what it does in a day, and what this kind of timer can really be set to."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromRecord,
    FromText,
    Line,
    Measure,
    Offer,
    line,
)
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Timer, TowerEdit
from bot.services.asking import Ask, clarify
from bot.services.facts import computed, measures
from bot.services.running.power import power, tower_of
from bot.services.running.setting import Setting, read_flow, read_kind, read_timer
from calc.pump import cycle, on_dial_min, turnovers_per_d

_DIAL_MIN = 15.0
# On a 15-minute dial: 12 h a day outdoors, 6 h indoors. Common practice, no source.
_USUAL = {"outdoor": (15.0, 15.0), "indoor": (15.0, 45.0)}


def timer(question: Timer, book: Book) -> Answer:
    """What the pump's timer does in a day, and what this kind of timer can really be set to.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_of(question, book)
    setting = _setting(question, tower)
    if setting is None:
        raise Ask(_no_timer(question, tower))
    done = cycle(on_min=setting.on_min, off_min=setting.off_min)
    near = _on_dial(setting)
    origin = FromText() if question.timer else FromRecord(tower.set_on if tower else None)
    facts = computed(Fact("on", setting.on_min, origin), Fact("off", setting.off_min, origin))
    watts = tower.pump_w if tower else None
    cost, amounts = power(question.watts, question.price, watts, done.run_h_per_d, book)
    return Answer(
        outcome="answer",
        intent="pump_timer",
        amounts=(
            Amount(name="run_h_per_day", value=done.run_h_per_d, unit="h/day", origin=facts),
            Amount(name="cycles", value=done.runs_per_d, unit="cycles", origin=facts),
            *amounts,
        ),
        do=(_does(setting), *_cannot(setting, near)),
        expect=(*_air(setting), *_turnover(question, tower, done.run_h_per_d, book), *cost),
        check=(line("timer.common"), *_usual(tower, near)),
        cautions=(line("timer.drip_loop"),),
        offers=_keep(question, tower, near),
    )


def _setting(question: Timer, tower: Tower | None) -> Setting | None:
    """The timer as told, else as stored; its kind as told, else as stored."""
    stored = None
    if tower is not None and tower.timer_on_min and tower.timer_off_min is not None:
        stored = Setting(on_min=tower.timer_on_min, off_min=tower.timer_off_min)
    setting = read_timer(question.timer) if question.timer else stored
    if setting is None:
        return None
    kind, step = read_kind(question.dial or "")
    if kind is None and setting.kind is None and tower is not None and tower.timer_kind:
        kind, step = tower.timer_kind, tower.timer_step_min
    if kind is not None:
        setting = replace(setting, kind=kind, step_min=step)
    return setting


def _no_timer(question: Timer, tower: Tower | None) -> Answer:
    offer = Offer(label=line("button.write_down"), question=question, form="timer")
    place = tower.place if tower is not None and tower.place in _USUAL else "outdoor"
    on, off = _USUAL[place or "outdoor"]
    asked = line(
        "timer.ask",
        on=Measure(on, "minutes"),
        off=Measure(off, "minutes"),
        place=(line(f"place.{place}"),),
    )
    return clarify("pump_timer", asked, offers=[offer])


def _does(setting: Setting) -> Line:
    done = cycle(on_min=setting.on_min, off_min=setting.off_min)
    if setting.off_min == 0:
        return line("timer.always")
    return line(
        "timer.does",
        on=Measure(setting.on_min, "minutes"),
        off=Measure(setting.off_min, "minutes"),
        runs=Measure(done.runs_per_d, "number"),
        hours=Measure(done.run_h_per_d, "hours"),
    )


def _on_dial(setting: Setting) -> Setting:
    """The nearest setting that this kind of timer can do; itself where it can."""
    if setting.kind != "dial" or setting.off_min == 0:
        return setting
    step = setting.step_min or _DIAL_MIN
    return replace(
        setting,
        on_min=on_dial_min(wanted_min=setting.on_min, step_min=step),
        off_min=on_dial_min(wanted_min=setting.off_min, step_min=step),
    )


def _cannot(setting: Setting, near: Setting) -> tuple[Line, ...]:
    if near == setting:
        return ()
    done = cycle(on_min=near.on_min, off_min=near.off_min)
    return (
        line(
            "timer.dial",
            step=Measure(setting.step_min or _DIAL_MIN, "minutes"),
            on=Measure(near.on_min, "minutes"),
            off=Measure(near.off_min, "minutes"),
            hours=Measure(done.run_h_per_d, "hours"),
        ),
    )


def _air(setting: Setting) -> tuple[Line, ...]:
    if setting.off_min == 0:
        return ()
    share = cycle(on_min=setting.on_min, off_min=setting.off_min).air_fraction
    off = Measure(setting.off_min, "minutes")
    return (line("timer.air", share=Measure(share, "percent_whole"), off=off),)


def _usual(tower: Tower | None, near: Setting) -> tuple[Line, ...]:
    if near.kind != "dial" or tower is None or tower.place not in _USUAL:
        return ()
    on, off = _USUAL[tower.place]
    if (on, off) == (near.on_min, near.off_min):
        return ()
    place = (line(f"place.{tower.place}"),)
    return (
        line("timer.usual", place=place, on=Measure(on, "minutes"), off=Measure(off, "minutes")),
    )


def _turnover(question: Timer, tower: Tower | None, hours: float, book: Book) -> tuple[Line, ...]:
    flow = tower.pump_l_per_h if tower else None
    if question.flow:
        flow = read_flow(question.flow, measures=measures(book))
    if flow is None or tower is None:
        return ()
    times = turnovers_per_d(flow_l_per_h=flow, run_h=hours, tank_l=tower.tank_l)
    return (line("timer.turnover", times=Measure(round(times), "number")),)


def _keep(question: Timer, tower: Tower | None, near: Setting) -> tuple[Offer, ...]:
    """A button that stores what is new: the setting as the timer can do it, watts, flow."""
    if tower is None or not tower.id:
        return ()
    stored = (tower.timer_on_min, tower.timer_off_min, tower.timer_kind)
    told = (near.on_min, near.off_min, near.kind or tower.timer_kind)
    if stored == told and not question.watts and not question.flow:
        return ()
    edit = TowerEdit(
        tower=tower.name,
        timer=near.text() if near.off_min else None,
        watts=question.watts,
        flow=question.flow,
    )
    if not (edit.timer or edit.watts or edit.flow):
        return ()
    return (Offer(label=line("button.save_for", tower=tower.name), question=edit),)
