"""The plain form of a person's records (JSON) -> a Book; `services.own.export` writes it.

Unknown keys are ignored and missing ones are unknown facts, so that other versions' files read;
a value of the wrong kind is refused with the path to it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import TypeVar
from zoneinfo import ZoneInfoNotFoundError

from bot.clock import zone_of
from bot.records.book import Book, policy_keys
from bot.records.facts import Entry, Feed, Member, Part, PolicyValue, Tower
from bot.text import plain

T = TypeVar("T")
LONGEST_NAME = 64
_MOST_PARTS = 12
_YEARS = range(2000, 2100)
_CURRENCY = re.compile(r"[A-Z]{3}")
KINDS = ("level", "topup", "dose", "change", "ec", "ph", "harvest", "clean", "outage", "note")
_LARGEST_RULE = 1000.0
_LARGEST_WHOLE = 10**15
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
    if not isinstance(records, dict):
        raise BadRecords("records: not an object")
    said = _get(records, "now", str)
    who = _member(_get(records, "member", dict) or {})
    towers = [(_tower(row), bool(_get(row, "packed", bool))) for row in _rows(records, "towers")]
    return Book(
        now=_time(said, "now") if said else now,
        member=who,
        feeds=tuple(_feed(row) for row in _rows(records, "feeds")),
        towers=tuple(tower for tower, packed in towers if not packed),
        packed=tuple(tower for tower, packed in towers if packed),
        policy=_policy(_get(records, "policy", dict) or {}),
        log=tuple(_entry(row, who.name) for row in _rows(records, "log")),
    )


def _get(row: Json, key: str, kind: type[T]) -> T | None:
    value = row.get(key)
    if value is None:
        return None
    if kind is float and isinstance(value, int) and not isinstance(value, bool):
        value = float(value) if abs(value) < _LARGEST_WHOLE else float("inf")
    if not isinstance(value, kind) or (kind is not bool and isinstance(value, bool)):
        raise BadRecords(f"{key}: {str(value)[:60]!r} is no {kind.__name__}")
    if isinstance(value, float) and not abs(value) < 1e9:
        raise BadRecords(f"{key}: {value!r} is out of range")
    return value


def _between(row: Json, key: str, low: float, high: float) -> float | None:
    value = _get(row, key, float)
    if value is not None and not low <= value <= high:
        raise BadRecords(f"{key}: {value!r} is outside {low} to {high}")
    return value


def _whole(row: Json, key: str) -> int | None:
    value = _get(row, key, int)
    if value is not None and not 1 <= value <= 100:
        raise BadRecords(f"{key}: {str(value)[:20]} is outside 1 to 100")
    return value


def _one_of(row: Json, key: str, kind: type[T], allowed: tuple[T, ...]) -> T | None:
    value = _get(row, key, kind)
    if value is not None and value not in allowed:
        raise BadRecords(f"{key}: {str(value)[:60]!r} is none of {allowed}")
    return value


def _rows(records: Json, key: str) -> list[Json]:
    rows = _get(records, key, list) or []
    for row in rows:
        if not isinstance(row, dict):
            raise BadRecords(f"{key}: {str(row)[:60]!r} is no object")
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
        raise BadRecords(f"{key}: {text[:60]!r} is no ISO time") from None
    if at.tzinfo is None:
        raise BadRecords(f"{key}: {text!r} has no offset")
    if at.year not in _YEARS:
        raise BadRecords(f"{key}: {text[:60]!r} is out of range")
    return at.astimezone(UTC)


def _member(row: Json) -> Member:
    zone = _get(row, "time_zone", str) or "UTC"
    try:
        zone_of(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadRecords(f"time_zone: {zone[:60]!r} is no zone") from None
    return Member(
        name=plain(_get(row, "name", str) or "")[:100],
        role=_get(row, "role", str) or "member",
        units=_one_of(row, "units", str, ("us", "metric", "uk")) or "metric",
        time_zone=zone,
        gallon=_one_of(row, "gallon", str, ("us", "uk")),
        tds_scale=_one_of(row, "tds_scale", int, (500, 640, 700)),
        finger_mm=_between(row, "finger_mm", 5, 50),
        jug_l=_between(row, "jug_l", 0.05, 200),
        drops_per_ml=_between(row, "drops_per_ml", 1, 100),
        has_ec_meter=_get(row, "has_ec_meter", bool),
        morning=_clock(row, "morning") or "08:00",
        quiet_from=_clock(row, "quiet_from"),
        quiet_to=_clock(row, "quiet_to"),
        private_answers=bool(_get(row, "private_answers", bool)),
        currency=_currency(row),
    )


def _currency(row: Json) -> str:
    text = _get(row, "currency", str) or "USD"
    if not _CURRENCY.fullmatch(text):
        raise BadRecords(f"currency: {text[:20]!r} is no code of three capitals")
    return text


def _clock(row: Json, key: str) -> str | None:
    text = _get(row, key, str)
    if text is not None and not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", text):
        raise BadRecords(f"{key}: {text[:60]!r} is no time of day")
    return text


def _feed(row: Json) -> Feed:
    parts = tuple(
        Part(
            name=_name(part)[:32],
            ml_per_l=_between(part, "ml_per_l", 0.001, 50),
            g_per_l=_between(part, "g_per_l", 0.001, 50),
        )
        for part in _rows(row, "parts")
    )
    for part in parts:
        if (part.ml_per_l is None) == (part.g_per_l is None):
            raise BadRecords(f"parts: {part.name!r} needs one of ml_per_l and g_per_l")
    gain = _between(row, "ec_gain_ms_per_cm", 0.05, 10)
    own = bool(_get(row, "own", bool))
    return Feed(name=_name(row)[:64], parts=parts, ec_gain_ms_per_cm=gain, own=own)


def _name(row: Json) -> str:
    """A name of a person's own: plain, and short enough for every place that shows it."""
    name = plain(_need(row, "name", str))
    if not 1 <= len(name) <= LONGEST_NAME:
        raise BadRecords(f"name: {name[:40]!r} is not 1 to {LONGEST_NAME} characters long")
    return name


