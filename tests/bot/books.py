"""Books for tests: Saltmarsh Growers, invented like its feed (8 mL of each per US gal adds 1.6)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from bot.records.book import Book
from bot.records.facts import Feed, Member, Part, PolicyValue, Tower

GAL = 3.785411784  # US gallon [L], exact by definition
INCH = 2.54  # [cm], exact by definition
SET_ON = date(2026, 5, 4)

FEED = Feed(
    name="Saltmarsh two-part",
    parts=(Part(name="A", ml_per_l=8 / GAL), Part(name="B", ml_per_l=8 / GAL)),
    ec_gain_ms_per_cm=1.6,
    id=1,
    set_on=SET_ON,
)
# The metric label: 2 mL of each per litre adds 1.5.
METRIC_FEED = replace(
    FEED,
    name="Saltmarsh metric",
    parts=(Part(name="A", ml_per_l=2.0), Part(name="B", ml_per_l=2.0)),
    ec_gain_ms_per_cm=1.5,
)
KITCHEN = Tower(
    id=1,
    name="kitchen",
    tank_l=16 * GAL,
    full_depth_cm=14 * INCH,
    place="outdoor",
    target_ec=1.7,
    water_ec=0.4,
    strength=1.0,
    pump_min_l=3.5 * GAL,
    feed=FEED.name,
    set_on=SET_ON,
)
PORCH = Tower(
    id=2, name="porch", tank_l=10 * GAL, target_ec=1.7, water_ec=0.4, strength=1.0, feed=FEED.name
)
LIBRARY = Tower(
    id=3,
    name="library",
    tank_l=70.0,
    target_ec=1.7,
    water_ec=0.4,
    strength=1.0,
    feed=METRIC_FEED.name,
)
TAMSIN = Member(id=1, name="Tamsin", units="us", gallon="us", time_zone="America/New_York")
IFE = Member(id=2, name="Ife", units="metric", time_zone="Europe/Lisbon")


def book(*towers: Tower, member: Member = TAMSIN, **rules: PolicyValue) -> Book:
    """A Book with these towers (the kitchen when none are named) and house rules."""
    plain = Book(
        now=datetime(2026, 5, 11, 18, 0, tzinfo=UTC),
        member=member,
        feeds=(FEED, METRIC_FEED),
        towers=towers or (KITCHEN,),
        coach="Wenna",
    )
    return replace(plain, policy={**plain.policy, **rules})


def no_towers(member: Member = TAMSIN) -> Book:
    """Someone new, in a community whose coach has set a feed."""
    return replace(book(member=member), towers=())
