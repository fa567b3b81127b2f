"""Plantings, harvest, supplies and the coach's days of crops, from the exchange form."""

from __future__ import annotations

from datetime import datetime

from bot.records.facts import Picked, Planting, Supply
from bot.services.exchange.cells import (
    BadRecords,
    Json,
    between,
    date_of,
    get,
    name_of,
    need,
    one_of,
    rows_of,
    time_of,
    whole,
)
from bot.text import plain

STATUSES = ("growing", "harvested", "failed", "moved", "cleared")
_LONGEST_CROP = 40
_UNITS = (("left_ml", "mL"), ("left_g", "g"), ("left_count", "count"))


def planting_of(row: Json) -> Planting:
    """One plug in one port.

    Raises
    ------
    BadRecords
    """
    level, port = whole(row, "level"), whole(row, "port")
    if level is None or port is None:
        raise BadRecords("plantings: level and port are both needed")
    return Planting(
        tower=plain(need(row, "tower", str))[:64],
        level=level,
        port=port,
        crop=_crop(row),
        plants=whole(row, "plants") or 1,
        sown=date_of(row, "sown"),
        planted=date_of(row, "planted"),
        status=one_of(row, "status", str, STATUSES) or "growing",
    )


def picked_of(row: Json) -> tuple[Picked, ...]:
    """What a line of the log says was harvested."""
    return tuple(
        Picked(crop=_crop(one), g=between(one, "g", 0, 100_000), count=_count(one, "count"))
        for one in rows_of(row, "picked")[:20]
    )


def supply_of(row: Json, now: datetime) -> Supply:
    """What is left of one thing; told at `at`, or just now.

    Raises
    ------
    BadRecords
    """
    left = next(((between(row, key, 0, 1e6), unit) for key, unit in _UNITS if row.get(key)
                 is not None), (0.0, "mL"))  # fmt: skip
    at = get(row, "at", str)
    return Supply(
        item=name_of({"name": need(row, "item", str)})[:40],
        left=left[0] or 0.0,
        unit=left[1],
        size=between(row, "size_ml", 0, 1e6),
        week=between(row, "week", 0, 1e6),
        lead_days=_count(row, "lead_days"),
        at=time_of(at, "at") if at else now,
    )


def crop_days_of(policy: Json) -> dict[str, float]:
    """The coach's days from seed to plate, by crop."""
    found = {}
    for row in rows_of(policy, "crops"):
        days = between(row, "days_to_harvest", 1, 400)
        if days is not None:
            found[_crop({"crop": need(row, "name", str)}).casefold()] = days
    return found


def _crop(row: Json) -> str:
    return name_of({"name": need(row, "crop", str)})[:_LONGEST_CROP]


def _count(row: Json, key: str) -> int | None:
    value = between(row, key, 0, 10_000)
    return None if value is None else int(value)
