"""Air and warm water: pressure, vapour, oxygen that water holds, and ice that cools it."""

from __future__ import annotations

import math

from calc.errors import within

_KELVIN = 273.15
_WATER_KJ_PER_KG_C = 4.19
_ICE_KJ_PER_KG = 372.0  # melting, and warming from -18 C


def pressure_kpa(*, altitude_m: float) -> float:
    """Pressure of the air at an altitude.

    P = 101.3 ((293 - 0.0065 z) / 293)^5.26

    Parameters
    ----------
    altitude_m : float
        [m], -500 to 5,000.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Standard air at 20 C; weather moves it by 3 %.

    References
    ----------
    Allen et al., FAO Irrigation and Drainage Paper 56, 1998, equation 7; example 2.

    Examples
    --------
    >>> round(pressure_kpa(altitude_m=1800), 1)
    81.8
    """
    within(name="altitude", value=altitude_m, low=-500, high=5000, unit="m")
    return 101.3 * float(((293 - 0.0065 * altitude_m) / 293) ** 5.26)


def saturation_kpa(*, temperature_c: float) -> float:
    """Vapour pressure of air that holds all it can.

    e = 0.6108 exp(17.27 T / (T + 237.3))

    Parameters
    ----------
    temperature_c : float
        [C], -10 to 60.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Over water.

    References
    ----------
    FAO-56, equation 11; example 3.

    Examples
    --------
    >>> round(saturation_kpa(temperature_c=15), 3)
    1.705
    """
    within(name="temperature", value=temperature_c, low=-10, high=60, unit="C")
    return 0.6108 * math.exp(17.27 * temperature_c / (temperature_c + 237.3))


def vapour_deficit_kpa(*, temperature_c: float, humidity_percent: float) -> float:
    """How thirsty the air is (VPD).

    VPD = e(T) (1 - RH / 100)

    Parameters
    ----------
    temperature_c : float
        Of the air, [C], -10 to 50.
    humidity_percent : float
        Relative humidity, [%], 0 to 100.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Common practice, no source: seedlings 0.4 to 0.8, leafy crops 0.8 to 1.2, fruiting to 1.5 kPa.

    References
    ----------
    FAO-56, equation 11.

    Examples
    --------
    >>> round(vapour_deficit_kpa(temperature_c=25, humidity_percent=60), 3)
    1.267
    """
    within(name="temperature", value=temperature_c, low=-10, high=50, unit="C")
    within(name="humidity", value=humidity_percent, low=0, high=100, unit="%")
    return saturation_kpa(temperature_c=temperature_c) * (1 - humidity_percent / 100)


def leaf_deficit_kpa(*, air_c: float, leaf_c: float, humidity_percent: float) -> float:
    """How hard the air pulls at a leaf of another temperature.

    VPD = e(T leaf) - RH / 100 e(T air)

    Parameters
    ----------
    air_c : float
        [C], -10 to 50.
    leaf_c : float
        [C], -10 to 50.
    humidity_percent : float
        Of the air, [%], 0 to 100.

    Returns
    -------
    float
        [kPa]; below 0, dew settles on the leaf

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Leaves in good light and flowing air are 1 to 3 C cooler than it (from memory).

    References
    ----------
    FAO-56, equation 11.

    Examples
    --------
    >>> round(leaf_deficit_kpa(air_c=25, leaf_c=23, humidity_percent=60), 4)
    0.9088
    """
    for value in (air_c, leaf_c):
        within(name="temperature", value=value, low=-10, high=50, unit="C")
    within(name="humidity", value=humidity_percent, low=0, high=100, unit="%")
    held = humidity_percent / 100 * saturation_kpa(temperature_c=air_c)
    return saturation_kpa(temperature_c=leaf_c) - held


