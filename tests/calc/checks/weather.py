"""Calls of ours for the checks of evapotranspiration and plants' water."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.climate.plants import crop_coefficient, plant_use_l_per_d, water_for_yield_l
from calc.climate.sun import day_length_h, radiation_from_sunshine, radiation_from_warmth, sun
from calc.climate.thirst import (
    hargreaves,
    long_wave_mj_per_m2_d,
    penman_monteith,
    penman_monteith_terms,
    wind_at_2m,
)
from calc.climate.vapour import (
    mean_saturation_kpa,
    psychrometric_kpa_per_c,
    vapour_from_extremes_kpa,
    vapour_from_mean_kpa,
    vapour_from_wet_bulb_kpa,
)

Row = dict[str, Any]


def span(row: Row) -> dict[str, float]:
    return {"t_max_c": row["t_max_degC"], "t_min_c": row["t_min_degC"]}


def place(row: Row) -> Row:
    return {"latitude_deg": row["lat_deg"], "day_of_year_n": row["day_of_year"]}


def outside(row: Row) -> Row:
    found = sun(**place(row))
    return {
        "dr_unit": found.distance,
        "delta_rad": found.declination_rad,
        "ws_rad": found.sunset_rad,
        "Ra_MJ_per_m2_d": found.top_mj_per_m2_d,
    }


def humid(row: Row) -> float:
    return vapour_from_extremes_kpa(
        **span(row),
        humidity_max_percent=row["rh_max_percent"],
        humidity_min_percent=row["rh_min_percent"],
    )


def terms(row: Row) -> Row:
    found = penman_monteith_terms(
        net_mj_per_m2_d=row["Rn_MJ_per_m2_d"],
        soil_mj_per_m2_d=row["G_MJ_per_m2_d"],
        temperature_c=row["t_degC"],
        wind_m_per_s=row["u2_m_per_s"],
        saturation_mean_kpa=row["es_kPa"],
        vapour_kpa=row["ea_kPa"],
        vapour_slope_kpa_per_c=row["delta_kPa_per_degC"],
        psychrometric_kpa_per_c=row["gamma_kPa_per_degC"],
    )
    return {"et0_mm_per_d": found}


def daily(row: Row) -> Row:
    found = penman_monteith(
        **span(row),
        **place(row),
        vapour_kpa=humid(row),
        wind_m_per_s=row["u2_m_per_s"],
        ground_mj_per_m2_d=row["Rs_MJ_per_m2_d"],
        altitude_m=row["altitude_m"],
    )
    return {"et0_mm_per_d": found}


def crop(row: Row) -> Row:
    found = crop_coefficient(
        kc_fractions=(row["kc_ini_unit"], row["kc_mid_unit"], row["kc_end_unit"]),
        stages_d=(row["L_ini_d"], row["L_dev_d"], row["L_mid_d"], row["L_late_d"]),
        day_n=row["day_n"],
    )
    return {"kc_unit": found}


CALLS: dict[str, Callable[[Row], Row]] = {
    "psychrometric": lambda row: {
        "gamma_kPa_per_degC": psychrometric_kpa_per_c(altitude_m=row["altitude_m"])
    },
    "ea_psychro": lambda row: {
        "ea_kPa": vapour_from_wet_bulb_kpa(
            wet_c=row["t_wet_degC"], dry_c=row["t_dry_degC"], altitude_m=row["altitude_m"]
        )
    },
    "ea_rhmean": lambda row: {
        "ea_kPa": vapour_from_mean_kpa(**span(row), humidity_mean_percent=row["rh_mean_percent"])
    },
    "ea_rh": lambda row: {"ea_kPa": humid(row)},
    "es_mean": lambda row: {"es_kPa": mean_saturation_kpa(**span(row))},
    "extraterrestrial": outside,
    "daylength_fao": lambda row: {"N_h": day_length_h(**place(row))},
    "rs_sunshine": lambda row: {
        "Rs_MJ_per_m2_d": radiation_from_sunshine(
            top_mj_per_m2_d=row["Ra_MJ_per_m2_d"], sunshine_h=row["n_h"], daylight_h=row["N_h"]
        )
    },
    "rs_temperature": lambda row: {
        "Rs_MJ_per_m2_d": radiation_from_warmth(top_mj_per_m2_d=row["Ra_MJ_per_m2_d"], **span(row))
    },
    "rnl": lambda row: {
        "Rnl_MJ_per_m2_d": long_wave_mj_per_m2_d(
            **span(row),
            vapour_kpa=row["ea_kPa"],
            ground_mj_per_m2_d=row["Rs_MJ_per_m2_d"],
            clear_mj_per_m2_d=row["Rso_MJ_per_m2_d"],
        )
    },
    "wind_2m": lambda row: {
        "u2_m_per_s": wind_at_2m(wind_m_per_s=row["u_m_per_s"], height_m=row["z_m"])
    },
    "et0_pm_terms": terms,
    "et0_pm_daily": daily,
    "et0_hargreaves_ra": lambda row: {
        "et0_mm_per_d": hargreaves(**span(row), top_mj_per_m2_d=row["Ra_MJ_per_m2_d"])
    },
    "et0_hargreaves": lambda row: {
        "et0_mm_per_d": hargreaves(**span(row), top_mj_per_m2_d=sun(**place(row)).top_mj_per_m2_d)
    },
    "kc_curve": crop,
    "plant_water": lambda row: {
        "use_L_per_d": plant_use_l_per_d(
            et0_mm_per_d=row["et0_mm_per_d"],
            kc_fraction=row["kc_unit"],
            ground_m2=row["ground_area_m2"],
        )
    },
    "water_from_yield": lambda row: {
        "water_L": water_for_yield_l(fresh_g=row["fresh_g"], yield_g_per_l=row["wue_g_fresh_per_L"])
    },
    "mean_daily_use": lambda row: {"use_L_per_d": row["total_L_per_plant"] / row["days_n"]},
}
