"""Which plug stands in which port of a demo tower: tall and thirsty plants low, the rest above."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from bot.demo.crops import CROPS, Batch
from bot.records.facts import Planting, Tower


def plantings(
    tower: Tower, batches: Sequence[Batch], first: date, until: date
) -> tuple[Planting, ...]:
    """The plugs that grow at the end of a season that began on `first`, port by port."""
    ports = [
        (level, port)
        for level in range(1, (tower.levels or 0) + 1)
        for port in range(1, (tower.ports_per_level or 0) + 1)
    ]
    wide_first = sorted(batches, key=lambda b: -CROPS[b.crop].ports)
    found: list[Planting] = []
    at = 0
    for batch in wide_first:
        planted = _planted(batch, first, until)
        for _ in range(batch.plants):
            if at >= len(ports):
                return tuple(found)
            level, port = ports[at]
            found.append(
                Planting(tower=tower.name, level=level, port=port, crop=batch.crop, planted=planted)
            )
            at += CROPS[batch.crop].ports
    return tuple(found)


def _planted(batch: Batch, first: date, until: date) -> date:
    """When the plants that stand there at the end were moved in."""
    taken = CROPS[batch.crop].taken_after_days
    age = batch.age_d + (until - first).days
    return until - timedelta(days=age % taken if taken else age)
