"""An open tower, hours later: where the pH goes once its CO2 is that of the air."""

from __future__ import annotations

import math

from calc.carbonate.working import Water, protons_given, solved
from calc.errors import Impossible, within

_KELVIN = 273.15
_AIR_LOG_ATM = -3.38  # CO2 of the air
_OPEN_IONIC_MOL_PER_L = 0.002


def open_ph(
    *,
    alkalinity_meq_per_l: float,
    phosphate_mmol_per_l: float,
    temperature_c: float,
) -> float:
    """Where the pH of an open tower goes once its CO2 is that of the air.

    Alk = K1 [CO2]/h + 2 K1 K2 [CO2]/h^2 + Kw/h - h + P (a'1 + 2 a'2), solved by halving

    Parameters
    ----------
    alkalinity_meq_per_l : float
        What strong acid has left of it, phosphoric acid not counted, [meq/L], 0.01 to 20.
    phosphate_mmol_per_l : float
        Phosphoric acid that went in, [mmol/L], 0 to 20.
    temperature_c : float
        [C], 0 to 50.

    Returns
    -------
    float
        [unit of pH]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "no_alkalinity": nothing is left to hold a pH.

    Notes
    -----
    Within 0.04 of PHREEQC with air at 10^-3.38 atm of CO2. Why a hard water climbs back.

    References
    ----------
    Carbonate equilibrium; Henry's constant 10^-1.468 at 25 C, -20.0 kJ/mol.

    Examples
    --------
    >>> round(open_ph(alkalinity_meq_per_l=2, phosphate_mmol_per_l=0, temperature_c=20), 2)
    8.44
    """
    if alkalinity_meq_per_l <= 0:
        raise Impossible(reason="no_alkalinity")
    within(name="alkalinity", value=alkalinity_meq_per_l, low=0.01, high=20, unit="meq/L")
    within(name="phosphate", value=phosphate_mmol_per_l, low=0, high=20, unit="mmol/L")
    water = Water(temperature_c, _OPEN_IONIC_MOL_PER_L)
    kelvin = temperature_c + _KELVIN
    henry = 1.468 - 20_000 / (math.log(10) * 8.314463) * (1 / kelvin - 1 / 298.15)
    gas = 10 ** (_AIR_LOG_ATM - henry)

    def over(ph: float) -> float:
        h = 10**-ph
        k1, k2 = water.k
        free, oh = water.protons(ph)
        carbonate = k1 * gas / h + 2 * k1 * k2 * gas / h**2
        phosphate = phosphate_mmol_per_l / 1000 * protons_given("phosphoric", ph, water.log_gamma)
        return carbonate + oh - free + phosphate - alkalinity_meq_per_l / 1000

    return solved(over)
