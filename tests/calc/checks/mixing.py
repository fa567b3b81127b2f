"""Calls of ours for the checks of units, mixing, refill, pump, light and flags."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.bands import ec_trend, flag
from calc.dose import part_amount
from calc.light import dli, hours_for_dli, ppfd_for_dli
from calc.pump import cycle, energy_kwh_per_d
from calc.refill import daily_use_l, days_to_mark, water_to_line_l
from calc.salts import (
    element_mg_per_l,
    element_share,
    ion_mg_per_l,
    salt_mass_g,
    stock_rate,
    uptake_mg_per_l,
)
from calc.solution import (
    ec_after_exchanges,
    exchange_share,
    fill_ec_for_target,
    mixed,
    water_to_dilute,
)
from calc.source import alkalinity_meq_per_l, bicarbonate_mg_per_l, carbonate_hardness_dkh
from calc.topup import feed_for_rise, filled_ec, swap_volume
from calc.units import from_si, to_si

Row = dict[str, float]
OZ_PER_100_GAL_MG_PER_L = to_si(1, "oz") * 1000 / to_si(100, "us_gal")


def kitchen(row: Row) -> Row:
    unit = next(iter(row)).removesuffix("_n")
    return {"v_mL": to_si(row[f"{unit}_n"], unit) * 1000}


def alkalinity(row: Row) -> Row:
    meq = alkalinity_meq_per_l(alkalinity_mg_per_l_caco3=row["alk_mg_per_L_CaCO3"])
    return {
        "alk_meq_per_L": meq,
        "HCO3_mg_per_L": bicarbonate_mg_per_l(alkalinity_meq_per_l=meq),
        "alk_degKH": carbonate_hardness_dkh(alkalinity_meq_per_l=meq),
    }


def mix_two(row: Row) -> Row:
    ec = mixed(
        first_l=row["v1_L"],
        first_ec_ms_per_cm=row["ec1_mS_per_cm"],
        second_l=row["v2_L"],
        second_ec_ms_per_cm=row["ec2_mS_per_cm"],
    )
    return {"v_L": row["v1_L"] + row["v2_L"], "ec_mS_per_cm": ec}


def dilute(row: Row) -> Row:
    water = water_to_dilute(
        volume_l=row["v_L"],
        ec_ms_per_cm=row["ec_mS_per_cm"],
        target_ec_ms_per_cm=row["ec_target_mS_per_cm"],
        water_ec_ms_per_cm=row.get("ec_water_mS_per_cm", 0.0),
    )
    return {"v_water_L": water}


def topup_result(row: Row) -> Row:
    ec = filled_ec(
        level_l=row["v_L"],
        ec_ms_per_cm=row["ec_mS_per_cm"],
        added_l=row["v_full_L"] - row["v_L"],
        added_ec_ms_per_cm=row["ec_fill_mS_per_cm"],
    )
    return {"ec_mS_per_cm": ec}


def topup_strength(row: Row) -> Row:
    ec = fill_ec_for_target(
        level_l=row["v_L"],
        ec_ms_per_cm=row["ec_mS_per_cm"],
        tank_l=row["v_full_L"],
        target_ec_ms_per_cm=row["ec_target_mS_per_cm"],
    )
    return {"ec_fill_mS_per_cm": ec}


def topup_reachable(row: Row) -> Row:
    """Reachable without draining means: nothing to scoop out."""
    swap = swap_volume(
        level_l=row["v_L"],
        ec_ms_per_cm=row["ec_mS_per_cm"],
        tank_l=row["v_full_L"],
        target_ec_ms_per_cm=row["ec_target_mS_per_cm"],
        water_ec_ms_per_cm=row["ec_water_mS_per_cm"],
    )
    return {"reachable_flag": swap == 0}


def drain(row: Row) -> Row:
    share = exchange_share(
        ec_ms_per_cm=row["ec_mS_per_cm"],
        target_ec_ms_per_cm=row["ec_target_mS_per_cm"],
        fill_ec_ms_per_cm=row["ec_fill_mS_per_cm"],
    )
    return {"drain_fraction": share, "drain_L": share * row["v_L"]}


def repeated(row: Row) -> Row:
    ec = ec_after_exchanges(
        ec_ms_per_cm=row["ec_mS_per_cm"],
        fill_ec_ms_per_cm=row["ec_fill_mS_per_cm"],
        share_fraction=row["change_fraction"],
        times_n=int(row["times_n"]),
    )
    return {"ec_mS_per_cm": ec}


def salt_mass(row: Row) -> Row:
    grams = salt_mass_g(
        element_mg_per_l=row["ppm_mg_per_L"],
        volume_l=row["v_L"],
        share_fraction=row["element_mass_fraction"],
    )
    return {"m_g": grams}


def salt_carry(row: Row) -> Row:
    found = element_mg_per_l(
        salt_mg_per_l=row["m_mg_per_L"], share_fraction=row["other_mass_fraction"]
    )
    return {"ppm_mg_per_L": found}


def salt_ppm(row: Row) -> Row:
    found = element_mg_per_l(
        salt_mg_per_l=row["m_g_per_L"] * 1000, share_fraction=row["element_mass_fraction"]
    )
    return {"ppm_mg_per_L": found}


def label_element(row: Row) -> str:
    return str(row["oxide_name"]).split("O")[0].rstrip("2")


def oxide_to_element(row: Row) -> Row:
    share = element_share(compound=str(row["oxide_name"]), element=label_element(row))
    return {"element_percent": row["oxide_percent"] * share}


def element_to_oxide(row: Row) -> Row:
    share = element_share(compound=str(row["oxide_name"]), element=label_element(row))
    return {"oxide_percent": row["element_percent"] / share}


def ppm_per_oz(row: Row) -> Row:
    salt = row["m_oz"] * OZ_PER_100_GAL_MG_PER_L
    return {
        "ppm_mg_per_L": element_mg_per_l(
            salt_mg_per_l=salt, share_fraction=row["element_mass_fraction"]
        )
    }


def oz_for_ppm(row: Row) -> Row:
    grams = salt_mass_g(
        element_mg_per_l=row["ppm_mg_per_L"],
        volume_l=to_si(100, "us_gal"),
        share_fraction=row["element_mass_fraction"],
    )
    return {"m_oz": from_si(grams, "oz")}


def hoagland(row: Row) -> Row:
    recipe = {
        "KH2PO4": row["KH2PO4_mM"],
        "KNO3": row["KNO3_mM"],
        "Ca(NO3)2": row["CaNO32_mM"],
        "MgSO4": row["MgSO4_mM"],
    }
    return {
        f"{element}_ppm": sum(
            ion_mg_per_l(compound=salt, compound_mmol_per_l=mmol, element=element)
            for salt, mmol in recipe.items()
        )
        for element in ("N", "P", "K", "Ca", "Mg", "S")
    }


def hydrate(row: Row) -> Row:
    salt = str(row["salt_name"])
    element = {"H3BO3": "B", "ZnSO4.7H2O": "Zn", "CuSO4.5H2O": "Cu"}[salt]
    mg_per_l = row["stock_g_per_L"] * row["mL_per_L"]
    share = element_share(compound=salt, element=element)
    return {"element_ppm": element_mg_per_l(salt_mg_per_l=mg_per_l, share_fraction=share)}


def slope_dose(row: Row) -> Row:
    dose = feed_for_rise(
        volume_l=row["v_L"],
        rise_ms_per_cm=row["ec_target_mS_per_cm"] - row["ec_now_mS_per_cm"],
        gain_ms_per_cm=row["slope_mS_per_cm_per_mL_per_L"],
        rate_per_l=1.0,
    )
    return {"dose_mL": dose}


def proportional(row: Row) -> Row:
    dose = part_amount(
        volume_l=row["water_added_L"], rate_per_l=row["dose_mL_per_L"], strength_fraction=1.0
    )
    return {"dose_mL": dose}


def daily_use(row: Row) -> Row:
    use = daily_use_l(
        start_l=row["v_start_L"], end_l=row["v_end_L"], added_l=0, days_d=row["days_d"]
    )
    return {"use_L_per_d": use}


def to_level(row: Row) -> Row:
    days = days_to_mark(
        level_l=row["v_now_L"], mark_l=row["v_refill_L"], use_l_per_d=row["use_L_per_d"]
    )
    return {"days_d": days}


def refill_plan(row: Row) -> Row:
    mark = row["refill_fraction"] * row["v_tank_L"]
    water = water_to_line_l(tank_l=row["v_tank_L"], level_l=mark)
    days = days_to_mark(level_l=row["v_now_L"], mark_l=mark, use_l_per_d=row["use_L_per_d"])
    dose = part_amount(volume_l=water, rate_per_l=row["dose_mL_per_L"], strength_fraction=1.0)
    return {"days_to_refill_d": days, "water_at_refill_L": water, "dose_each_part_mL": dose}


def seedling(row: Row) -> Row:
    """EC in proportion to strength, the water's own EC left out."""
    return {"ec_mS_per_cm": row["full_mS_per_cm"] * row["fraction_unit"]}


