"""The town as data: who lives there, what they keep, what the shelves hold."""

from __future__ import annotations

import ast
from collections import Counter
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot import demo
from bot.demo import saltmarsh
from bot.demo.feeds import feeds, salts_of
from bot.demo.households import plots
from bot.demo.people import PEOPLE, person
from bot.demo.plots import Plot
from bot.records.facts import Tower

GALLON_L = 3.785411784  # US gallon, exact by definition
INCH_CM = 2.54  # exact by definition
PLOTS = plots()
NAMES = [plot.tower.name for plot in PLOTS]


def test_a_dozen_members_and_their_coach() -> None:
    coaches = [one.name for one in PEOPLE if one.member and one.member.role == "coach"]
    assert coaches == ["Wenna"]
    assert len(PEOPLE) == 12 + 1
    assert len({one.user_id for one in PEOPLE}) == len({one.name for one in PEOPLE}) == len(PEOPLE)
    assert all(len(str(one.user_id)) == 18 for one in PEOPLE)
    assert {saltmarsh.GUILD_ID, saltmarsh.ROOM_ID}.isdisjoint(one.user_id for one in PEOPLE)


def test_both_kinds_of_units_and_three_time_zones() -> None:
    members = [one.member for one in PEOPLE if one.member]
    assert {member.units for member in members} == {"us", "metric"}
    assert all(member.gallon == "us" for member in members if member.units == "us")
    zones = {member.time_zone for member in members}
    assert zones == {"America/New_York", "Europe/Lisbon", "Pacific/Auckland"}
    assert all(ZoneInfo(zone) for zone in zones)


def test_meters_of_each_kind_and_none() -> None:
    members = [one.member for one in PEOPLE if one.member]
    assert {member.tds_scale for member in members} == {None, 500, 700}
    assert {member.has_ec_meter for member in members} == {True, False}


def test_who_keeps_what() -> None:
    kept = Counter(name for plot in PLOTS for name in plot.keepers)
    assert [name for name, count in kept.items() if count == 2] == ["Corin", "Odalys"]
    assert kept["Tamsin"] == kept["Wenna"] == 1
    assert {one.name for one in PEOPLE} - set(kept) == {"Nessa"}
    shared = [plot for plot in PLOTS if len(plot.keepers) > 1]
    assert [(plot.tower.name, plot.keepers) for plot in shared] == [("library", ("Ife", "Perrin"))]
    assert shared[0].tower.tank_l == 70
    assert len(set(NAMES)) == len(NAMES)


def test_nessa_has_joined_and_nothing_else() -> None:
    nessa = person("Nessa")
    assert nessa.member is None
    assert nessa.joined_days_ago == min(one.joined_days_ago for one in PEOPLE)


def test_the_kitchen_is_as_its_story_says() -> None:
    kitchen = PLOTS[0].tower
    assert kitchen.tank_l == pytest.approx(16 * GALLON_L)
    assert kitchen.pump_min_l == pytest.approx(3.5 * GALLON_L)
    assert kitchen == Tower(
        name="kitchen",
        tank_l=kitchen.tank_l,
        full_depth_cm=14 * INCH_CM,
        place="outdoor",
        target_ec=1.7,
        water_ec=0.4,
        strength=1.0,
        pump_min_l=kitchen.pump_min_l,
        levels=6,
        ports_per_level=5,
        feed="Saltmarsh two-part",
        timer_kind="dial",
        timer_on_min=15,
        timer_off_min=15,
        set_on=date(2026, 5, 4),
    )
    assert saltmarsh.MEMBER_ID == 410_000_000_000_000_011


def test_labels_add_what_they_say() -> None:
    """Label rate on one litre: 8 mL of each per US gal adds 1.6; 2 mL of each per L adds 1.5."""
    two, metric, own = feeds().values()
    assert salts_of(two, (("A", 8.0), ("B", 8.0))) == pytest.approx(1.6 * GALLON_L)
    assert salts_of(metric, (("A", 2.0), ("B", 2.0))) == pytest.approx(1.5)
    assert [part.name for part in own.parts] == ["Leaf", "Root", "Bloom"]
    assert len({part.rate_per_l for part in own.parts}) == 3
    at_label = tuple((part.name, part.rate_per_l) for part in own.parts)
    assert salts_of(own, at_label) == pytest.approx(own.ec_gain_ms_per_cm)


@pytest.mark.parametrize("plot", PLOTS, ids=NAMES)
def test_a_tower_agrees_with_its_keepers(plot: Plot) -> None:
    members = [person(name).member for name in plot.keepers]
    for member in members:
        assert member is not None
        assert member.time_zone == plot.zone
        pen = plot.habit.pen
        assert member.has_ec_meter is (pen is not None)
        assert member.tds_scale == (pen.scale if pen else None)
    assert plot.tower.feed in feeds()
    ports = (plot.tower.levels or 0) * (plot.tower.ports_per_level or 0)
    assert 0 < sum(plants for _, plants in plot.plants) <= ports
    assert 0 < plot.pump_line_l < plot.tower.tank_l / 2
    assert plot.habit.reads != "marks" or plot.tower.full_depth_cm


def test_the_town_is_nobody_elses_arithmetic_and_touches_nothing() -> None:
    """Records and the size of a gallon are all it may know of the rest."""
    folder = Path(demo.__file__ or "").parent
    allowed = ("bot.demo", "bot.records.facts", "calc.units")
    for path in folder.glob("*.py"):
        if path.name == "saltmarsh.py":  # which writes to the store, and works nothing out
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(("bot", "calc")):
                assert (node.module or "").startswith(allowed), path.name


def test_the_town_has_people_of_each_kind() -> None:
    assert {plot.habit.reads for plot in PLOTS} == {"eighths", "quarters", "marks"}
    assert {plot.outdoor for plot in PLOTS} == {True, False}
    assert {plot.habit.by_meter for plot in PLOTS} == {True, False}
    assert sum(plot.close.leaks for plot in PLOTS) == 1
