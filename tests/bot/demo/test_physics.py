"""Water and salts are neither made nor lost, whatever an hour asks of a tank."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.demo.hours import bed, hours
from bot.demo.households import plots
from bot.demo.physics import RAIN_EC, Hour, Water, after, flow, poured
from bot.demo.plots import Plot
from bot.demo.weather import CLIMATES, weather

TANK_L = 60.0
litres = st.floats(0, 5)
asked = st.builds(
    Hour,
    thirst_l=litres,
    evaporation_l=litres,
    rain_l=litres,
    leak_l=litres,
    air_c=st.floats(-5, 40),
    uptake=st.floats(0.5, 1.3),
)
tanks = st.builds(
    lambda level_l, ec: Water(level_l=level_l, salts=level_l * ec),
    st.floats(1, TANK_L),
    st.floats(0.2, 4),
)


@given(water=tanks, coming=st.lists(asked, max_size=48))
def test_water_and_salts_balance_hour_by_hour(water: Water, coming: list[Hour]) -> None:
    for hour in coming:
        moved = flow(water, hour, TANK_L)
        later = after(water, hour, moved)
        out_l = moved.drunk_l + moved.evaporated_l + moved.leaked_l + moved.spilled_l
        assert later.level_l - water.level_l == pytest.approx(moved.rained_l - out_l, abs=1e-9)
        kept = moved.salts_rained - moved.salts_taken - moved.salts_lost
        assert later.salts - water.salts == pytest.approx(kept, abs=1e-9)
        water = later


@given(water=tanks, coming=st.lists(asked, max_size=48))
def test_nothing_leaves_that_is_not_there(water: Water, coming: list[Hour]) -> None:
    for hour in coming:
        moved = flow(water, hour, TANK_L)
        for part in (moved.drunk_l, moved.evaporated_l, moved.leaked_l, moved.spilled_l):
            assert part >= 0
        assert moved.drunk_l <= hour.thirst_l and moved.leaked_l <= hour.leak_l
        water = after(water, hour, moved)
        assert 0 < water.level_l <= TANK_L + 1e-9
        assert water.salts >= 0


@given(water=tanks, lost_l=st.floats(0.01, 5))
def test_what_evaporates_leaves_its_salts(water: Water, lost_l: float) -> None:
    hour = Hour(thirst_l=0, evaporation_l=lost_l, air_c=20)
    later = after(water, hour, flow(water, hour, TANK_L))
    assert later.salts == water.salts
    assert later.ec >= water.ec


@given(water=tanks, lost_l=st.floats(0.01, 5))
def test_a_leak_changes_the_level_and_not_the_strength(water: Water, lost_l: float) -> None:
    hour = Hour(thirst_l=0, evaporation_l=0, leak_l=lost_l, air_c=20)
    later = after(water, hour, flow(water, hour, TANK_L))
    assert later.ec == pytest.approx(water.ec)


@given(water=tanks, rain_l=st.floats(0.1, 5))
def test_rain_thins(water: Water, rain_l: float) -> None:
    hour = Hour(thirst_l=0, evaporation_l=0, rain_l=rain_l, air_c=20)
    later = after(water, hour, flow(water, hour, TANK_L))
    assert RAIN_EC < later.ec < water.ec


@given(water=tanks, litres=st.floats(0.1, 30), salts=st.floats(0, 40))
def test_a_pour_adds_what_it_holds(water: Water, litres: float, salts: float) -> None:
    filled = poured(water, litres=litres, water_ec=0.4, salts=salts)
    assert filled.level_l == pytest.approx(water.level_l + litres)
    assert filled.salts == pytest.approx(water.salts + 0.4 * litres + salts)


@pytest.mark.parametrize("uptake", [0.8, 1.0, 1.15])
def test_ec_drifts_as_plants_take_salts_out_of_step_with_water(uptake: float) -> None:
    water = Water(level_l=TANK_L, salts=TANK_L * 1.7)
    hour = Hour(thirst_l=0.3, evaporation_l=0, air_c=20, uptake=uptake)
    for _ in range(96):
        water = after(water, hour, flow(water, hour, TANK_L))
    assert (water.ec > 1.7 + 1e-9) is (uptake < 1)
    assert (water.ec < 1.7 - 1e-9) is (uptake > 1)


def test_ph_rises_and_the_tank_follows_the_air() -> None:
    water = Water(level_l=TANK_L, salts=TANK_L, ph=6.0, water_c=15)
    hour = Hour(thirst_l=0.1, evaporation_l=0, air_c=30)
    seen = [water]
    for _ in range(72):
        seen.append(after(seen[-1], hour, flow(seen[-1], hour, TANK_L)))
    assert all(a.ph < b.ph < 7.5 for a, b in pairwise(seen))
    assert all(a.water_c < b.water_c < 30 for a, b in pairwise(seen))


@pytest.mark.parametrize("plot", plots(), ids=[plot.tower.name for plot in plots()])
def test_a_real_tower_balances_over_three_weeks(plot: Plot) -> None:
    start = datetime(2026, 6, 1, 9, 20, tzinfo=UTC)
    first, last = date(2026, 5, 31), date(2026, 6, 24)
    sky = weather(CLIMATES[plot.zone], Random(5), first, last, date(2026, 6, 10))
    batches = bed(plot, Random(5), first, last)
    leak_at = start + timedelta(days=4)
    coming = hours(plot, batches, sky, start, 21 * 24, leak_at)
    tank_l = plot.tower.tank_l
    water = begun = Water(level_l=tank_l, salts=tank_l * 1.7)
    net_l = net_salts = 0.0
    for hour in coming:
        moved = flow(water, hour, tank_l)
        net_l += moved.rained_l - (
            moved.drunk_l + moved.evaporated_l + moved.leaked_l + moved.spilled_l
        )
        net_salts += moved.salts_rained - moved.salts_taken - moved.salts_lost
        water = after(water, hour, moved)
    assert water.level_l - begun.level_l == pytest.approx(net_l)
    assert water.salts - begun.salts == pytest.approx(net_salts)