def bands(row: Row) -> dict[str, str]:
    limits = ("red_low", "yellow_low", "yellow_high", "red_high")
    found = flag(
        value_any=row["value_unit"], **{f"{name}_any": row[f"{name}_unit"] for name in limits}
    )
    return {"level_name": found.split("_")[0]}


def trend(row: Row) -> dict[str, str]:
    found = ec_trend(
        change_ms_per_cm=row["ec_change_mS_per_cm"], band_ms_per_cm=row["band_mS_per_cm"]
    )
    said = {"same": "same strength"}.get(found, found)
    return {"advice_name": f"top up {said}"}


def pump_cycle(row: Row) -> Row:
    found = cycle(on_min=row["on_min"], off_min=row["off_min"])
    return {
        "runs_per_d": found.runs_per_d,
        "on_percent": 100 * found.run_h_per_d / 24,
        "air_percent": 100 * found.air_fraction,
        "on_min_per_d": 60 * found.run_h_per_d,
    }


def light(call: Callable[..., float]) -> Callable[[Row], Row]:
    ours = {
        "ppfd_umol_per_m2_s": "ppfd_umol_per_m2_s",
        "hours_h": "light_h",
        "dli_mol_per_m2_d": "dli_mol_per_m2_d",
    }

    def found(row: Row) -> Row:
        value = call(**{ours[name]: given for name, given in row.items()})
        return {name: value for name in ours if name not in row}

    return found


