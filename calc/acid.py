"""Bottles of acid: for checks of the chemistry against printed tables only.

Nothing of the bot may import this (a contract of the layers says so): no command prints a volume of
concentrated acid, to a member or to the coach.
"""

from __future__ import annotations

from calc.errors import within

# Molar masses by formula, citric acid without water [g/mol].
MOLAR_G = {"H3PO4": 97.995, "H2SO4": 98.079, "HNO3": 63.013, "citric": 192.124}


def molarity_mol_per_l(*, acid: str, weight_percent: float, density_kg_per_l: float) -> float:
    """Strength of a bottle.

    mol/L = 10 x % x density / M

    Parameters
    ----------
    acid : str
        "H3PO4", "H2SO4", "HNO3" or "citric", a formula of `MOLAR_G`.
    weight_percent : float
        [% by weight], 1 to 100.
    density_kg_per_l : float
        [kg/L], 0.9 to 2.

    Returns
    -------
    float
        [mol/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Densities but 1.835 are from memory: take the label's.

    References
    ----------
    Definition; UMass Extension, Adjusting Alkalinity with Acids (1.835).

    Examples
    --------
    >>> round(molarity_mol_per_l(acid="H3PO4", weight_percent=75, density_kg_per_l=1.579), 2)
    12.08
    """
    within(name="strength", value=weight_percent, low=1, high=100, unit="%")
    within(name="density", value=density_kg_per_l, low=0.9, high=2, unit="kg/L")
    return 10 * weight_percent * density_kg_per_l / MOLAR_G[acid]


def acid_for_alkalinity(*, volume_l: float, charge_meq_per_l: float, acid_eq_per_l: float) -> float:
    """Acid that takes an alkalinity out of a volume.

    mL = L x meq/L / (eq/L of the acid)

    Parameters
    ----------
    volume_l : float
        [L], 0 to 10,000.
    charge_meq_per_l : float
        Alkalinity to take out, [meq/L], 0 to 20.
    acid_eq_per_l : float
        [eq/L], 0.1 to 40.

    Returns
    -------
    float
        [mL]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    For checks only.

    References
    ----------
    UMass Extension, Adjusting Alkalinity with Acids.

    Examples
    --------
    >>> round(acid_for_alkalinity(volume_l=100, charge_meq_per_l=2.32, acid_eq_per_l=12.54), 1)
    18.5
    """
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    within(name="alkalinity", value=charge_meq_per_l, low=0, high=20, unit="meq/L")
    within(name="acid", value=acid_eq_per_l, low=0.1, high=40, unit="eq/L")
    return volume_l * charge_meq_per_l / acid_eq_per_l


def citric_for_alkalinity_g(
    *, volume_l: float, charge_meq_per_l: float, equivalents_per_mole_n: float
) -> float:
    """Dry citric acid that takes an alkalinity out of a volume.

    g = L x meq/L x M / (1000 n)

    Parameters
    ----------
    volume_l : float
        [L], 0 to 10,000.
    charge_meq_per_l : float
        [meq/L], 0 to 20.
    equivalents_per_mole_n : float
        Protons given at the target, [-], 0.5 to 3.

    Returns
    -------
    float
        [g]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    For checks only. Microbes eat citrate, so its effect fades (from memory).

    References
    ----------
    Formula.

    Examples
    --------
    >>> round(citric_for_alkalinity_g(
    ...     volume_l=1000, charge_meq_per_l=1, equivalents_per_mole_n=2.118), 1)
    90.7
    """
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    within(name="alkalinity", value=charge_meq_per_l, low=0, high=20, unit="meq/L")
    within(name="protons", value=equivalents_per_mole_n, low=0.5, high=3, unit="")
    return volume_l * charge_meq_per_l * MOLAR_G["citric"] / equivalents_per_mole_n / 1000
