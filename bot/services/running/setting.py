"""A pump timer as it is set: "15 on 45 off", "8/12 digital", "15/15 dial 15"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from calc.errors import Unreadable
from calc.units import Quantity, scan

_DIAL = re.compile(r"\b(?P<kind>dial|digital)\b\s*(?P<step>\d{1,2})?", re.IGNORECASE)
_OTHER_UNIT = re.compile(r"\b(h|hr|hrs|hours?|s|sec|secs|seconds?)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Minutes on and off; kind "dial" (segments of step_min) or "digital", None not said."""

    on_min: float
    off_min: float
    kind: str | None = None
    step_min: float | None = None


def read_timer(typed: str) -> Setting:
    """ "15 on 45 off", "15/45", "5 min on, 55 min off", "8/12 digital".

    Raises
    ------
    Unreadable
    """
    found = _DIAL.search(typed)
    rest = (typed[: found.start()] + " " + typed[found.end() :]) if found else typed
    cut = rest.replace("/", " ")
    if _OTHER_UNIT.search(cut.casefold()):
        raise Unreadable(text=typed[:60], wanted="timer")
    numbers = [i.number for i in scan(cut) if isinstance(i, Quantity) and i.kind == "number"]
    if len(numbers) != 2 or not all(0 < n <= 1440 for n in numbers):
        raise Unreadable(text=typed[:60], wanted="timer")
    kind = found["kind"].casefold() if found else None
    step = float(found["step"]) if found and found["step"] else None
    return Setting(on_min=numbers[0], off_min=numbers[1], kind=kind, step_min=step)