def oxygen_mg_per_l(*, temperature_c: float, altitude_m: float) -> float:
    """Oxygen that fresh water holds in touch with air.

    ln C = -139.34411 + 1.575701e5/K - 6.642308e7/K^2 + 1.243800e10/K^3 - 8.621949e11/K^4,
    then C P (1 - Pw/P)(1 - t P) / ((1 - Pw)(1 - t)) for the pressure P in atm

    Parameters
    ----------
    temperature_c : float
        Of the water, [C], 0 to 40.
    altitude_m : float
        [m], -500 to 5,000.

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
    Within 0.2 % of the table of EN 25814. Nutrient salts lower it by less than 1 %.

    References
    ----------
    Benson & Krause, Limnol. Oceanogr. 29:620, 1984; pressure form with the vapour term of Green &
    Carritt; altitude by FAO-56.

    Examples
    --------
    >>> round(oxygen_mg_per_l(temperature_c=25, altitude_m=0), 2)
    8.26
    """
    within(name="temperature", value=temperature_c, low=0, high=40, unit="C")
    k = temperature_c + _KELVIN
    log = -139.34411 + 1.575701e5 / k - 6.642308e7 / k**2 + 1.243800e10 / k**3 - 8.621949e11 / k**4
    at_sea = math.exp(log)
    atm = pressure_kpa(altitude_m=altitude_m) / pressure_kpa(altitude_m=0)
    r = 373.16 / k
    vapour = math.exp(
        18.1973 * (1 - r)
        + 3.1813e-7 * (1 - math.exp(26.1205 * (1 - 1 / r)))
        - 0.018726 * (1 - math.exp(8.03945 * (1 - r)))
        + 5.02802 * math.log(r)
    )
    theta = 0.000975 - 1.426e-5 * temperature_c + 6.436e-8 * temperature_c**2
    wet = (1 - vapour / atm) * (1 - theta * atm) / ((1 - vapour) * (1 - theta))
    return at_sea * atm * wet


def oxygen_percent(*, oxygen_found_mg_per_l: float, temperature_c: float) -> float:
    """A reading of oxygen as a share of what the water could hold at sea level.

    100 found / held

    Parameters
    ----------
    oxygen_found_mg_per_l : float
        [mg/L], 0 to 40.
    temperature_c : float
        [C], 0 to 40.

    Returns
    -------
    float
        [%], above 100 in bubbling water

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    At altitude the same reading is a larger share.

    References
    ----------
    Definition, with `oxygen_mg_per_l`.

    Examples
    --------
    >>> round(oxygen_percent(oxygen_found_mg_per_l=7.0, temperature_c=22), 1)
    80.1
    """
    within(name="oxygen", value=oxygen_found_mg_per_l, low=0, high=40, unit="mg/L")
    held = oxygen_mg_per_l(temperature_c=temperature_c, altitude_m=0)
    return 100 * oxygen_found_mg_per_l / held


def ice_kg(*, water_l: float, from_c: float, to_c: float) -> float:
    """Ice from the freezer that cools a tank.

    kg = kg water x 4.19 x drop / (372 + 4.19 x final)

    Parameters
    ----------
    water_l : float
        In the tank, without the bottles, [L], 0.1 to 10,000.
    from_c : float
        [C], 0 to 60, at least `to_c`.
    to_c : float
        [C], 0 to 40.

    Returns
    -------
    float
        [kg], a litre of water frozen is a kilogram

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Ice at -18 C in closed bottles. What sun and air add meanwhile is left out, so it is the least.

    References
    ----------
    Heat balance: water 4.19 kJ/kg C, melting 334 kJ/kg and ice 2.1 kJ/kg C (physical constants,
    values from memory).

    Examples
    --------
    >>> round(ice_kg(water_l=41.6, from_c=28.3, to_c=21.1), 1)
    2.7
    """
    within(name="water", value=water_l, low=0.1, high=10_000, unit="L")
    within(name="temperature", value=to_c, low=0, high=40, unit="C")
    within(name="temperature", value=from_c, low=to_c, high=60, unit="C")
    drop = from_c - to_c
    return water_l * _WATER_KJ_PER_KG_C * drop / (_ICE_KJ_PER_KG + _WATER_KJ_PER_KG_C * to_c)
