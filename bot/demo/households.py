"""Who keeps which tower, what grows in it, and how they go about it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from bot.demo.feeds import three_part
from bot.demo.people import AUCKLAND, LISBON, SALTMARSH_ZONE
from bot.demo.plots import Close, Habit, Pen, Plot
from bot.demo.towers import kitchen, metric_tower, plain_tower
from calc.units import to_si


@cache
def plots() -> tuple[Plot, ...]:
    """Every tower of the town, Tamsin's first."""
    return (
        _kitchen(),
        _porch(),
        _sunroom(),
        _stoop(),
        _terrace(),
        _hallway(),
        _garage(),
        _yard(),
        _bench(),
        _library(),
        _balcony(),
        _deck(),
        _sill(),
    )


def _us_habit() -> Habit:
    """Half-gallon jugs, half-inch marks."""
    return Habit(
        reads="eighths", usual_hour=8.0, jug_l=to_si(0.5, "us_gal"), mark_cm=to_si(0.5, "in")
    )


def _kitchen() -> Plot:
    return Plot(
        tower=kitchen(),
        keepers=("Tamsin",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 15), ("basil", 8), ("pepper", 2)),
        habit=replace(
            _us_habit(),
            reads="marks",
            pen=Pen(bias=0.02, drift_per_day=0.0008),
            by_meter=True,
            sloppy=0.05,
            fill_below=0.55,
            change_every_days=20,
            changed_days_ago=11,
        ),
        close=Close(at_fraction=0.5, rests_h=(50, 70)),
    )


def _porch() -> Plot:
    tower = replace(
        plain_tower("porch", to_si(10, "us_gal"), "outdoor", 5, 4), full_depth_cm=to_si(11, "in")
    )
    return Plot(
        tower=tower,
        keepers=("Corin",),
        zone=SALTMARSH_ZONE,
        plants=(("tomato", 1), ("basil", 6), ("lettuce", 8)),
        habit=replace(
            _us_habit(),
            reads="marks",
            pen=Pen(bias=-0.03, step=0.01),
            ph=True,
            by_meter=True,
            visits_per_week=3.0,
            change_every_days=14,
            changed_days_ago=9,
        ),
        close=Close(dry_in_days=1.7),
    )


def _sunroom() -> Plot:
    tower = replace(
        plain_tower("sunroom", to_si(13, "us_gal"), "indoor", 6, 5), full_depth_cm=to_si(15, "in")
    )
    return Plot(
        tower=tower,
        keepers=("Corin",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 18), ("strawberry", 8)),
        habit=replace(_us_habit(), reads="marks", pen=Pen(bias=-0.03, step=0.01), ph=True),
    )


def _stoop() -> Plot:
    return Plot(
        tower=plain_tower("stoop", to_si(12, "us_gal"), "outdoor", 5, 4),
        keepers=("Bram",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 14), ("basil", 5)),
        habit=replace(_us_habit(), usual_hour=18.5, pen=Pen(bias=0.04, scale=500), sloppy=0.3),
        close=Close(leaks=True),
    )


def _terrace() -> Plot:
    return Plot(
        tower=metric_tower(plain_tower("terrace", 60.0, "outdoor", 6, 5), depth_cm=40.0),
        keepers=("Odalys",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 16), ("strawberry", 6)),
        habit=Habit(
            reads="marks",
            usual_hour=19.0,
            pen=Pen(bias=0.01, drift_per_day=0.001, scale=700),
            changed_days_ago=41,
        ),
    )


def _hallway() -> Plot:
    return Plot(
        tower=metric_tower(plain_tower("hallway", 30.0, "indoor", 4, 4)),
        keepers=("Odalys",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 10), ("basil", 4)),
        habit=Habit(
            reads="eighths",
            usual_hour=19.0,
            pen=Pen(bias=0.01, drift_per_day=0.001, scale=700),
            changed_days_ago=16,
        ),
    )


def _garage() -> Plot:
    return Plot(
        tower=replace(plain_tower("garage", to_si(8, "us_gal"), "indoor", 5, 4), strength=0.75),
        keepers=("Rafe",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 16),),
        habit=replace(
            _us_habit(),
            reads="quarters",
            usual_hour=20.0,
            sloppy=0.4,
            jug_l=to_si(1, "us_gal"),
            changed_days_ago=24,
        ),
        started_days_ago=24,
    )


def _yard() -> Plot:
    return Plot(
        tower=plain_tower("yard", to_si(14, "us_gal"), "outdoor", 6, 4),
        keepers=("Joss",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 12), ("strawberry", 8)),
        habit=replace(_us_habit(), reads="quarters", sloppy=0.3, usual_hour=17.0),
        close=Close(silent_days=24),
    )


def _bench() -> Plot:
    return Plot(
        tower=plain_tower("bench", to_si(8, "us_gal"), "outdoor", 4, 4),
        keepers=("Wenna",),
        zone=SALTMARSH_ZONE,
        plants=(("lettuce", 9), ("basil", 4)),
        habit=replace(
            _us_habit(),
            usual_hour=7.5,
            jug_l=to_si(0.25, "us_gal"),
            pen=Pen(step=0.01),
            ph=True,
            sloppy=0.0,
        ),
    )


def _library() -> Plot:
    return Plot(
        tower=replace(
            metric_tower(plain_tower("library", 70.0, "indoor", 8, 5), depth_cm=42.0, water_ec=0.5),
            shared_with=("Ife", "Perrin"),
            target_ec=1.7,
        ),
        keepers=("Ife", "Perrin"),
        zone=LISBON,
        plants=(("lettuce", 20), ("basil", 8), ("pepper", 2)),
        habit=Habit(
            reads="marks",
            usual_hour=10.0,
            pen=Pen(bias=0.02),
            ph=True,
            fill_below=0.7,
            changed_days_ago=13,
        ),
        close=Close(filled_by="Ife"),
    )


def _balcony() -> Plot:
    return Plot(
        tower=metric_tower(plain_tower("balcony", 40.0, "outdoor", 5, 4), water_ec=0.5),
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
    )


def _deck() -> Plot:
    return Plot(
        tower=metric_tower(plain_tower("deck", 80.0, "outdoor", 8, 5), depth_cm=45.0, water_ec=0.2),
        keepers=("Hana",),
        zone=AUCKLAND,
        plants=(("lettuce", 18), ("strawberry", 10), ("pepper", 1)),
        habit=Habit(
            reads="marks", usual_hour=7.0, pen=Pen(bias=0.02, step=0.01), by_meter=True, ph=True
        ),
    )


def _sill() -> Plot:
    return Plot(
        tower=replace(
            plain_tower("sill", 22.0, "indoor", 3, 4),
            feed=three_part().name,
            water_ec=0.2,
            target_ec=1.4,
        ),
        keepers=("Sunniva",),
        zone=AUCKLAND,
        plants=(("lettuce", 8), ("basil", 3)),
        habit=Habit(reads="eighths", usual_hour=18.0, pen=Pen(bias=0.03, scale=500)),
    )
