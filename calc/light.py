"""Light over a day: strength, hours and the daily light integral (DLI), each way; lux; daylight."""

from __future__ import annotations

import math

from calc.errors import Impossible, within
from calc.tables import lights

_MOL_PER_UMOL_H = 0.0036  # 3600 s/h, 1e-6 mol/umol
_RIM = math.radians(-0.833)  # half the sun's disc and the bending of light
_POLE = 1e-9
# Noon is half a day on; the calendar has moved by 0.4 d against the series of 1971 (found against
# pvlib over 2024 to 2029, where it takes the worst difference at 60 degrees from 0.13 to 0.05 h).
_EPOCH_D = 0.9


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


def lux_factor(*, light: str) -> float:
    """Lux for each unit of PPFD, by the kind of light.

    by the table

    Parameters
    ----------
    light : str
        A symbol of data/lights.csv: sunlight, white_led, incandescent.

    Returns
    -------
    float
        [lx per umol/m2/s]

    Raises
    ------
    Impossible
        "no_lux_factor": a light that the table lacks.

    Notes
    -----
    White LEDs 69, 66 to 72 by colour. A lamp with red and blue peaks has no factor: ask for PPFD.

    References
    ----------
    Thimijan & Heins, HortScience 18:818, 1983 (sunlight 54); Sharakshane, bioRxiv 289280, 2018
    (white LED 66.7); CIE reference LEDs by colour-science.

    Examples
    --------
    >>> lux_factor(light="sunlight")
    54.0
    """
    try:
        return lights()[light]
    except KeyError:
        raise Impossible(reason="no_lux_factor") from None


def ppfd_from_lux(*, lux_lx: float, factor_lx_per_umol: float) -> float:
    """PPFD behind a reading of a lux meter.

    PPFD = lux / factor

    Parameters
    ----------
    lux_lx : float
        [lx], 0 to 200,000.
    factor_lx_per_umol : float
        Of the light, [lx per umol/m2/s], 30 to 100.

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
    As good as its factor: 5 % for sunlight and white LEDs.

    References
    ----------
    As `lux_factor`.

    Examples
    --------
    >>> ppfd_from_lux(lux_lx=108000, factor_lx_per_umol=54)
    2000.0
    """
    within(name="lux", value=lux_lx, low=0, high=200_000, unit="lx")
    within(name="lux factor", value=factor_lx_per_umol, low=30, high=100, unit="lx per µmol")
    return lux_lx / factor_lx_per_umol


def lux_from_ppfd(*, ppfd_umol_per_m2_s: float, factor_lx_per_umol: float) -> float:
    """What a lux meter shows at a PPFD.

    lux = PPFD x factor

    Parameters
    ----------
    ppfd_umol_per_m2_s : float
        [umol/m2/s], 0 to 3,000.
    factor_lx_per_umol : float
        Of the light, [lx per umol/m2/s], 30 to 100.

    Returns
    -------
    float
        [lx]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The inverse of `ppfd_from_lux`.

    References
    ----------
    As `lux_factor`.

    Examples
    --------
    >>> lux_from_ppfd(ppfd_umol_per_m2_s=200, factor_lx_per_umol=54)
    10800
    """
    within(name="PPFD", value=ppfd_umol_per_m2_s, low=0, high=3000, unit="µmol/m²/s")
    within(name="lux factor", value=factor_lx_per_umol, low=30, high=100, unit="lx per µmol")
    return ppfd_umol_per_m2_s * factor_lx_per_umol


def missing_dli(
    *, target_mol_per_m2_d: float, outdoor_mol_per_m2_d: float, through_fraction: float
) -> float:
    """What a lamp has to add under a cover.

    max(0, target - outdoors x share let through)

    Parameters
    ----------
    target_mol_per_m2_d : float
        [mol/m2/d], 0 to 80.
    outdoor_mol_per_m2_d : float
        Under the open sky, [mol/m2/d], 0 to 80.
    through_fraction : float
        That cover and frame let through, [-], 0 to 1.

    Returns
    -------
    float
        [mol/m2/d], 0 where the sky gives enough

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Cover and frame take 30 to 50 %.

    References
    ----------
    Ohio State University, u.osu.edu/indoorberry; arithmetic.

    Examples
    --------
    >>> missing_dli(target_mol_per_m2_d=17, outdoor_mol_per_m2_d=20, through_fraction=0.6)
    5.0
    """
    within(name="DLI", value=target_mol_per_m2_d, low=0, high=80, unit="mol/m²/d")
    within(name="DLI", value=outdoor_mol_per_m2_d, low=0, high=80, unit="mol/m²/d")
    within(name="share", value=through_fraction, low=0, high=1, unit="of the light")
    return max(0.0, target_mol_per_m2_d - outdoor_mol_per_m2_d * through_fraction)


def daylight_h(*, latitude_deg: float, day_of_year_n: int) -> float:
    """Hours from sunrise to sunset as they are seen.

    cos w = (sin -0.833 - sin f sin d) / (cos f cos d), N = 24 w / pi, d by Spencer's series

    Parameters
    ----------
    latitude_deg : float
        North above 0, [degrees], -90 to 90.
    day_of_year_n : int
        [-], 1 to 366.

    Returns
    -------
    float
        [h], 0 in polar night, 24 in polar day

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Upper limb and refraction, flat horizon. Within 0.07 h of pvlib to 60 degrees.

    References
    ----------
    Spencer, Search 2(5):172, 1971.

    Examples
    --------
    >>> round(daylight_h(latitude_deg=52, day_of_year_n=172), 1)
    16.7
    """
    within(name="latitude", value=latitude_deg, low=-90, high=90, unit="degrees")
    within(name="day", value=day_of_year_n, low=1, high=366, unit="of the year")
    place, tilt = math.radians(latitude_deg), _tilt_rad(day_of_year_n)
    across = math.cos(place) * math.cos(tilt)
    if abs(across) < _POLE:
        return 24.0 if math.sin(place) * math.sin(tilt) > math.sin(_RIM) else 0.0
    turn = (math.sin(_RIM) - math.sin(place) * math.sin(tilt)) / across
    return 24 / math.pi * math.acos(min(1.0, max(-1.0, turn)))


def _tilt_rad(day_of_year_n: int) -> float:
    """Spencer's series of the sun's declination, at noon in the middle of a leap cycle."""
    g = 2 * math.pi * (day_of_year_n - 1 + _EPOCH_D) / 365
    return (
        0.006918
        - 0.399912 * math.cos(g)
        + 0.070257 * math.sin(g)
        - 0.006758 * math.cos(2 * g)
        + 0.000907 * math.sin(2 * g)
        - 0.002697 * math.cos(3 * g)
        + 0.00148 * math.sin(3 * g)
    )
