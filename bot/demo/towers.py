"""The town's towers: what each stands on, what grows in it, and how its people go about it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from bot.demo.feeds import SET_ON, metric, three_part, two_part
from bot.demo.people import AUCKLAND, LISBON, SALTMARSH_ZONE
from bot.demo.plots import Close, Habit, Pen, Plot
from bot.records.facts import Tower
from calc.units import to_si


def kitchen() -> Tower:
    """Tamsin's tower: 16 US gal, 14 in deep, outdoors by the kitchen door."""
    gallon = to_si(1, "us_gal")
    return Tower(
        name="kitchen",
        tank_l=16 * gallon,
        full_depth_cm=to_si(14, "in"),
        place="outdoor",
        target_ec=1.7,
        water_ec=0.4,
        strength=1.0,
        pump_min_l=3.5 * gallon,
        levels=6,
        ports_per_level=5,
        feed=two_part().name,
        timer_kind="dial",
        timer_on_min=15,
        timer_off_min=15,
        set_on=SET_ON,
    )


def _tower(name: str, tank_l: float, place: str, levels: int, ports: int) -> Tower:
    """A tower on its place's usual dial: 15/15 outdoors, 15/45 indoors (common practice)."""
    return Tower(
        name=name,
        tank_l=tank_l,
        place=place,
        target_ec=1.7,
        water_ec=0.4,
        strength=1.0,
        levels=levels,
        ports_per_level=ports,
        feed=two_part().name,
        timer_kind="dial",
        timer_on_min=15,
        timer_off_min=15 if place == "outdoor" else 45,
        set_on=SET_ON,
    )


def _metric(tower: Tower, *, depth_cm: float | None = None, water_ec: float = 0.4) -> Tower:
    return replace(
        tower, feed=metric().name, full_depth_cm=depth_cm, water_ec=water_ec, target_ec=1.6
    )


def _in_saltmarsh() -> tuple[Plot, ...]:
    gallon = to_si(1, "us_gal")
    us_habit = Habit(reads="eighths", usual_hour=8.0, jug_l=0.5 * gallon, mark_cm=to_si(0.5, "in"))
    porch = replace(_tower("porch", 10 * gallon, "outdoor", 5, 4), full_depth_cm=to_si(11, "in"))
    return (
        Plot(
            tower=kitchen(),
            keepers=("Tamsin",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 15), ("basil", 8), ("pepper", 2)),
            habit=replace(
                us_habit,
                reads="marks",
                pen=Pen(bias=0.02, drift_per_day=0.0008),
                by_meter=True,
                sloppy=0.05,
                fill_below=0.55,
                change_every_days=20,
                changed_days_ago=11,
            ),
            close=Close(at_fraction=0.5, rests_h=(50, 70)),
        ),
        Plot(
            tower=porch,
            keepers=("Corin",),
            zone=SALTMARSH_ZONE,
            plants=(("tomato", 1), ("basil", 6), ("lettuce", 8)),
            habit=replace(
                us_habit,
                reads="marks",
                pen=Pen(bias=-0.03, step=0.01),
                ph=True,
                by_meter=True,
                visits_per_week=3.0,
                change_every_days=14,
                changed_days_ago=9,
            ),
            close=Close(dry_in_days=1.7),
        ),
        Plot(
            tower=replace(_tower("sunroom", 45.0, "indoor", 6, 5), full_depth_cm=38.0),
            keepers=("Corin",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 18), ("strawberry", 8)),
            habit=replace(us_habit, reads="marks", pen=Pen(bias=-0.03, step=0.01), ph=True),
        ),
        Plot(
            tower=_tower("stoop", 12 * gallon, "outdoor", 5, 4),
            keepers=("Bram",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 14), ("basil", 5)),
            habit=replace(us_habit, usual_hour=18.5, pen=Pen(bias=0.04, scale=500), sloppy=0.3),
            close=Close(leaks=True),
        ),
        Plot(
            tower=_metric(_tower("terrace", 60.0, "outdoor", 6, 5), depth_cm=40.0),
            keepers=("Odalys",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 16), ("strawberry", 6)),
            habit=Habit(
                reads="marks",
                usual_hour=19.0,
                pen=Pen(bias=0.01, drift_per_day=0.001, scale=700),
                changed_days_ago=41,
            ),
        ),
        Plot(
            tower=_metric(_tower("hallway", 30.0, "indoor", 4, 4)),
            keepers=("Odalys",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 10), ("basil", 4)),
            habit=Habit(
                reads="eighths",
                usual_hour=19.0,
                pen=Pen(bias=0.01, drift_per_day=0.001, scale=700),
                changed_days_ago=16,
            ),
        ),
        Plot(
            tower=replace(_tower("garage", 8 * gallon, "indoor", 5, 4), strength=0.75),
            keepers=("Rafe",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 16),),
            habit=replace(
                us_habit,
                reads="quarters",
                usual_hour=20.0,
                sloppy=0.4,
                jug_l=gallon,
                changed_days_ago=24,
            ),
            started_days_ago=24,
        ),
        Plot(
            tower=_tower("yard", 14 * gallon, "outdoor", 6, 4),
            keepers=("Joss",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 12), ("strawberry", 8)),
            habit=replace(us_habit, reads="quarters", sloppy=0.3, usual_hour=17.0),
            close=Close(silent_days=24),
        ),
        Plot(
            tower=_tower("bench", 8 * gallon, "outdoor", 4, 4),
            keepers=("Wenna",),
            zone=SALTMARSH_ZONE,
            plants=(("lettuce", 9), ("basil", 4)),
            habit=replace(
                us_habit, usual_hour=7.5, jug_l=gallon / 4, pen=Pen(step=0.01), ph=True, sloppy=0.0
            ),
        ),
    )


