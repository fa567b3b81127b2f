"""A closed bottle: what acid does before any CO2 has left."""

from __future__ import annotations

from calc.carbonate.water import dissolved_carbon
from calc.carbonate.working import Water, charge_per_carbon, protons_given, solved
from calc.errors import within


def neutralised_share(*, ph_start: float, ph_target: float) -> float:
    """Share of a water's alkalinity that acid takes to bring it to a pH, before air has its say.

    1 - [(a1 + 2 a2) at the target] / [(a1 + 2 a2) at the start]

    Parameters
    ----------
    ph_start : float
        pH of the water, [unit of pH], 6.5 to 9.
    ph_target : float
        pH to reach, [unit of pH], 4.5 to `ph_start`.

    Returns
    -------
    float
        [-], 0 to 1

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    At 25 C, infinite dilution; a closed bottle. Colder water needs about 0.4 % per C more.

    References
    ----------
    Carbonate equilibrium, pK 6.35 and 10.33.

    Examples
    --------
    >>> round(neutralised_share(ph_start=7.8, ph_target=5.8), 3)
    0.773
    """
    within(name="pH", value=ph_start, low=6.5, high=9, unit="")
    within(name="pH", value=ph_target, low=4.5, high=ph_start, unit="")
    start, target = (
        charge_per_carbon(10**-ph, 10**-6.35, 10**-10.33) for ph in (ph_start, ph_target)
    )
    return 1 - target / start


def short_share(*, ph_target: float) -> float:
    """The same share in short, from a water of pH 7.8 or more.

    share = 1 / (1 + 10^(pH - 6.35))

    Parameters
    ----------
    ph_target : float
        pH to reach, [unit of pH], 4.5 to 7.

    Returns
    -------
    float
        [-], 0 to 1

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Within 0.033 of `neutralised_share` from pH 7.8 up; 0.008 at pH 5.8.

    References
    ----------
    Carbonate equilibrium.

    Examples
    --------
    >>> round(short_share(ph_target=5.8), 3)
    0.78
    """
    within(name="pH", value=ph_target, low=4.5, high=7, unit="")
    return 1 / (1 + 10 ** (ph_target - 6.35))


def acid_to_reach(
    *, alkalinity_meq_per_l: float, ph_start: float, ph_target: float, temperature_c: float
) -> float:
    """Acid, as charge, that brings a water to a pH in a closed bottle.

    acid = Alk - Alk(target), with the dissolved carbon of the start

    Parameters
    ----------
    alkalinity_meq_per_l : float
        [meq/L], 0.05 to 20.
    ph_start : float
        pH of the water, [unit of pH], 6 to 9.
    ph_target : float
        pH to reach, [unit of pH], 4 to `ph_start`.
    temperature_c : float
        [C], 0 to 50.

    Returns
    -------
    float
        [meq/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Within 1.5 % of PHREEQC at 10 to 30 C. An open tower loses CO2 afterwards and climbs back.

    References
    ----------
    Carbonate equilibrium with Davies activities; as `carbonate_pk`.

    Examples
    --------
    >>> round(acid_to_reach(
    ...     alkalinity_meq_per_l=2, ph_start=7.8, ph_target=5.8, temperature_c=25), 2)
    1.53
    """
    within(name="pH", value=ph_target, low=4, high=ph_start, unit="")
    carbon = dissolved_carbon(
        alkalinity_meq_per_l=alkalinity_meq_per_l, ph_start=ph_start, temperature_c=temperature_c
    )
    water = Water(temperature_c, alkalinity_meq_per_l / 1000)
    return alkalinity_meq_per_l - 1000 * water.alkalinity(ph_target, carbon / 1000)


