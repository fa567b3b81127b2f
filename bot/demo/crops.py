"""What grows in the towers and how thirsty it is, stage by stage.

References
----------
Litres per mature plant and day are common practice among growers, no citable source held: lettuce
0.1-0.25 outdoors and 0.05-0.15 indoors, basil and strawberry 0.1-0.3, pepper 0.7-2, tomato 1-3,
cucumber 1.5-3, a seedling a fifth. The norms below sit inside those ranges so that the season's
swing stays inside them too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

SEEDLING: Final = 0.2  # share of a mature plant's thirst
_SETTLING_DAYS: Final = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A crop's thirst and rhythm. Norms in L per mature plant and day at average weather."""

    outdoor_l: float
    indoor_l: float
    ports: int = 1
    warm: bool = False
    grown_after_days: int = 35
    taken_after_days: int | None = None  # pulled whole, a seedling follows; None = stays
    cut_every_days: int | None = None
    cut_to: float = 1.0


CROPS: Final[dict[str, Crop]] = {
    "lettuce": Crop(outdoor_l=0.18, indoor_l=0.1, taken_after_days=42),
    "basil": Crop(outdoor_l=0.19, indoor_l=0.16, warm=True, cut_every_days=16, cut_to=0.65),
    "strawberry": Crop(outdoor_l=0.2, indoor_l=0.16, grown_after_days=45),
    "pepper": Crop(outdoor_l=1.2, indoor_l=0.95, ports=2, warm=True, grown_after_days=60),
    "tomato": Crop(outdoor_l=1.8, indoor_l=1.4, ports=3, warm=True, grown_after_days=60),
    "cucumber": Crop(outdoor_l=2.2, indoor_l=1.8, ports=3, warm=True, grown_after_days=45),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Plants of one crop moved in together; `age_d` on the day the season starts."""

    crop: str
    plants: int
    age_d: int


def stage(crop: Crop, age_d: int) -> float:
    """Thirst as a share of a mature plant's, 0.2 to 1, `age_d` days after moving in."""
    if crop.taken_after_days is not None:
        age_d %= crop.taken_after_days
    if age_d <= _SETTLING_DAYS:
        return SEEDLING
    grown = min(1.0, (age_d - _SETTLING_DAYS) / (crop.grown_after_days - _SETTLING_DAYS))
    size = SEEDLING + (1 - SEEDLING) * grown
    if crop.cut_every_days is None or grown < 1:
        return size
    since_cut = (age_d - crop.grown_after_days) % crop.cut_every_days
    return size * (crop.cut_to + (1 - crop.cut_to) * since_cut / crop.cut_every_days)


def harvested(crop: Crop, age_d: int) -> bool:
    """Whether plants of that age are taken or cut today."""
    if age_d <= 0:
        return False
    if crop.taken_after_days is not None:
        return age_d % crop.taken_after_days == 0
    over = age_d - crop.grown_after_days
    if over < 0:
        return False
    every = crop.cut_every_days or 6  # ripe fruit is picked about weekly
    return over % every == 0


def thirst_l(batches: tuple[Batch, ...], day: int, *, outdoor: bool) -> float:
    """What all the plants would drink on an average day, [L/d], `day` days into the season."""
    total = 0.0
    for batch in batches:
        crop = CROPS[batch.crop]
        norm = crop.outdoor_l if outdoor else crop.indoor_l
        total += batch.plants * norm * stage(crop, batch.age_d + day)
    return total


def for_the_cold(planted: tuple[tuple[str, int], ...]) -> tuple[tuple[str, int], ...]:
    """The same ports in a cold season, when basil and tomatoes would die outdoors: lettuce."""
    counts: dict[str, int] = {}
    for name, plants in planted:
        crop = CROPS[name]
        kept = "lettuce" if crop.warm else name
        counts[kept] = counts.get(kept, 0) + plants * (crop.ports if crop.warm else 1)
    return tuple(counts.items())
