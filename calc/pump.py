"""The pump's timer: runs a day, hours a day, roots in air, turnover, energy and its cost."""

from __future__ import annotations

from dataclasses import dataclass

from calc.errors import within

_DAY_MIN = 1440.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """What a timer does in a day: [runs/d], [h/d], and the share of time that roots hang in air."""

    runs_per_d: float
    run_h_per_d: float
    air_fraction: float


def cycle(*, on_min: float, off_min: float) -> Cycle:
    """What a timer that repeats on and off does in a day.

    runs = 1440 / (on + off); hours = 24 on / (on + off); air = off / (on + off)

    Parameters
    ----------
    on_min : float
        [min], 0.05 to 1,440.
    off_min : float
        [min], 0 to 1,440.

    Returns
    -------
    Cycle
        [runs/d], [h/d], [share]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Common settings have no source: common practice.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> cycle(on_min=15, off_min=45)
    Cycle(runs_per_d=24.0, run_h_per_d=6.0, air_fraction=0.75)
    """
    within(name="time on", value=on_min, low=0.05, high=_DAY_MIN, unit="min")
    within(name="time off", value=off_min, low=0, high=_DAY_MIN, unit="min")
    whole = on_min + off_min
    return Cycle(
        runs_per_d=_DAY_MIN / whole, run_h_per_d=24 * on_min / whole, air_fraction=off_min / whole
    )


def on_dial_min(*, wanted_min: float, step_min: float) -> float:
    """The nearest time that a dial of whole segments can be set to.

    set = step x max(1, round(wanted / step))

    Parameters
    ----------
    wanted_min : float
        [min], 0.05 to 1,440.
    step_min : float
        One segment of the dial, [min], 1 to 120.

    Returns
    -------
    float
        [min]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    A dial never runs shorter than one segment.

    References
    ----------
    Arithmetic; segments of 15 and 30 min are what such timers are sold with (common practice).

    Examples
    --------
    >>> on_dial_min(wanted_min=8, step_min=15), on_dial_min(wanted_min=40, step_min=15)
    (15.0, 45.0)
    """
    within(name="time wanted", value=wanted_min, low=0.05, high=_DAY_MIN, unit="min")
    within(name="segment", value=step_min, low=1, high=120, unit="min")
    return float(step_min * max(1, int(wanted_min / step_min + 0.5)))


def energy_kwh_per_d(*, power_w: float, run_h: float) -> float:
    """Energy of a pump or lamp in a day.

    kWh = W x h / 1000

    Parameters
    ----------
    power_w : float
        [W], 0.1 to 5,000.
    run_h : float
        [h/d], 0 to 24.

    Returns
    -------
    float
        [kWh/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The power on the label is the most it draws.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> energy_kwh_per_d(power_w=20, run_h=4.8)
    0.096
    """
    within(name="power", value=power_w, low=0.1, high=5000, unit="W")
    within(name="hours", value=run_h, low=0, high=24, unit="h")
    return power_w * run_h / 1000


def turnovers_per_d(*, flow_l_per_h: float, run_h: float, tank_l: float) -> float:
    """How often the whole tank goes over the roots in a day.

    turnovers = flow x hours / tank

    Parameters
    ----------
    flow_l_per_h : float
        What comes out at the top, [L/h], 1 to 20,000.
    run_h : float
        [h/d], 0 to 24.
    tank_l : float
        [L], 0.01 to 10,000.

    Returns
    -------
    float
        [1/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The flow printed on a pump is without any lift; catch what comes out at the top in a jug.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> turnovers_per_d(flow_l_per_h=400, run_h=6, tank_l=60)
    40.0
    """
    within(name="flow", value=flow_l_per_h, low=1, high=20_000, unit="L/h")
    within(name="hours", value=run_h, low=0, high=24, unit="h")
    within(name="tank", value=tank_l, low=0.01, high=10_000, unit="L")
    return flow_l_per_h * run_h / tank_l