def closed_ph(
    *, alkalinity_meq_per_l: float, ph_start: float, acid_meq_per_l: float, temperature_c: float
) -> float:
    """pH right after acid, before any CO2 has left.

    Alk(pH) = Alk - acid, solved by halving

    Parameters
    ----------
    alkalinity_meq_per_l : float
        [meq/L], 0.05 to 20.
    ph_start : float
        pH of the water, [unit of pH], 6 to 9.
    acid_meq_per_l : float
        Strong acid, [meq/L], 0 to 1.2 times the alkalinity.
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

    Notes
    -----
    Within 0.05 of PyCO2SYS for alkalinity 0.3 to 6 meq/L, results of pH 6 to 8.8, 5 to 35 C.

    References
    ----------
    As `acid_to_reach`.

    Examples
    --------
    >>> round(closed_ph(
    ...     alkalinity_meq_per_l=2, ph_start=7.8, acid_meq_per_l=1.0, temperature_c=20), 2)
    6.33
    """
    most = 1.2 * alkalinity_meq_per_l
    within(name="acid", value=acid_meq_per_l, low=0, high=most, unit="meq/L")
    carbon = dissolved_carbon(
        alkalinity_meq_per_l=alkalinity_meq_per_l, ph_start=ph_start, temperature_c=temperature_c
    )
    water = Water(temperature_c, alkalinity_meq_per_l / 1000)
    left = (alkalinity_meq_per_l - acid_meq_per_l) / 1000
    return solved(lambda ph: water.alkalinity(ph, carbon / 1000) - left)


def ph_with_weak_acid(
    *,
    acid: str,
    acid_mmol_per_l: float,
    alkalinity_meq_per_l: float,
    carbon_mmol_per_l: float,
    temperature_c: float,
) -> float:
    """pH right after an acid that gives its protons step by step.

    Alk(pH) = Alk - acid x protons given at that pH, solved by halving

    Parameters
    ----------
    acid : str
        "phosphoric" or "citric", a symbol of the table of acids.
    acid_mmol_per_l : float
        [mmol/L], 0 to 20.
    alkalinity_meq_per_l : float
        [meq/L], 0.05 to 20.
    carbon_mmol_per_l : float
        Dissolved inorganic carbon, [mmol/L], 0.05 to 30.
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
    KeyError
        An acid that the table lacks.

    Notes
    -----
    Constants of the acid at 25 C. Microbes eat citrate, so its effect fades (from memory).

    References
    ----------
    PHREEQC's phreeqc.dat (phosphate), minteq.v4.dat (citrate).

    Examples
    --------
    >>> round(ph_with_weak_acid(acid="citric", acid_mmol_per_l=0.7, alkalinity_meq_per_l=2,
    ...                         carbon_mmol_per_l=2.07, temperature_c=20), 1)
    5.8
    """
    within(name="acid", value=acid_mmol_per_l, low=0, high=20, unit="mmol/L")
    within(name="alkalinity", value=alkalinity_meq_per_l, low=0.05, high=20, unit="meq/L")
    within(name="carbon", value=carbon_mmol_per_l, low=0.05, high=30, unit="mmol/L")
    water = Water(temperature_c, alkalinity_meq_per_l / 1000)

    def over(ph: float) -> float:
        given = acid_mmol_per_l / 1000 * protons_given(acid, ph, water.log_gamma)
        left = alkalinity_meq_per_l / 1000 - given
        return water.alkalinity(ph, carbon_mmol_per_l / 1000) - left

    return solved(over)


def weak_acid_to_reach(
    *,
    acid: str,
    alkalinity_meq_per_l: float,
    ph_start: float,
    ph_target: float,
    temperature_c: float,
) -> float:
    """Acid, in moles, that brings a water to a pH in a closed bottle.

    mmol/L = meq/L / protons given at the target

    Parameters
    ----------
    acid : str
        "nitric", "sulphuric", "phosphoric" or "citric", a symbol of the table of acids.
    alkalinity_meq_per_l : float
        [meq/L], 0.05 to 20.
    ph_start : float
        pH of the water, [unit of pH], 6 to 9.
    ph_target : float
        pH to reach, [unit of pH], 4 to `ph_start`.
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
    KeyError
        An acid that the table lacks.

    Notes
    -----
    Within 1 % of PHREEQC for phosphoric acid at 10 to 25 C.

    References
    ----------
    As `acid_to_reach` and `ph_with_weak_acid`.

    Examples
    --------
    >>> round(weak_acid_to_reach(acid="phosphoric", alkalinity_meq_per_l=2, ph_start=7.8,
    ...                          ph_target=5.8, temperature_c=25), 2)
    1.47
    """
    charge = acid_to_reach(
        alkalinity_meq_per_l=alkalinity_meq_per_l,
        ph_start=ph_start,
        ph_target=ph_target,
        temperature_c=temperature_c,
    )
    water = Water(temperature_c, alkalinity_meq_per_l / 1000)
    return charge / protons_given(acid, ph_target, water.log_gamma)
