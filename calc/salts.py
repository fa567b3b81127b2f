"""What is in a bag or a bottle: oxides to elements, salts to concentrations."""

from __future__ import annotations

from calc.errors import Impossible, within
from calc.tables import atomic_masses, compounds


def element_share(*, compound: str, element: str) -> float:
    """Mass share of an element in a compound.

    w = n(element) x atomic mass / molar mass

    Parameters
    ----------
    compound : str
        A formula of data/compounds.csv, such as "K2O" or "ZnSO4.7H2O".
    element : str
        Its symbol, such as "K".

    Returns
    -------
    float
        [-], 0 to 1

    Raises
    ------
    Impossible
        "unknown_compound": not in the table, or without that element.

    Notes
    -----
    Labels print P, K, Ca, Mg, S as oxides: P = 0.4364 P2O5, K = 0.8301 K2O.

    References
    ----------
    IUPAC abridged standard atomic weights (data/elements.csv).

    Examples
    --------
    >>> round(element_share(compound="K2O", element="K"), 3)
    0.83
    """
    counts = compounds().get(compound)
    if counts is None or element not in counts:
        raise Impossible(reason="unknown_compound")
    masses = atomic_masses()
    molar = sum(masses[symbol] * count for symbol, count in counts.items())
    return masses[element] * counts[element] / molar


def salt_mass_g(*, element_mg_per_l: float, volume_l: float, share_fraction: float) -> float:
    """Dry salt that gives an element concentration.

    m = c V / (1000 w)

    Parameters
    ----------
    element_mg_per_l : float
        Wanted concentration, [mg/L], 0 to 100,000.
    volume_l : float
        [L], 0 to 10,000.
    share_fraction : float
        Mass share of the element in the salt, [-], above 0, to 1.

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
    The salt brings its other elements along.

    References
    ----------
    Mattson, Cornell/e-GRO Edible Alert 3(5), 2018.

    Examples
    --------
    >>> round(salt_mass_g(element_mg_per_l=40, volume_l=378.5, share_fraction=0.097), 1)
    156.1
    """
    within(name="concentration", value=element_mg_per_l, low=0, high=100_000, unit="mg/L")
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    within(name="share", value=share_fraction, low=0.0001, high=1, unit="of the salt")
    return element_mg_per_l * volume_l / (1000 * share_fraction)


def element_mg_per_l(*, salt_mg_per_l: float, share_fraction: float) -> float:
    """Element concentration that a dissolved salt brings.

    c = m w

    Parameters
    ----------
    salt_mg_per_l : float
        [mg/L], 0 to 1,000,000.
    share_fraction : float
        Mass share of the element in the salt, [-], 0 to 1.

    Returns
    -------
    float
        [mg/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Also what an ounce in 100 US gal gives: 74.89 mg/L x w.

    References
    ----------
    Mattson, Cornell/e-GRO Edible Alert 3(5), 2018; Texas A&M nutrient calculations.

    Examples
    --------
    >>> element_mg_per_l(salt_mg_per_l=1000, share_fraction=0.2)
    200.0
    """
    within(name="concentration", value=salt_mg_per_l, low=0, high=1_000_000, unit="mg/L")
    within(name="share", value=share_fraction, low=0, high=1, unit="of the salt")
    return salt_mg_per_l * share_fraction


def ion_mg_per_l(*, compound: str, compound_mmol_per_l: float, element: str) -> float:
    """Element concentration that a compound in mmol/L brings.

    c = n(element) x atomic mass x mmol/L

    Parameters
    ----------
    compound : str
        A formula of data/compounds.csv.
    compound_mmol_per_l : float
        [mmol/L], 0 to 10,000.
    element : str
        Its symbol.

    Returns
    -------
    float
        [mg/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "unknown_compound": not in the table.

    Notes
    -----
    0 where the compound lacks the element.

    References
    ----------
    Hoagland & Arnon, California Agr. Exp. Sta. Circ. 347, 1950 (the recipes); IUPAC atomic
    weights.

    Examples
    --------
    >>> round(ion_mg_per_l(compound="KNO3", compound_mmol_per_l=5.0, element="K"), 1)
    195.5
    """
    within(name="concentration", value=compound_mmol_per_l, low=0, high=10_000, unit="mmol/L")
    counts = compounds().get(compound)
    if counts is None:
        raise Impossible(reason="unknown_compound")
    return counts.get(element, 0) * atomic_masses()[element] * compound_mmol_per_l


def stock_rate(*, dose_rate: float, ratio_n: float) -> float:
    """Rate for a stock solution that is diluted 1 to n.

    stock = dose x n

    Parameters
    ----------
    dose_rate : float
        Rate for the ready solution, any unit per volume, 0 to 100,000.
    ratio_n : float
        Parts of water to one of stock, [-], 1 to 1,000.

    Returns
    -------
    float
        the same unit

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Two-part feeds keep their stocks apart: undiluted parts drop solids.

    References
    ----------
    Texas A&M nutrient calculations.

    Examples
    --------
    >>> stock_rate(dose_rate=7, ratio_n=100)
    700
    """
    within(name="dose rate", value=dose_rate, low=0, high=100_000, unit="per volume")
    within(name="ratio", value=ratio_n, low=1, high=1000, unit="to 1")
    return dose_rate * ratio_n


def uptake_mg_per_l(*, tissue_g_per_kg: float, water_use_efficiency_g_per_l: float) -> float:
    """Refill concentration that replaces what the plants took up.

    c = tissue content x water-use efficiency

    Parameters
    ----------
    tissue_g_per_kg : float
        Nutrient in dry tissue, [g/kg], 0 to 1,000.
    water_use_efficiency_g_per_l : float
        Dry growth per water used, [g/L], 0 to 100.

    Returns
    -------
    float
        [mg/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    g/kg x g/L = mg/L.

    References
    ----------
    Langenfeld et al., Sustainability 14(16):10204, 2022 (principle).

    Examples
    --------
    >>> uptake_mg_per_l(tissue_g_per_kg=5, water_use_efficiency_g_per_l=3)
    15
    """
    within(name="tissue content", value=tissue_g_per_kg, low=0, high=1000, unit="g/kg")
    within(
        name="water-use efficiency", value=water_use_efficiency_g_per_l, low=0, high=100, unit="g/L"
    )
    return tissue_g_per_kg * water_use_efficiency_g_per_l
