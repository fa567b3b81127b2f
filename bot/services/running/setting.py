"""A pump timer as it is set ("15 on 45 off", "8/12 digital", "1 h on 1 h off"), and its flow."""

from __future__ import annotations

import re
from dataclasses import dataclass

from calc.errors import Unreadable
from calc.units import Measures, read_volume

_DIAL = re.compile(r"\b(?P<kind>dial|digital)\b[_ ]*(?P<step>\d{1,2})?", re.IGNORECASE)
_LASTS = re.compile(
    r"(?P<number>\d+(?:[.,]\d+)?) ?"
    r"(?P<unit>seconds?|secs?|s|minutes?|mins?|m|hours?|hrs?|h)?(?![a-z])"
)
_MINUTES = {"s": 1 / 60, "m": 1.0, "h": 60.0}
_ALWAYS = re.compile(r"always|all day|non-?stop|24 ?h|24/7")
_PER = re.compile(r"\s*(?:/|\bper\b|\ban?\b)\s*(?P<unit>h|hr|hour|min|minute)s?\b")
_DAY_MIN = 1440.0
_DIAL_MIN = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Minutes on and off; kind "dial" (segments of step_min) or "digital", None not said."""

    on_min: float
    off_min: float
    kind: str | None = None
    step_min: float | None = None

    def text(self) -> str:
        """The same as somebody would type it."""
        kind = {"dial": f" dial {self.step_min or _DIAL_MIN:g}", "digital": " digital"}
        return f"{self.on_min:g} on {self.off_min:g} off{kind.get(self.kind or '', '')}"


def read_kind(typed: str) -> tuple[str | None, float | None]:
    """ "dial_15", "dial", "digital" -> the kind, and a dial's segment [min]."""
    found = _DIAL.search(typed.replace("_", " "))
    if found is None:
        return None, None
    kind = found["kind"].casefold()
    step = float(found["step"]) if found["step"] else _DIAL_MIN
    return kind, step if kind == "dial" else None


def read_timer(typed: str) -> Setting:
    """ "15 on 45 off", "15/45", "5 min on, 55 min off", "8/12 digital", "1 h on 1 h off".

    Raises
    ------
    Unreadable
    """
    kind, step = read_kind(typed)
    rest = _DIAL.sub(" ", typed).casefold()
    if _ALWAYS.search(rest) and "off" not in rest:
        return Setting(on_min=_DAY_MIN, off_min=0.0, kind=kind, step_min=step)
    found = list(_LASTS.finditer(rest.replace("/", " ")))
    units = [_MINUTES[m["unit"][0]] if m["unit"] else None for m in found]
    told = next((u for u in units if u is not None), 1.0)  # one unit stands for both
    numbers = [float(m["number"].replace(",", ".")) * (u or told)
               for m, u in zip(found, units, strict=True)]  # fmt: skip
    if len(numbers) != 2 or not all(0 < n <= _DAY_MIN for n in numbers):
        raise Unreadable(text=typed[:60], wanted="timer")
    return Setting(on_min=numbers[0], off_min=numbers[1], kind=kind, step_min=step)


def read_flow(typed: str, *, measures: Measures) -> float:
    """ "400 l", "400 l/h", "7 l per min", "100 gal an hour" -> [L/h]

    Raises
    ------
    Unreadable, Ambiguous, OutOfRange
    """
    lowered = typed.casefold()
    per = _PER.search(lowered)
    volume = lowered[: per.start()] if per else lowered
    rest = lowered[per.end() :] if per else ""
    if rest.strip() or "/" in volume:
        raise Unreadable(text=typed[:60], wanted="flow")
    try:
        litres = read_volume(volume, measures=measures).litres
    except Unreadable:
        raise Unreadable(text=typed[:60], wanted="flow") from None
    return litres * (60 if per and per["unit"].startswith("m") else 1)
