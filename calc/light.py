"""Light of a lamp over a day: strength, hours and the daily light integral (DLI), each way."""

from __future__ import annotations

from calc.errors import within

_MOL_PER_UMOL_H = 0.0036  # 3600 s/h, 1e-6 mol/umol


def dli(*, ppfd_umol_per_m2_s: float, light_h: float) -> float:
    """Light in a day.

    DLI = 0.0036 PPFD h

    Parameters
    ----------
    ppfd_umol_per_m2_s : float
        [umol/m2/s], 0 to 3,000.
    light_h : float
        [h/d], 0 to 24.

    Returns
    -------
    float
        [mol/m2/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    At the leaves, as the mean of several places: a tower's levels differ.

    References
    ----------
    Definition. Worked example: Torres & Lopez, Measuring Daily Light Integral in a Greenhouse,
    Purdue Extension HO-238-W.

    Examples
    --------
    >>> round(dli(ppfd_umol_per_m2_s=300, light_h=14), 2)
    15.12
    """
    within(name="PPFD", value=ppfd_umol_per_m2_s, low=0, high=3000, unit="µmol/m²/s")
    within(name="hours", value=light_h, low=0, high=24, unit="h")
    return _MOL_PER_UMOL_H * ppfd_umol_per_m2_s * light_h


def hours_for_dli(*, dli_mol_per_m2_d: float, ppfd_umol_per_m2_s: float) -> float:
    """Hours of light that make a wanted DLI.

    h = DLI / (0.0036 PPFD)

    Parameters
    ----------
    dli_mol_per_m2_d : float
        [mol/m2/d], 0.1 to 80.
    ppfd_umol_per_m2_s : float
        [umol/m2/s], 1 to 3,000.

    Returns
    -------
    float
        [h/d], above 24 where the light is too weak

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    More than 24 h means: no timer reaches it; hang the lamp nearer or take a stronger one.

    References
    ----------
    Definition, as `dli`.

    Examples
    --------
    >>> round(hours_for_dli(dli_mol_per_m2_d=16, ppfd_umol_per_m2_s=280), 1)
    15.9
    """
    within(name="DLI", value=dli_mol_per_m2_d, low=0.1, high=80, unit="mol/m²/d")
    within(name="PPFD", value=ppfd_umol_per_m2_s, low=1, high=3000, unit="µmol/m²/s")
    return dli_mol_per_m2_d / (_MOL_PER_UMOL_H * ppfd_umol_per_m2_s)


def ppfd_for_dli(*, dli_mol_per_m2_d: float, light_h: float) -> float:
    """Strength of light that makes a wanted DLI in these hours.

    PPFD = DLI / (0.0036 h)

    Parameters
    ----------
    dli_mol_per_m2_d : float
        [mol/m2/d], 0.1 to 80.
    light_h : float
        [h/d], 0.1 to 24.

    Returns
    -------
    float
        [umol/m2/s]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    At the leaves.

    References
    ----------
    Definition, as `dli`.

    Examples
    --------
    >>> round(ppfd_for_dli(dli_mol_per_m2_d=17, light_h=16), 1)
    295.1
    """
    within(name="DLI", value=dli_mol_per_m2_d, low=0.1, high=80, unit="mol/m²/d")
    within(name="hours", value=light_h, low=0.1, high=24, unit="h")
    return dli_mol_per_m2_d / (_MOL_PER_UMOL_H * light_h)
