"""The town's towers as records: what each stands on and what it is fed."""

from __future__ import annotations

from dataclasses import replace

from bot.demo.feeds import SET_ON, metric, two_part
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


def plain_tower(name: str, tank_l: float, place: str, levels: int, ports: int) -> Tower:
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


def metric_tower(tower: Tower, *, depth_cm: float | None = None, water_ec: float = 0.4) -> Tower:
    """The same on the metric feed, with a depth where it has been measured."""
    return replace(
        tower, feed=metric().name, full_depth_cm=depth_cm, water_ec=water_ec, target_ec=1.6
    )
