"""Carbonic acid in a water: its constants, the carbon behind a pH, protons that an acid gives."""

from __future__ import annotations

from calc.carbonate.working import Water, charge_per_carbon, constants, protons_given
from calc.errors import within


def carbonate_pk(*, temperature_c: float) -> tuple[float, float]:
    """The two constants of carbonic acid.

    pK1 = 356.3094 + 0.06091964 K - 21834.37/K - 126.8339 log K + 1684915/K^2, pK2 alike

    Parameters
    ----------
    temperature_c : float
        [C], 0 to 50.

    Returns
    -------
    tuple of float, shape (2,)
        pK1 and pK2, [-], at infinite dilution

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Within 0.01 of the constants that other libraries use.

    References
    ----------
    Plummer & Busenberg, Geochim. Cosmochim. Acta 46:1011, 1982, as in PHREEQC's phreeqc.dat.

    Examples
    --------
    >>> [round(pk, 3) for pk in carbonate_pk(temperature_c=25)]
    [6.352, 10.329]
    """
    return constants(temperature_c)


def dissolved_carbon(
    *, alkalinity_meq_per_l: float, ph_start: float, temperature_c: float
) -> float:
    """Dissolved inorganic carbon behind an alkalinity and a pH.

    C = (Alk - OH + H) / (a1 + 2 a2)

    Parameters
    ----------
    alkalinity_meq_per_l : float
        [meq/L], 0.05 to 20.
    ph_start : float
        pH of the water, [unit of pH], 6 to 9.
    temperature_c : float
        [C], 0 to 50.

    Returns
    -------
    float
        [mmol/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    All alkalinity taken as carbonate.

    References
    ----------
    Definition of alkalinity.

    Examples
    --------
    >>> round(dissolved_carbon(alkalinity_meq_per_l=2, ph_start=7.8, temperature_c=20), 2)
    2.07
    """
    within(name="alkalinity", value=alkalinity_meq_per_l, low=0.05, high=20, unit="meq/L")
    within(name="pH", value=ph_start, low=6, high=9, unit="")
    water = Water(temperature_c, alkalinity_meq_per_l / 1000)
    h, oh = water.protons(ph_start)
    return (
        1000 * (alkalinity_meq_per_l / 1000 - oh + h) / charge_per_carbon(10**-ph_start, *water.k)
    )


def equivalents_per_mole(*, acid: str, ph: float) -> float:
    """Protons that a mole of acid gives at a pH.

    n = sum i b_i h^-i / sum b_i h^-i

    Parameters
    ----------
    acid : str
        "nitric", "sulphuric", "phosphoric" or "citric", a symbol of the table of acids.
    ph : float
        [unit of pH], 3 to 10.

    Returns
    -------
    float
        [eq/mol]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    KeyError
        An acid that the table lacks.

    Notes
    -----
    Infinite dilution, 25 C.

    References
    ----------
    pK of PHREEQC's phreeqc.dat and minteq.v4.dat.

    Examples
    --------
    >>> round(equivalents_per_mole(acid="phosphoric", ph=5.8), 3)
    1.037
    """
    within(name="pH", value=ph, low=3, high=10, unit="")
    return protons_given(acid, ph, 0.0)
