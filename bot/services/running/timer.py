"""The pump's timer: what it does in a day, and what this kind of timer can really be set to."""

from __future__ import annotations

import re

from bot.records.answer import Amount, Answer, Fact, FromText, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Timer, TowerEdit
from bot.services.asking import Ask, clarify
from bot.services.facts import computed, measures
from bot.services.running.power import power, tower_of
from bot.services.running.setting import Setting, read_timer
from calc.pump import cycle, on_dial_min, turnovers_per_d
from calc.units import read_volume

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
    step = _step(question, setting, tower)
    if setting is None:
        raise Ask(_no_timer(question, tower))
    done = cycle(on_min=setting.on_min, off_min=setting.off_min)
    facts = computed(
        Fact("on", setting.on_min, FromText()), Fact("off", setting.off_min, FromText())
    )
    lines = (
        line(
            "timer.does",
            on=Measure(setting.on_min, "minutes"),
            off=Measure(setting.off_min, "minutes"),
            runs=Measure(done.runs_per_d, "number"),
            hours=Measure(done.run_h_per_d, "hours"),
        ),
    )
    amounts = [
        Amount(name="run_h_per_day", value=done.run_h_per_d, unit="h/day", origin=facts),
        Amount(name="cycles", value=done.runs_per_d, unit="cycles", origin=facts),
    ]
    more, extra = power(
        question.watts, question.price, tower.pump_w if tower else None, done.run_h_per_d, book
    )
    return Answer(
        outcome="answer",
        intent="pump_timer",
        amounts=(*amounts, *extra),
        do=(*lines, *_on_dial(setting, step)),
        expect=(
            line(
                "timer.air",
                share=Measure(done.air_fraction, "percent"),
                off=Measure(setting.off_min, "minutes"),
            ),
            *_turnover(question, tower, done.run_h_per_d, book),
            *more,
        ),
        check=(line("timer.common"), *_usual(tower, step, setting)),
        cautions=(line("timer.drip_loop"),),
        offers=_keep(tower, setting, step),
    )


def _setting(question: Timer, tower: Tower | None) -> Setting | None:
    if question.timer:
        return read_timer(question.timer)
    if tower is not None and tower.timer_on_min and tower.timer_off_min is not None:
        return Setting(
            on_min=tower.timer_on_min,
            off_min=tower.timer_off_min,
            kind=tower.timer_kind,
            step_min=tower.timer_step_min,
        )
    return None


def _step(question: Timer, setting: Setting | None, tower: Tower | None) -> float | None:
    """The segment of a dial [min]; None for a digital timer, or one of unknown kind."""
    said = (question.dial or "").casefold()
    if said.startswith("dig"):
        return None
    number = re.search(r"\d+", said)
    if number:
        return float(number[0])
    if said.startswith("dial"):
        return _DIAL_MIN
    if setting is not None and setting.kind:
        return (setting.step_min or _DIAL_MIN) if setting.kind == "dial" else None
    if tower is not None and tower.timer_kind == "dial":
        return tower.timer_step_min or _DIAL_MIN
    return None


def _no_timer(question: Timer, tower: Tower | None) -> Answer:
    offer = Offer(label=line("button.write_down"), question=question, form="timer")
    place = tower.place if tower is not None else None
    on, off = _USUAL.get(place or "outdoor", _USUAL["outdoor"])
    asked = line(
        "timer.ask", on=Measure(on, "minutes"), off=Measure(off, "minutes"),
        place=(line(f"place.{place or 'outdoor'}"),),
    )  # fmt: skip
    return clarify("pump_timer", asked, offers=[offer])


def _on_dial(setting: Setting, step: float | None) -> tuple[Line, ...]:
    """Where the dial cannot do it: the nearest that it can."""
    if step is None:
        return ()
    on = on_dial_min(wanted_min=setting.on_min, step_min=step)
    off = on_dial_min(wanted_min=max(setting.off_min, 0.05), step_min=step)
    if on == setting.on_min and off == setting.off_min:
        return ()
    near = cycle(on_min=on, off_min=off)
    return (
        line(
            "timer.dial",
            step=Measure(step, "minutes"),
            on=Measure(on, "minutes"),
            off=Measure(off, "minutes"),
            hours=Measure(near.run_h_per_d, "hours"),
        ),
    )


def _usual(tower: Tower | None, step: float | None, setting: Setting) -> tuple[Line, ...]:
    if step is None or tower is None or tower.place not in _USUAL:
        return ()
    on, off = _USUAL[tower.place]
    if (on, off) == (setting.on_min, setting.off_min):
        return ()
    place = (line(f"place.{tower.place}"),)
    return (
        line("timer.usual", place=place, on=Measure(on, "minutes"), off=Measure(off, "minutes")),
    )


def _turnover(question: Timer, tower: Tower | None, hours: float, book: Book) -> tuple[Line, ...]:
    flow = tower.pump_l_per_h if tower else None
    if question.flow:
        flow = read_volume(
            question.flow.split("per")[0].split("/")[0], measures=measures(book)
        ).litres
    if flow is None or tower is None:
        return ()
    times = turnovers_per_d(flow_l_per_h=flow, run_h=hours, tank_l=tower.tank_l)
    return (line("timer.turnover", times=Measure(times, "number")),)


def _keep(tower: Tower | None, setting: Setting, step: float | None) -> tuple[Offer, ...]:
    """A button that stores the setting, where it is not stored."""
    if tower is None or not tower.id:
        return ()
    if (tower.timer_on_min, tower.timer_off_min) == (setting.on_min, setting.off_min):
        return ()
    kind = f" dial {step:g}" if step else ""
    text = f"{setting.on_min:g} on {setting.off_min:g} off{kind}"
    return (
        Offer(
            label=line("button.save_for", tower=tower.name),
            question=TowerEdit(tower=tower.name, timer=text),
        ),
    )
