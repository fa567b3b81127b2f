"""Meter scales: EC and the three ppm scales, and a reading brought to 25 C, once only."""

from __future__ import annotations

from calc.errors import Impossible, within

SCALES_PPM_PER_MS = (500, 640, 700)
# Mean slope of natural waters, 0.0175 to 0.0198 per C (Hayashi 2004).
NATURAL_SLOPE_PER_C = 0.0187


def ppm_from_ec(*, ec_ms_per_cm: float, scale_ppm_per_ms: float) -> float:
    """What a ppm meter of a scale shows for an EC.

    ppm = EC x scale

    Parameters
    ----------
    ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    scale_ppm_per_ms : float
        The meter's scale, [ppm per mS/cm], 500 to 700; 500, 640 and 700 are sold.

    Returns
    -------
    float
        [ppm]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The scale is a meter's own; it is asked for, never guessed.

    References
    ----------
    Definition of the scale; common practice, no source. Sodium chloride at 1,000 mg/L gives 506,
    a mix of sulphate, bicarbonate and chloride of sodium 702 (PHREEQC).

    Examples
    --------
    >>> ppm_from_ec(ec_ms_per_cm=2.4, scale_ppm_per_ms=500)
    1200.0
    """
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="scale", value=scale_ppm_per_ms, low=500, high=700, unit="ppm per mS/cm")
    return ec_ms_per_cm * scale_ppm_per_ms


def ec_from_ppm(*, tds_ppm: float, scale_ppm_per_ms: float) -> float:
    """The EC behind a ppm reading.

    EC = ppm / scale

    Parameters
    ----------
    tds_ppm : float
        As the meter shows it, [ppm], 0 to 14,000.
    scale_ppm_per_ms : float
        The meter's scale, [ppm per mS/cm], 500 to 700.

    Returns
    -------
    float
        [mS/cm at 25 C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    875 ppm is 1.75 on one scale and 1.25 on another: never without the scale.

    References
    ----------
    Definition of the scale; common practice, no source.

    Examples
    --------
    >>> ec_from_ppm(tds_ppm=1100, scale_ppm_per_ms=500)
    2.2
    """
    within(name="ppm", value=tds_ppm, low=0, high=14_000, unit="ppm")
    within(name="scale", value=scale_ppm_per_ms, low=500, high=700, unit="ppm per mS/cm")
    return tds_ppm / scale_ppm_per_ms


def ec25(
    *, ec_ms_per_cm: float, temperature_c: float, slope_per_c: float, corrected: bool
) -> float:
    """A raw reading brought to 25 C.

    EC25 = EC / (1 + a (T - 25))

    Parameters
    ----------
    ec_ms_per_cm : float
        As the cell measures it at its own temperature, [mS/cm], 0 to 20.
    temperature_c : float
        Of the solution, [C], 10 to 35.
    slope_per_c : float
        Change of EC by warmth, [1/C], 0.015 to 0.025.
    corrected : bool
        [yes or no], whether the meter compensates by itself, as nearly every pen does.

    Returns
    -------
    float
        [mS/cm at 25 C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "corrected_already": a second correction would be wrong by the first.

    Notes
    -----
    Below 2 % off from 10 C up for natural waters with slope 0.0187.

    References
    ----------
    US EPA Method 120.1, 1982 (0.0191 for 0.01 M KCl). Hayashi, Environ. Monit. Assess. 96:119,
    2004 (0.0175 to 0.0198, mean 0.0187).

    Examples
    --------
    >>> round(ec25(ec_ms_per_cm=1.305, temperature_c=21, slope_per_c=0.0191, corrected=False), 3)
    1.413
    """
    if corrected:
        raise Impossible(reason="corrected_already")
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    return ec_ms_per_cm / _at(temperature_c, slope_per_c)


def ec_at(*, ec25_ms_per_cm: float, temperature_c: float, slope_per_c: float) -> float:
    """What a cell without compensation shows at a temperature.

    EC = EC25 (1 + a (T - 25))

    Parameters
    ----------
    ec25_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    temperature_c : float
        [C], 10 to 35.
    slope_per_c : float
        [1/C], 0.015 to 0.025.

    Returns
    -------
    float
        [mS/cm] at that temperature

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The inverse of `ec25`.

    References
    ----------
    As `ec25`.

    Examples
    --------
    >>> round(ec_at(ec25_ms_per_cm=2.0, temperature_c=18, slope_per_c=0.0187), 4)
    1.7382
    """
    within(name="EC", value=ec25_ms_per_cm, low=0, high=20, unit="mS/cm")
    return ec25_ms_per_cm * _at(temperature_c, slope_per_c)


def slope_of(*, ec_ms_per_cm: float, temperature_c: float, ec25_ms_per_cm: float) -> float:
    """The change of EC by warmth, from one solution read twice.

    a = (EC / EC25 - 1) / (T - 25)

    Parameters
    ----------
    ec_ms_per_cm : float
        At `temperature_c`, [mS/cm], 0 to 20.
    temperature_c : float
        [C], 10 to 35, at least 1 C from 25.
    ec25_ms_per_cm : float
        The same solution at 25 C, [mS/cm], 0.01 to 20.

    Returns
    -------
    float
        [1/C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "same_temperature": both readings at 25 C tell nothing.

    Notes
    -----
    For a cell without compensation.

    References
    ----------
    US EPA Method 120.1, 1982.

    Examples
    --------
    >>> round(slope_of(ec_ms_per_cm=1.305, temperature_c=21, ec25_ms_per_cm=1.413), 5)
    0.01911
    """
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="EC", value=ec25_ms_per_cm, low=0.01, high=20, unit="mS/cm")
    within(name="temperature", value=temperature_c, low=10, high=35, unit="C")
    if abs(temperature_c - 25) < 1:
        raise Impossible(reason="same_temperature")
    return (ec_ms_per_cm / ec25_ms_per_cm - 1) / (temperature_c - 25)


def _at(temperature_c: float, slope_per_c: float) -> float:
    within(name="temperature", value=temperature_c, low=10, high=35, unit="C")
    within(name="slope", value=slope_per_c, low=0.015, high=0.025, unit="per C")
    return 1 + slope_per_c * (temperature_c - 25)
