"""The feeds on Saltmarsh shelves, all invented. Rates in mL/L at label strength, gain in mS/cm."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Final

from bot.records.facts import Feed, Part
from calc.units import to_si

SET_ON: Final = date(2026, 5, 4)


@cache
def two_part() -> Feed:
    """The coach's feed: 8 mL of each per US gal adds 1.6."""
    rate = 8 / to_si(1, "us_gal")
    return Feed(
        name="Saltmarsh two-part",
        parts=(Part(name="A", ml_per_l=rate), Part(name="B", ml_per_l=rate)),
        ec_gain_ms_per_cm=1.6,
    )


@cache
def metric() -> Feed:
    """The same shelf's metric label: 2 mL of each per L adds 1.5."""
    return Feed(
        name="Saltmarsh metric",
        parts=(Part(name="A", ml_per_l=2.0), Part(name="B", ml_per_l=2.0)),
        ec_gain_ms_per_cm=1.5,
    )


@cache
def three_part() -> Feed:
    """One member's own bottles, unequal on the label."""
    return Feed(
        name="Sunniva three-part",
        parts=(
            Part(name="Leaf", ml_per_l=1.5),
            Part(name="Root", ml_per_l=1.0),
            Part(name="Bloom", ml_per_l=0.5),
        ),
        ec_gain_ms_per_cm=1.4,
    )


@cache
def feeds() -> dict[str, Feed]:
    """Every feed of the town by its name."""
    return {feed.name: feed for feed in (two_part(), metric(), three_part())}


def salts_of(feed: Feed, amounts: tuple[tuple[str, float], ...]) -> float:
    """What pours bring to a tank, [mS/cm x L].

    Each part is taken to carry an equal share of the label's gain: the labels here do not say.
    """
    rates = {part.name: part.rate_per_l for part in feed.parts}
    gain = feed.ec_gain_ms_per_cm or 0.0
    return sum(ml / rates[name] for name, ml in amounts) * gain / len(feed.parts)
