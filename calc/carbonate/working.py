"""Working constants of carbonic acid in a water, by activity of H; for the formulas beside it."""

from __future__ import annotations

import math
from collections.abc import Callable

from calc.errors import within

_KELVIN = 273.15
_STEPS = 80
# pKa at infinite dilution: phosphate of phreeqc.dat, citrate of minteq.v4.dat (USGS).
_PK = {"phosphoric": (2.17, 7.21, 12.35), "citric": (3.13, 4.76, 6.40)}
_STRONG = {"nitric": 1.0, "sulphuric": 2.0}


def constants(temperature_c: float) -> tuple[float, float]:
    """pK1 and pK2 of Plummer & Busenberg 1982, 0 to 50 C."""
    within(name="temperature", value=temperature_c, low=0, high=50, unit="C")
    k = temperature_c + _KELVIN
    log = math.log10(k)
    first = 356.3094 + 0.06091964 * k - 21834.37 / k - 126.8339 * log + 1684915 / k**2
    second = 107.8871 + 0.03252849 * k - 5151.79 / k - 38.92561 * log + 563713.9 / k**2
    return first, second


class Water:
    """Working constants at a temperature and ionic strength, all by activity of H."""

    def __init__(self, temperature_c: float, ionic_mol_per_l: float) -> None:
        pk1, pk2 = constants(temperature_c)
        root = math.sqrt(ionic_mol_per_l)
        self.log_gamma = -0.5 * (root / (1 + root) - 0.3 * ionic_mol_per_l)
        self.k = 10 ** -(pk1 + self.log_gamma), 10 ** -(pk2 + 3 * self.log_gamma)
        # 14.53, 14.16, 13.99, 13.83 at 10, 20, 25, 30 C: a line through them is within 0.014
        kelvin = temperature_c + _KELVIN
        self.pkw = 13.995 + 2930.0 * (1 / kelvin - 1 / 298.15)

    def protons(self, ph: float) -> tuple[float, float]:
        """Free H and OH as concentrations, [mol/L]."""
        gamma = 10**self.log_gamma
        return 10**-ph / gamma, 10 ** (ph - self.pkw) / gamma

    def alkalinity(self, ph: float, carbon_mol_per_l: float) -> float:
        """[eq/L] of this much dissolved carbon at a pH."""
        h, oh = self.protons(ph)
        return carbon_mol_per_l * charge_per_carbon(10**-ph, *self.k) + oh - h


def charge_per_carbon(h: float, k1: float, k2: float) -> float:
    """a1 + 2 a2: charge per mole of dissolved carbon."""
    return (k1 * h + 2 * k1 * k2) / (h * h + k1 * h + k1 * k2)


def protons_given(acid: str, ph: float, log_gamma: float) -> float:
    """Protons given per mole; activity shifts step i by (2 i - 1)."""
    if acid in _STRONG:
        return _STRONG[acid]
    betas = [1.0]
    for step, pk in enumerate(_PK[acid], 1):
        betas.append(betas[-1] * 10 ** (ph - pk - (2 * step - 1) * log_gamma))
    return sum(i * b for i, b in enumerate(betas)) / sum(betas)


def solved(over: Callable[[float], float]) -> float:
    """The pH at which a rising function crosses zero."""
    low, high = 2.0, 12.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if over(middle) > 0:
            high = middle
        else:
            low = middle
    return (low + high) / 2
