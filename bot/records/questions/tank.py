"""What is asked about a tank: what goes in, what it reads, how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """How much of each part for fresh solution, or to put a mistake right (`poured`)."""

    tower: str | None = None
    water: str | None = None
    strength: str | None = None
    rate: str | None = None
    target: str | None = None
    feed: str | None = None
    poured: str | None = None
    tap: str | None = None
    stage: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUp:
    """Back to the line: how much water and feed. `added`: already poured in, now at `level`.

    depth: the tank's own depth at the full line; only: what if no more than this went in?
    """

    tower: str | None = None
    level: str | None = None
    ec: str | None = None
    target: str | None = None
    tank: str | None = None
    tap: str | None = None
    strength: str | None = None
    added: str | None = None
    swap: str | None = None
    depth: str | None = None
    only: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Is this reading all right?"""

    tower: str | None = None
    ec: str | None = None
    ph: str | None = None
    temp: str | None = None
    level: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ph:
    """The jug test: `drops` brought a `jug` to the middle of the band; how much for the tank.

    added: this much pH-down went in (a button).
    """

    tower: str | None = None
    drops: str | None = None
    level: str | None = None
    ph: str | None = None
    jug: str | None = None
    per_ml: str | None = None
    tank: str | None = None
    added: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What a water is good for: tap, softened, well, rain, ro; treated: chlorine, chloramine.

    save: keep it with the tower.
    """

    tower: str | None = None
    water: str | None = None
    hardness: str | None = None
    alkalinity: str | None = None
    sodium: str | None = None
    calcium: str | None = None
    chloride: str | None = None
    sulphate: str | None = None
    treated: str | None = None
    left: str | None = None
    save: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """Warm tank water: what cools it, and how long the tank lasts in the heat.

    bottle: what the bottles of ice hold. air: the day's heat instead: each tower outdoors, by it.
    """

    tower: str | None = None
    temp: str | None = None
    to: str | None = None
    level: str | None = None
    bottle: str | None = None
    air: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outage:
    """No water at the roots. step: pump, runs, nudge (`every` minutes), back; heat: hot, mild."""

    tower: str | None = None
    step: str | None = None
    heat: str | None = None
    every: str | None = None
    lasted: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clean:
    """An empty tank cleaned. label: the bleach's percentage; level: filled so far only;
    beside: what else is to go in.

    done: it was cleaned (a button).
    """

    tower: str | None = None
    label: str | None = None
    water: str | None = None
    level: str | None = None
    beside: str | None = None
    done: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Days away from a tower: does the tank last, and what a helper has to do.

    depth: the tank's own depth at the full line; leaving: the day; sheet: the page for the helper.
    """

    tower: str | None = None
    days: str | None = None
    use: str | None = None
    level: str | None = None
    pump_line: str | None = None
    tank: str | None = None
    depth: str | None = None
    leaving: str | None = None
    sheet: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """When a tank comes down to a mark: two levels and the days between, or the log's own pace.

    mark: a level, or "pump line" for the tower's own.
    """

    tower: str | None = None
    before: str | None = None
    after: str | None = None
    days: str | None = None
    added: str | None = None
    mark: str | None = None
    use: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """Is a drop of `lost` in `hours` a leak, against a normal `use` a day?

    before, level: what was there and what is now (without `before`, the log tells).
    rise: there is more than before. found: what it was after all, "leak" (`where`) or "thirst".
    """

    tower: str | None = None
    lost: str | None = None
    hours: str | None = None
    use: str | None = None
    before: str | None = None
    level: str | None = None
    tank: str | None = None
    rise: str | None = None
    found: str | None = None
    where: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeDue:
    """When the next full change is due: since a day, with so much topped up.

    every: another stretch than the house's.
    """

    tower: str | None = None
    since: str | None = None
    added: str | None = None
    tank: str | None = None
    every: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Timer:
    """What a pump timer does, and what this kind of timer can be set to."""

    tower: str | None = None
    timer: str | None = None
    dial: str | None = None
    watts: str | None = None
    flow: str | None = None
    price: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """Light per day from strength and hours, or the hours for a wanted light per day.

    lux: a lux meter's reading, of a kind of `light`: sunlight, white_led, other.
    """

    tower: str | None = None
    ppfd: str | None = None
    hours: str | None = None
    dli: str | None = None
    lux: str | None = None
    light: str | None = None
    watts: str | None = None
    price: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """One's next seven days, all towers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveIn:
    """A tower brought inside: emptied first, and how long the lamp runs there."""

    tower: str | None = None
    ppfd: str | None = None
    dli: str | None = None
    hours: str | None = None
    timer: str | None = None
    tank: str | None = None
    level: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseAll:
    """Several tanks at once: those told, or all of one's towers.

    level: topped up, from one that is the same in all; missing: each tower with its own, "porch:
    down half; kitchen: added 4 gal".
    """

    tanks: str | None = None
    strength: str | None = None
    rate: str | None = None
    level: str | None = None
    missing: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Convert:
    """An amount, a reading or a label rate in another unit; a rate: for the water of `tank`, or of
    the tower's own.
    """

    amount: str | None = None
    to: str | None = None
    tank: str | None = None
    tower: str | None = None
