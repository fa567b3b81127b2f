"""Air, oxygen, ice, sun and thirst: which way they go, and where they stop."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.air import ice_kg, leaf_deficit_kpa, oxygen_mg_per_l, oxygen_percent, vapour_deficit_kpa
from calc.climate.plants import crop_coefficient, plant_use_l_per_d
from calc.climate.sun import day_length_h, sun
from calc.climate.thirst import hargreaves, penman_monteith
from calc.errors import Impossible, OutOfRange
from calc.light import daylight_h, lux_factor, lux_from_ppfd, missing_dli, ppfd_from_lux

latitudes = st.floats(-90, 90)
days = st.integers(1, 366)


@given(st.floats(0, 39), st.floats(0.1, 1), st.floats(0, 4000), st.floats(1, 900))
def test_warm_and_high_water_holds_less_oxygen(
    warmth: float, warmer: float, altitude: float, higher: float
) -> None:
    here = oxygen_mg_per_l(temperature_c=warmth, altitude_m=altitude)
    assert oxygen_mg_per_l(temperature_c=warmth + warmer, altitude_m=altitude) < here
    assert oxygen_mg_per_l(temperature_c=warmth, altitude_m=altitude + higher) < here


@given(st.floats(1, 200), st.floats(20, 40), st.floats(0.5, 15))
def test_the_ice_takes_up_the_heat_that_the_water_gives(
    water: float, start: float, drop: float
) -> None:
    ice = ice_kg(water_l=water, from_c=start, to_c=start - drop)
    # ice from -18 C: warming 2.1 kJ/kg C, melting 334 kJ/kg, its water warming along
    taken = ice * (18 * 2.1 + 334.2 + 4.19 * (start - drop))
    assert taken == pytest.approx(water * 4.19 * drop, rel=1e-3)


@given(st.floats(0, 45), st.floats(0, 100))
def test_a_leaf_as_warm_as_the_air_feels_its_deficit(warmth: float, humidity: float) -> None:
    air = vapour_deficit_kpa(temperature_c=warmth, humidity_percent=humidity)
    leaf = leaf_deficit_kpa(air_c=warmth, leaf_c=warmth, humidity_percent=humidity)
    assert leaf == pytest.approx(air, abs=1e-9) and air >= 0


@given(latitudes, days)
def test_the_days_of_north_and_south_fill_each_other(latitude: float, day: int) -> None:
    """By FAO's count the day here and the day at the opposite latitude are 24 h together."""
    here = day_length_h(latitude_deg=latitude, day_of_year_n=day)
    there = day_length_h(latitude_deg=-latitude, day_of_year_n=day)
    assert here + there == pytest.approx(24, abs=1e-6)
    assert 0 <= daylight_h(latitude_deg=latitude, day_of_year_n=day) <= 24


@given(st.floats(0, 60), days)
def test_day_as_seen_is_a_little_longer(latitude: float, day: int) -> None:
    counted = day_length_h(latitude_deg=latitude, day_of_year_n=day)
    seen = daylight_h(latitude_deg=latitude, day_of_year_n=day)
    assert -0.05 < seen - counted < 0.6


@pytest.mark.parametrize(
    ("latitude", "day", "hours"), [(80, 172, 24), (80, 355, 0), (-80, 172, 0), (90, 172, 24)]
)
def test_polar_day_and_night(latitude: float, day: int, hours: float) -> None:
    assert daylight_h(latitude_deg=latitude, day_of_year_n=day) == hours
    assert day_length_h(latitude_deg=latitude, day_of_year_n=day) == pytest.approx(hours, abs=1e-9)
    assert (sun(latitude_deg=latitude, day_of_year_n=day).top_mj_per_m2_d == 0) == (hours == 0)


def test_polar_night_is_refused_where_light_is_needed() -> None:
    weather = {"t_max_c": -5.0, "t_min_c": -12.0, "vapour_kpa": 0.2, "wind_m_per_s": 3.0}
    with pytest.raises(Impossible, match="polar_night"):
        penman_monteith(
            **weather, ground_mj_per_m2_d=0, latitude_deg=80, altitude_m=0, day_of_year_n=355
        )
    assert hargreaves(t_max_c=-5, t_min_c=-12, top_mj_per_m2_d=0) == 0


@given(st.floats(15, 40), st.floats(1, 14), st.floats(0.5, 5), st.floats(5, 40))
def test_a_hotter_day_is_thirstier(high: float, span: float, hotter: float, top: float) -> None:
    cool = hargreaves(t_max_c=high, t_min_c=high - span, top_mj_per_m2_d=top)
    hot = hargreaves(t_max_c=high + hotter, t_min_c=high + hotter - span, top_mj_per_m2_d=top)
    assert hot > cool >= 0


@given(st.floats(0, 75))
def test_a_crop_drinks_between_its_own_bounds(day: float) -> None:
    kc = crop_coefficient(kc_fractions=(0.7, 1.0, 0.95), stages_d=(20, 30, 15, 10), day_n=day)
    assert 0.7 <= kc <= 1.0
    assert plant_use_l_per_d(et0_mm_per_d=4, kc_fraction=kc, ground_m2=0.05) <= 0.2 + 1e-9


@given(st.floats(0, 2000), st.sampled_from(["sunlight", "white_led", "incandescent"]))
def test_lux_goes_there_and_back(ppfd: float, light: str) -> None:
    factor = lux_factor(light=light)
    lux = lux_from_ppfd(ppfd_umol_per_m2_s=ppfd, factor_lx_per_umol=factor)
    assert ppfd_from_lux(lux_lx=lux, factor_lx_per_umol=factor) == pytest.approx(ppfd)


def test_refusals() -> None:
    with pytest.raises(Impossible, match="no_lux_factor"):
        lux_factor(light="red_blue")
    with pytest.raises(OutOfRange, match=r"temperature = 41"):
        oxygen_mg_per_l(temperature_c=41, altitude_m=0)
    with pytest.raises(OutOfRange, match="temperature"):
        ice_kg(water_l=10, from_c=20, to_c=25)
    with pytest.raises(OutOfRange, match="latitude = 91"):
        daylight_h(latitude_deg=91, day_of_year_n=1)
    with pytest.raises(OutOfRange, match="temperature"):
        hargreaves(t_max_c=10, t_min_c=12, top_mj_per_m2_d=30)
    with pytest.raises(OutOfRange, match="oxygen"):
        oxygen_percent(oxygen_found_mg_per_l=-1, temperature_c=20)
    assert missing_dli(target_mol_per_m2_d=12, outdoor_mol_per_m2_d=40, through_fraction=0.6) == 0
