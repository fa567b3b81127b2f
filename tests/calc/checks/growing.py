"""Calls of ours for the checks of crops and of cleaning."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.cleaning import bleach_for_chlorine_ml, chlorine_ppm, part_of_mix_l
from calc.growing import (
    between_columns,
    days_for_degree_days,
    degree_days,
    port_days_d,
    shared_range,
    sowing_interval_d,
    spacing_cm,
)
from calc.units import to_si

Row = dict[str, Any]


def warmth(row: Row) -> dict[str, float]:
    return {"base_c": row["base_degC"], "upper_c": row["upper_degC"]}


def overlap(row: Row) -> Row:
    found = shared_range(
        first_low_any=row["a_low_unit"],
        first_high_any=row["a_high_unit"],
        second_low_any=row["b_low_unit"],
        second_high_any=row["b_high_unit"],
        gap_allowed_any=row["gap_allowed_unit"],
    )
    return {
        "low_unit": found.low,
        "high_unit": found.high,
        "gap_unit": found.gap,
        "share_name": found.verdict,
    }


def diluted(row: Row) -> Row:
    strong = part_of_mix_l(
        strong_percent=row["strong_percent"],
        wanted_percent=row["want_percent"],
        volume_l=row["v_L"],
    )
    return {"strong_L": strong, "water_L": row["v_L"] - strong}


CALLS: dict[str, Callable[[Row], Row]] = {
    "gdd_day": lambda row: {
        "gdd_degC_d": degree_days(
            t_max_c=row["t_max_degC"], t_min_c=row["t_min_degC"], **warmth(row)
        )
    },
    "days_for_gdd": lambda row: {
        "days_n": days_for_degree_days(
            total_c_d=row["gdd_total_degC_d"], t_mean_c=row["t_mean_degC"], **warmth(row)
        )
    },
    "interpolate_days": lambda row: {
        "days_d": between_columns(
            columns_any=[(row["t1_degC"], row["d1_d"]), (row["t2_degC"], row["d2_d"])],
            temperature_c=row["t_degC"],
        )
    },
    "spacing_from_density": lambda row: {
        "spacing_cm": spacing_cm(plants_per_m2_n=row["plants_per_m2"])
    },
    "days_after_transplant": lambda row: {
        "days_d": port_days_d(
            seed_to_harvest_d=row["seed_to_harvest_d"], seedling_d=row["seedling_age_d"]
        )
    },
    "inch_to_cm": lambda row: {"length_cm": to_si(row["length_inch"], "in")},
    "overlap_range": overlap,
    "succession_interval": lambda row: {
        "interval_d": sowing_interval_d(
            window_d=row["harvest_window_d"], batches_n=row["batches_n"]
        )
    },
    "bleach_dose": lambda row: {
        "dose_mL": bleach_for_chlorine_ml(
            volume_l=row["v_L"],
            chlorine_ppm=row["target_ppm"],
            label_percent=row["strength_percent"],
        )
    },
    "bleach_mix_ppm": lambda row: {
        "chlorine_ppm": chlorine_ppm(
            bleach_ml=row["bleach_mL"],
            water_ml=row["water_mL"],
            label_percent=row["strength_percent"],
        )
    },
    "bleach_ratio_ppm": lambda row: {
        "chlorine_ppm": chlorine_ppm(
            bleach_ml=1, water_ml=row["one_in_n"] - 1, label_percent=row["strength_percent"]
        )
    },
    "percent_dilution": diluted,
}
