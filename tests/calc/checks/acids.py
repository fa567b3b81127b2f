"""Calls of ours for the checks of meter scales, ions, alkalinity and acid."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.acid import acid_for_alkalinity, citric_for_alkalinity_g, molarity_mol_per_l
from calc.carbonate.closed import (
    acid_to_reach,
    closed_ph,
    neutralised_share,
    ph_with_weak_acid,
    short_share,
    weak_acid_to_reach,
)
from calc.carbonate.open_air import open_ph
from calc.carbonate.water import carbonate_pk, equivalents_per_mole
from calc.conductivity import ec25, ec_at, ec_from_ppm, ppm_from_ec, slope_of
from calc.ions import (
    equivalent_conductivity,
    gypsum_index,
    infinite_ec,
    ion_mmol_per_l,
    ionic_strength,
    solution_ec,
    water_ec,
)
from calc.units import Measures, from_si, read_conductivity, to_si

Row = dict[str, Any]
# Mass shares of the ions in the two mixes that the scales were made of, at 1,000 mg/L of salt.
_MIXES_MMOL = {
    "NaCl 1000 mg/L": {"Na": 1000 / 58.44, "Cl": 1000 / 58.44},
    "40 % Na2SO4 + 40 % NaHCO3 + 20 % NaCl, 1000 mg/L": {
        "Na": 2 * 400 / 142.04 + 400 / 84.007 + 200 / 58.44,
        "SO4": 400 / 142.04,
        "HCO3": 400 / 84.007,
        "Cl": 200 / 58.44,
    },
}


def units(row: Row) -> Row:
    """A reading typed in each unit comes to the same EC."""
    ec = row["ec_mS_per_cm"]
    found = {}
    for name, unit, size in (
        ("ec_uS_per_cm", "us", 1000),
        ("ec_dS_per_m", "ds/m", 1),
        ("ec_mS_per_m", "ms/m", 100),
        ("cf_units", "cf", 10),
    ):
        typed = f"{ec * size:g} {unit}"
        read = read_conductivity(typed, measures=Measures())
        found[name] = size * read.ec_ms_per_cm
    return found


def compensated(row: Row) -> Row:
    ec = ec25(
        ec_ms_per_cm=row["ec_uS_per_cm"] / 1000,
        temperature_c=row["t_degC"],
        slope_per_c=row["alpha_per_degC"],
        corrected=False,
    )
    return {"ec25_uS_per_cm": 1000 * ec}


def slope(row: Row) -> Row:
    found = slope_of(
        ec_ms_per_cm=row["ec_cold_uS_per_cm"] / 1000,
        temperature_c=row["t_cold_degC"],
        ec25_ms_per_cm=row["ec25_uS_per_cm"] / 1000,
    )
    return {"alpha_per_degC": found}


def mmol(row: Row) -> dict[str, float]:
    return {name.removesuffix("_mM"): value for name, value in row.items()}


def natural_water(row: Row) -> Row:
    ions = {
        ion: ion_mmol_per_l(ion=ion, ion_mg_per_l=value)
        for ion, value in ((n.removesuffix("_mg_per_L"), v) for n, v in row.items())
    }
    return {"ec25_uS_per_cm": 1000 * water_ec(ions_mmol_per_l=ions)}


def closed(row: Row) -> dict[str, float]:
    return {
        "alkalinity_meq_per_l": row["alk_meq_per_L"],
        "ph_start": row["pH_start_unit"],
        "ph_target": row["pH_target_unit"],
        "temperature_c": row["t_degC"],
    }


def citric(row: Row) -> Row:
    ph = ph_with_weak_acid(
        acid="citric",
        acid_mmol_per_l=row["citric_mmol_per_L"],
        alkalinity_meq_per_l=row["alk_meq_per_L"],
        carbon_mmol_per_l=row["dic_mmol_per_L"],
        temperature_c=row["t_degC"],
    )
    return {"pH_unit": ph}


def bottle(row: Row) -> Row:
    ph = closed_ph(
        alkalinity_meq_per_l=row["alk_meq_per_L"],
        ph_start=row["pH_start_unit"],
        acid_meq_per_l=row["acid_meq_per_L"],
        temperature_c=row["t_degC"],
    )
    return {"pH_unit": ph}


def tower(row: Row) -> Row:
    ph = open_ph(
        alkalinity_meq_per_l=row["alk_residual_meq_per_L"] + row.get("strong_base_meq_per_L", 0),
        phosphate_mmol_per_l=row.get("phosphate_mmol_per_L", 0),
        temperature_c=row["t_degC"],
    )
    return {"pH_unit": ph}


def molarity(row: Row) -> float:
    return molarity_mol_per_l(
        acid=row["acid_name"],
        weight_percent=row["weight_percent"],
        density_kg_per_l=row["density_kg_per_L"],
    )


def fluid_ounce(row: Row) -> Row:
    """One fluid ounce in a hundred US gallons."""
    mol = row["fl_oz_n"] * to_si(1, "fl_oz") * molarity(row) / to_si(100, "us_gal")
    return {
        "alk_removed_mg_per_L_CaCO3": mol * row["eq_per_mol"] * 1000 * 50.043,
        "S_ppm": mol * 1000 * 32.06,
    }


def per_ppm(row: Row) -> Row:
    """Acid that takes 1 mg/L of CaCO3 out of a hundred US gallons."""
    ml = acid_for_alkalinity(
        volume_l=to_si(100, "us_gal"),
        charge_meq_per_l=1 / 50.043,
        acid_eq_per_l=molarity(row) * row["eq_per_mol"],
    )
    return {"mL_per_ppm_per_100_gal": ml}


def from_rate(row: Row) -> Row:
    gone = row["alk_now_mg_per_L_CaCO3"] - row["alk_target_mg_per_L_CaCO3"]
    ml = gone * row["rate_mL_per_ppm_per_100_gal"]
    return {"dose_mL_per_100_gal": ml, "dose_fl_oz_per_100_gal": from_si(ml / 1000, "fl_oz")}


CALLS: dict[str, Callable[[Row], Row]] = {
    "ec_units": units,
    "ppm_from_ec": lambda row: {
        "tds_ppm": ppm_from_ec(
            ec_ms_per_cm=row["ec_mS_per_cm"], scale_ppm_per_ms=row["scale_ppm_per_mS"]
        )
    },
    "ec_from_ppm": lambda row: {
        "ec_mS_per_cm": ec_from_ppm(
            tds_ppm=row["tds_ppm"], scale_ppm_per_ms=row["scale_ppm_per_mS"]
        )
    },
    "ppm_rescale": lambda row: {
        "tds_ppm": ppm_from_ec(
            ec_ms_per_cm=ec_from_ppm(
                tds_ppm=row["tds_ppm"], scale_ppm_per_ms=row["from_scale_ppm_per_mS"]
            ),
            scale_ppm_per_ms=row["to_scale_ppm_per_mS"],
        )
    },
    "scale_of_salt": lambda row: {
        "scale_ppm_per_mS": 1000 / solution_ec(ions_mmol_per_l=_MIXES_MMOL[row["kind_name"]])
    },
    "ec25_linear": compensated,
    "alpha_two_points": slope,
    "ec_at_t": lambda row: {
        "ec_mS_per_cm": ec_at(
            ec25_ms_per_cm=row["ec25_mS_per_cm"],
            temperature_c=row["t_degC"],
            slope_per_c=row["alpha_per_degC"],
        )
    },
    "ec_water_y2": natural_water,
    "ec_solution_dho": lambda row: {
        "ec25_uS_per_cm": 1000 * solution_ec(ions_mmol_per_l=mmol(row))
    },
    "k_infinite": lambda row: {"k0_uS_per_cm": 1000 * infinite_ec(ions_mmol_per_l=mmol(row))},
    "ionic_strength": lambda row: {"I_mol_per_L": ionic_strength(ions_mmol_per_l=mmol(row))},
    "molar_cond_from_D": lambda row: {
        "lambda_S_cm2_per_eq": equivalent_conductivity(
            diffusion_m2_per_s=row["D_m2_per_s"], charge_n=row["z_n"]
        )
    },
    "carbonate_pK": lambda row: dict(
        zip(("pK1_unit", "pK2_unit"), carbonate_pk(temperature_c=row["t_degC"]), strict=True)
    ),
    "share_closed": lambda row: {
        "share_fraction": neutralised_share(
            ph_start=row["pH_start_unit"], ph_target=row["pH_target_unit"]
        )
    },
    "share_short": lambda row: {"share_fraction": short_share(ph_target=row["pH_target_unit"])},
    "strong_acid_closed": lambda row: {"acid_meq_per_L": acid_to_reach(**closed(row))},
    "phosphoric_closed": lambda row: {
        "acid_mmol_per_L": weak_acid_to_reach(acid="phosphoric", **closed(row))
    },
    "citric_closed_pH": citric,
    "closed_pH": bottle,
    "open_pH": tower,
    "polyprotic_eq": lambda row: {
        "eq_per_mol": equivalents_per_mole(acid=row["acid_name"], ph=row["pH_unit"])
    },
    "acid_molarity": lambda row: {"conc_mol_per_L": molarity(row)},
    "acid_volume": lambda row: {
        "acid_mL": acid_for_alkalinity(
            volume_l=row["v_L"],
            charge_meq_per_l=row["alk_to_remove_meq_per_L"],
            acid_eq_per_l=row["acid_eq_per_L"],
        )
    },
    "citric_mass": lambda row: {
        "m_g": citric_for_alkalinity_g(
            volume_l=row["v_L"],
            charge_meq_per_l=row["alk_to_remove_meq_per_L"],
            equivalents_per_mole_n=row["eq_per_mol"],
        )
    },
    "acid_floz_100gal": fluid_ounce,
    "acid_mL_per_ppm_100gal": per_ppm,
    "dose_from_rate": from_rate,
    "ksp_from_logk": lambda row: {"ksp_unit": 10 ** row["log_k_unit"]},
    "gypsum_si": lambda row: {"si_unit": gypsum_index(ions_mmol_per_l=mmol(row))},
    "gypsum_warning": lambda row: {"precipitates_flag": row["si_unit"] > 0},
    "solubility_mass": lambda row: {
        "sol_g_per_L": row["sol_mmol_per_kg"] * row["molar_g_per_mol"] / 1000
    },
}