def _elsewhere() -> tuple[Plot, ...]:
    return (
        Plot(
            tower=replace(
                _metric(_tower("library", 70.0, "indoor", 8, 5), depth_cm=42.0, water_ec=0.5),
                shared_with=("Ife", "Perrin"),
                target_ec=1.7,
            ),
            keepers=("Ife", "Perrin"),
            zone=LISBON,
            plants=(("lettuce", 20), ("basil", 8), ("pepper", 2)),
            habit=Habit(
                reads="marks", usual_hour=10.0, pen=Pen(bias=0.02), ph=True, changed_days_ago=13
            ),
            close=Close(filled_by="Ife"),
        ),
        Plot(
            tower=_metric(_tower("balcony", 40.0, "outdoor", 5, 4), water_ec=0.5),
            keepers=("Mirela",),
            zone=LISBON,
            plants=(("cucumber", 1), ("basil", 6), ("lettuce", 8)),
            habit=Habit(
                reads="eighths",
                usual_hour=8.5,
                pen=Pen(bias=-0.04, scale=700),
                sloppy=0.2,
                visits_per_week=3.0,
                change_every_days=14,
                changed_days_ago=8,
            ),
            close=Close(dry_in_days=2.2),
        ),
        Plot(
            tower=_metric(_tower("deck", 80.0, "outdoor", 8, 5), depth_cm=45.0, water_ec=0.2),
            keepers=("Hana",),
            zone=AUCKLAND,
            plants=(("lettuce", 18), ("strawberry", 10), ("pepper", 1)),
            habit=Habit(
                reads="marks", usual_hour=7.0, pen=Pen(bias=0.02, step=0.01), by_meter=True, ph=True
            ),
        ),
        Plot(
            tower=replace(
                _tower("sill", 22.0, "indoor", 3, 4),
                feed=three_part().name,
                water_ec=0.2,
                target_ec=1.4,
            ),
            keepers=("Sunniva",),
            zone=AUCKLAND,
            plants=(("lettuce", 8), ("basil", 3)),
            habit=Habit(reads="eighths", usual_hour=18.0, pen=Pen(bias=0.03, scale=500)),
        ),
    )


@cache
def plots() -> tuple[Plot, ...]:
    """Every tower of the town, Tamsin's first."""
    return (*_in_saltmarsh(), *_elsewhere())
