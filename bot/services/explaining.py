"""Numbers that cannot be worked with, in words: what was understood, what is wrong, what works."""

from __future__ import annotations

from bot.records.answer import Line, Measure, line
from calc.errors import CalcError, Impossible, OutOfRange, Unreadable


def explained(error: CalcError) -> Line:
    """A number that cannot be worked with, in words."""
    match error:
        case Unreadable():
            return line(f"ask.unreadable_{error.wanted}", text=error.text)
        case OutOfRange():
            return _out_of_range(error)
        case Impossible(reason="nothing_poured"):
            return line("ask.unreadable_amounts by part", text="0")
        case _:
            return line("ask.contradiction")


def _out_of_range(error: OutOfRange) -> Line:
    match error.name:
        case "in" | "interval" | "times" | "ahead":
            return line(f"ask.range_{error.name}")
        case "pump line":
            return line(
                "ask.pump_line",
                pump=Measure(error.value, "water"),
                tank=Measure(error.high, "water"),
            )
        case "moment":
            return line("ask.moment")
        case "refill mark" if error.unit == "L":
            return line(
                "ask.refill_mark",
                refill=Measure(error.value, "water"),
                pump=Measure(error.low, "water"),
            )
        case "temperature":
            return line("ask.temperature_range", temp=Measure(error.value, "temperature"))
        case "pH" if 30 <= error.value <= 100:
            return line(
                "ask.ph_decimal",
                ph=Measure(error.value, "number"),
                guess=Measure(error.value / 10, "ph"),
            )
        case "pH":
            return line("ask.ph_range", ph=Measure(error.value, "number"))
        case "jug":
            return line("ask.jug_range", jug=Measure(error.value, "water"))
        case "volume" | "tank":
            return line("ask.volume_impossible", volume=Measure(error.value, "water"))
        case "depth" | "full depth":
            return line("ask.depth_impossible", depth=Measure(error.value, "depth_cm"))
        case "strength":
            return line("ask.strength_impossible", share=Measure(error.value, "percent"))
        case "label rate":
            return line("ask.rate_impossible", rate=Measure(error.value, "number"))
        case "level":
            return line("ask.share_impossible", share=Measure(error.value, "percent"))
        case _:
            return line(
                "ask.range",
                name=error.name,
                value=Measure(error.value, "number"),
                low=Measure(error.low, "number"),
                high=Measure(error.high, "number"),
                unit=error.unit,
            )
