"""Calls of ours for the checks of oxygen, vapour and light."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.air import (
    leaf_deficit_kpa,
    oxygen_mg_per_l,
    oxygen_percent,
    pressure_kpa,
    saturation_kpa,
    vapour_deficit_kpa,
)
from calc.bands import exceeds, oxygen_flag, unit_slip
from calc.light import daylight_h, lux_factor, lux_from_ppfd, missing_dli, ppfd_from_lux

Row = dict[str, Any]
_LIGHTS = {"sunlight": "sunlight", "daylight": "sunlight", "white": "white_led"}


def by_pressure(row: Row) -> Row:
    """The plain ratio, for the rows that were worked out with it."""
    share = pressure_kpa(altitude_m=row["altitude_m"]) / pressure_kpa(altitude_m=0)
    return {"do_mg_per_L": share * oxygen_mg_per_l(temperature_c=row["t_degC"], altitude_m=0)}


def factor(row: Row) -> Row:
    kind = row["light_source_name"].replace(",", " ").split()[0]
    return {"factor_lx_per_umol": lux_factor(light=_LIGHTS.get(kind, kind))}


CALLS: dict[str, Callable[[Row], Row]] = {
    "do_saturation": lambda row: {
        "do_mg_per_L": oxygen_mg_per_l(temperature_c=row["t_degC"], altitude_m=0)
    },
    "do_altitude": lambda row: {
        "do_mg_per_L": oxygen_mg_per_l(temperature_c=row["t_degC"], altitude_m=row["altitude_m"])
    },
    "do_ratio": by_pressure,
    "do_percent": lambda row: {
        "sat_percent": oxygen_percent(
            oxygen_found_mg_per_l=row["do_mg_per_L"], temperature_c=row["t_degC"]
        )
    },
    "air_pressure": lambda row: {"p_kPa": pressure_kpa(altitude_m=row["altitude_m"])},
    "es_sat": lambda row: {"es_kPa": saturation_kpa(temperature_c=row["t_degC"])},
    "vpd_air": lambda row: {
        "vpd_kPa": vapour_deficit_kpa(
            temperature_c=row["t_degC"], humidity_percent=row["rh_percent"]
        )
    },
    "vpd_leaf": lambda row: {
        "vpd_kPa": leaf_deficit_kpa(
            air_c=row["t_air_degC"], leaf_c=row["t_leaf_degC"], humidity_percent=row["rh_percent"]
        )
    },
    "ppfd_from_lux": lambda row: {
        "ppfd_umol_per_m2_s": ppfd_from_lux(
            lux_lx=row["lux_lx"], factor_lx_per_umol=row["factor_lx_per_umol"]
        )
    },
    "lux_from_ppfd": lambda row: {
        "lux_lx": lux_from_ppfd(
            ppfd_umol_per_m2_s=row["ppfd_umol_per_m2_s"],
            factor_lx_per_umol=row["factor_lx_per_umol"],
        )
    },
    "lux_factor_of_source": factor,
    "supplemental_dli": lambda row: {
        "missing_mol_per_m2_d": missing_dli(
            target_mol_per_m2_d=row["target_mol_per_m2_d"],
            outdoor_mol_per_m2_d=row["outdoor_mol_per_m2_d"],
            through_fraction=row["transmission_fraction"],
        )
    },
    "daylength_visible": lambda row: {
        "N_h": daylight_h(latitude_deg=row["lat_deg"], day_of_year_n=row["day_of_year"])
    },
    "flag_do": lambda row: {"level_name": oxygen_flag(oxygen_mg_per_l=row["do_mg_per_L"])},
    "flag_max": lambda row: {
        "exceeds_flag": exceeds(value_any=row["value_unit"], limit_any=row["limit_unit"])
    },
    "unit_slip": lambda row: {
        "ask_flag": unit_slip(
            new_ms_per_cm=row["ec_new_mS_per_cm"], last_ms_per_cm=row["ec_last_mS_per_cm"]
        )
    },
}