def _tower(row: Json) -> Tower:
    return Tower(
        name=_name(row),
        tank_l=_between({"tank_l": _need(row, "tank_l", float)}, "tank_l", 0.05, 10_000) or 0.0,
        full_depth_cm=_between(row, "full_depth_cm", 1, 500),
        place=_one_of(row, "place", str, ("indoor", "outdoor")),
        target_ec=_between(row, "target_ec", 0, 5),
        water_ec=_between(row, "water_ec", 0, 5),
        strength=_between(row, "strength", 0.01, 2),
        pump_min_l=_between(row, "pump_min_l", 0, 10000),
        refill_at_fraction=_between(row, "refill_at_fraction", 0.01, 1),
        levels=_whole(row, "levels"),
        ports_per_level=_whole(row, "ports_per_level"),
        feed=plain(_get(row, "feed", str) or "")[:LONGEST_NAME] or None,
        timer_kind=_one_of(row, "timer_kind", str, ("dial", "digital")),
        timer_step_min=_between(row, "timer_step_min", 1, 120),
        timer_on_min=_between(row, "timer_on_min", 0, 1440),
        timer_off_min=_between(row, "timer_off_min", 0, 1440),
        pump_w=_between(row, "pump_w", 0, 5000),
        pump_l_per_h=_between(row, "pump_l_per_h", 0, 20000),
        light_ppfd=_between(row, "light_ppfd", 0, 3000),
        light_h=_between(row, "light_h", 0, 24),
        light_w=_between(row, "light_w", 0, 5000),
        stage=_one_of(row, "stage", str, ("coming", "empty", "growing")),
        arrives_on=_date(row, "arrives_on"),
        sown_on=_date(row, "sown_on"),
        set_on=_date(row, "set_on"),
        shared_with=tuple(
            plain(str(name))[:100] for name in (_get(row, "shared_with", list) or [])[:50]
        ),
    )


def _policy(row: Json) -> dict[str, PolicyValue]:
    values = {
        key: PolicyValue(value=_between(row, key, 0, _LARGEST_RULE))
        for key in policy_keys()
        if key in row
    }
    window = _get(row, "transplant_days", list)
    if window and len(window) == 2:
        for key, day in zip(("transplant_from_days", "transplant_to_days"), window, strict=True):
            values[key] = PolicyValue(value=_get({key: day}, key, float))
    return values


def _date(row: Json, key: str) -> date | None:
    text = _get(row, key, str)
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadRecords(f"{key}: {text[:60]!r} is no date") from None
    if day.year not in _YEARS:
        raise BadRecords(f"{key}: {text[:60]!r} is out of range")
    return day


def _entry(row: Json, me: str) -> Entry:
    by = plain(_get(row, "by", str) or "")[:100]
    kind = _need(row, "kind", str)
    if kind not in KINDS:
        raise BadRecords(f"kind: {kind[:60]!r} is none of {KINDS}")
    return Entry(
        tower=plain(_need(row, "tower", str))[:LONGEST_NAME],
        at=_time(_need(row, "at", str), "at"),
        kind=kind,
        level_l=_between(row, "level_l", 0, 10_000),
        ec=_between(row, "ec", 0, 20),
        ph=_between(row, "ph", 0, 14),
        water_c=_between(row, "water_c", -10, 60),
        water_added_l=_between(row, "water_added_l", 0, 10_000),
        amounts=_amounts(row),
        note=plain(_get(row, "note", str) or "")[:200],
        by=by,
        mine=by in ("", me),
    )


def _amounts(row: Json) -> tuple[tuple[str, float], ...]:
    parts = _rows(row, "amounts")
    if len(parts) > _MOST_PARTS:
        raise BadRecords(f"amounts: {len(parts)} parts are more than any feed has")
    return tuple(_amount(part) for part in parts)


def _amount(part: Json) -> tuple[str, float]:
    value = _between(part, "ml", 0, 20_000)
    if value is None:
        value = _between({"g": _need(part, "g", float)}, "g", 0, 20_000)
    return _name(part)[:32], value or 0.0
