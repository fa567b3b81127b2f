"""The plain form of a person's records (JSON) -> a Book.

Unknown keys are ignored and missing ones are unknown facts, so that other versions' files read;
a value of the wrong kind is refused with the path to it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bot.records.book import Book, policy_keys
from bot.records.facts import Entry, Feed, Member, Part, PolicyValue, Tower

T = TypeVar("T")
Json = Mapping[str, object]


class BadRecords(ValueError):
    """Records that cannot be read; the message names the key and what stands there."""


def book(records: Json, *, now: datetime) -> Book:
    """The Book that records in the exchange form describe.

    now: used where the records carry none.

    Raises
    ------
    BadRecords
    """
    said = _get(records, "now", str)
    feeds = tuple(_feed(row) for row in _rows(records, "feeds"))
    return Book(
        now=_time(said, "now") if said else now,
        member=_member(_get(records, "member", dict) or {}),
        feeds=feeds,
        towers=tuple(_tower(row) for row in _rows(records, "towers")),
        policy=_policy(_get(records, "policy", dict) or {}),
        log=tuple(_entry(row) for row in _rows(records, "log")),
    )


def _get(row: Json, key: str, kind: type[T]) -> T | None:
    value = row.get(key)
    if value is None:
        return None
    if kind is float and isinstance(value, int) and not isinstance(value, bool):
        value = float(value)
    if not isinstance(value, kind) or (kind is not bool and isinstance(value, bool)):
        raise BadRecords(f"{key}: {value!r} is no {kind.__name__}")
    if isinstance(value, float) and not abs(value) < 1e9:
        raise BadRecords(f"{key}: {value!r} is out of range")
    return value


def _rows(records: Json, key: str) -> list[Json]:
    rows = _get(records, key, list) or []
    for row in rows:
        if not isinstance(row, dict):
            raise BadRecords(f"{key}: {row!r} is no object")
    return rows


def _need(row: Json, key: str, kind: type[T]) -> T:
    value = _get(row, key, kind)
    if value is None:
        raise BadRecords(f"{key}: missing")
    return value


def _time(text: str, key: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise BadRecords(f"{key}: {text!r} is no ISO time") from None
    if at.tzinfo is None:
        raise BadRecords(f"{key}: {text!r} has no offset")
    return at.astimezone(UTC)


def _member(row: Json) -> Member:
    zone = _get(row, "time_zone", str) or "UTC"
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError):
        raise BadRecords(f"time_zone: {zone!r} is no zone") from None
    return Member(
        name=_get(row, "name", str) or "",
        role=_get(row, "role", str) or "member",
        units=_get(row, "units", str) or "metric",
        time_zone=zone,
        gallon=_get(row, "gallon", str),
        tds_scale=_get(row, "tds_scale", int),
        finger_mm=_get(row, "finger_mm", float),
        jug_l=_get(row, "jug_l", float),
        drops_per_ml=_get(row, "drops_per_ml", float),
        has_ec_meter=_get(row, "has_ec_meter", bool),
        morning=_get(row, "morning", str) or "08:00",
        currency=_get(row, "currency", str) or "USD",
    )


def _feed(row: Json) -> Feed:
    parts = tuple(
        Part(
            name=_need(part, "name", str),
            ml_per_l=_get(part, "ml_per_l", float),
            g_per_l=_get(part, "g_per_l", float),
        )
        for part in _rows(row, "parts")
    )
    gain = _get(row, "ec_gain_ms_per_cm", float)
    return Feed(name=_need(row, "name", str), parts=parts, ec_gain_ms_per_cm=gain)


def _tower(row: Json) -> Tower:
    return Tower(
        name=_need(row, "name", str),
        tank_l=_need(row, "tank_l", float),
        full_depth_cm=_get(row, "full_depth_cm", float),
        place=_get(row, "place", str),
        target_ec=_get(row, "target_ec", float),
        water_ec=_get(row, "water_ec", float),
        strength=_get(row, "strength", float),
        pump_min_l=_get(row, "pump_min_l", float),
        refill_at_fraction=_get(row, "refill_at_fraction", float),
        levels=_get(row, "levels", int),
        ports_per_level=_get(row, "ports_per_level", int),
        feed=_get(row, "feed", str),
        timer_on_min=_get(row, "timer_on_min", float),
        timer_off_min=_get(row, "timer_off_min", float),
        pump_w=_get(row, "pump_w", float),
        light_ppfd=_get(row, "light_ppfd", float),
        shared_with=tuple(str(name) for name in _get(row, "shared_with", list) or []),
    )


def _policy(row: Json) -> dict[str, PolicyValue]:
    values = {key: PolicyValue(value=_get(row, key, float)) for key in policy_keys() if key in row}
    window = _get(row, "transplant_days", list)
    if window and len(window) == 2:
        for key, day in zip(("transplant_from_days", "transplant_to_days"), window, strict=True):
            values[key] = PolicyValue(value=_get({key: day}, key, float))
    return values


def _entry(row: Json) -> Entry:
    return Entry(
        tower=_need(row, "tower", str),
        at=_time(_need(row, "at", str), "at"),
        kind=_need(row, "kind", str),
        level_l=_get(row, "level_l", float),
        ec=_get(row, "ec", float),
        ph=_get(row, "ph", float),
        water_c=_get(row, "water_c", float),
        water_added_l=_get(row, "water_added_l", float),
        amounts=tuple(_amount(part) for part in _rows(row, "amounts")),
        by=_get(row, "by", str) or "",
    )


def _amount(part: Json) -> tuple[str, float]:
    value = _get(part, "ml", float)
    return _need(part, "name", str), value if value is not None else _need(part, "g", float)
