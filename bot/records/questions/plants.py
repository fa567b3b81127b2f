"""What is asked about plants, harvest and supplies."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How much to sow and when: so many `per_week`, on the plate `by` a day, or `sown` on one.

    moving: "yes": it is the day of moving in that is told, not that of the plate; "heads": how many
    so many ports give.
    """

    crop: str | None = None
    per_week: str | None = None
    by: str | None = None
    sown: str | None = None
    warmth: str | None = None
    germination: str | None = None
    days: str | None = None
    tower: str | None = None
    moving: str | None = None
    ports: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ports:
    """What grows where, and which ports are empty."""

    tower: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlant:
    """A plug into each of some ports; instead: what stands there is cleared first."""

    crop: str | None = None
    ports: str | None = None
    sown: str | None = None
    planted: str | None = None
    tower: str | None = None
    instead: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PortMove:
    """A plug into another port; both taken: they change places (`swap`)."""

    port: str | None = None
    to: str | None = None
    tower: str | None = None
    swap: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PortClear:
    """Ports emptied. how: harvested, failed or cleared; why: in the person's words."""

    ports: str | None = None
    how: str | None = None
    why: str | None = None
    tower: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvest:
    """What was picked, any unit, several crops at once; ports: emptied by it."""

    what: str | None = None
    ports: str | None = None
    tower: str | None = None
    at: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptoms:
    """A sick plant: where on the tower, which leaves, what roots, what the last readings were.

    text: what was told of it before it was asked.
    """

    where: str | None = None
    leaves: str | None = None
    roots: str | None = None
    readings: str | None = None
    text: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What is left of a bottle, seeds, the spare pump; no item: all of it. undo: as it was before.

    use: how much a week, planned: kept for a full change.
    """

    item: str | None = None
    left: str | None = None
    size: str | None = None
    use: str | None = None
    planned: str | None = None
    lead: str | None = None
    undo: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plugs:
    """Plugs and seeds for a group."""

    people: str | None = None
    each: str | None = None
    spare: str | None = None
    seeds: str | None = None
    crop: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """A bill shared: total, shipping, shares in all (or each person's, with commas), and mine."""

    total: str | None = None
    shipping: str | None = None
    shares: str | None = None
    mine: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What a head has cost to grow, and against a shop's price what was saved."""

    costs: str | None = None
    heads: str | None = None
    shop: str | None = None