CALLS: dict[str, Callable[[Row], dict[str, Any]]] = {
    "us_gal_to_L": lambda row: {"v_L": to_si(row["v_US_gal"], "us_gal")},
    "US_fl_oz_to_mL": lambda row: {"v_mL": to_si(row["v_US_fl_oz"], "fl_oz") * 1000},
    "kitchen_to_mL": kitchen,
    "oz_to_g": lambda row: {"m_g": to_si(row["m_oz"], "oz")},
    "degF_to_degC": lambda row: {"t_degC": to_si(row["t_degF"], "f")},
    "alkalinity_units": alkalinity,
    "mix_two": mix_two,
    "dilute_water": dilute,
    "topup_result": topup_result,
    "topup_strength": topup_strength,
    "topup_reachable": topup_reachable,
    "drain_fraction": drain,
    "repeated_change": repeated,
    "salt_mass": salt_mass,
    "salt_carry": salt_carry,
    "salt_ppm": salt_ppm,
    "oxide_to_element": oxide_to_element,
    "element_to_oxide": element_to_oxide,
    "ppm_per_oz_100gal": ppm_per_oz,
    "oz_100gal_for_ppm": oz_for_ppm,
    "stock_amount": lambda row: {
        "stock_oz_per_100_gal": stock_rate(
            dose_rate=row["dose_oz_per_100_gal"], ratio_n=row["ratio_n"]
        )
    },
    "refill_conc": lambda row: {
        "conc_mg_per_L": uptake_mg_per_l(
            tissue_g_per_kg=row["tissue_g_per_kg"],
            water_use_efficiency_g_per_l=row["wue_g_dry_per_L"],
        )
    },
    "hoagland_ppm": hoagland,
    "hydrate_ppm": hydrate,
    "ec_slope_dose": slope_dose,
    "proportional_dose": proportional,
    "daily_use": daily_use,
    "days_to_level": to_level,
    "refill_plan": refill_plan,
    "refill_water": lambda row: {
        "water_L": water_to_line_l(tank_l=row["v_tank_L"], level_l=row["v_now_L"])
    },
    "seedling_strength": seedling,
    "dli": light(dli),
    "ppfd_for_dli": light(ppfd_for_dli),
    "hours_for_dli": light(hours_for_dli),
    "flag_low_high": bands,
    "ec_trend": trend,
    "pump_cycle": pump_cycle,
    "pump_energy": lambda row: {
        "energy_Wh_per_d": 1000
        * energy_kwh_per_d(power_w=row["power_W"], run_h=row["on_min_per_d"] / 60)
    },
}
