"""One value of a record: of the right kind, inside its range, or refused with its path."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import TypeVar

from bot.text import plain

T = TypeVar("T")
Json = Mapping[str, object]
LONGEST_NAME = 64
_YEARS = range(2000, 2100)
_LARGEST_WHOLE = 10**15


class BadRecords(ValueError):
    """Records that cannot be read; the message names the key and what stands there."""


def get(row: Json, key: str, kind: type[T]) -> T | None:
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


def between(row: Json, key: str, low: float, high: float) -> float | None:
    value = get(row, key, float)
    if value is not None and not low <= value <= high:
        raise BadRecords(f"{key}: {value!r} is outside {low} to {high}")
    return value


def whole(row: Json, key: str) -> int | None:
    value = get(row, key, int)
    if value is not None and not 1 <= value <= 100:
        raise BadRecords(f"{key}: {str(value)[:20]} is outside 1 to 100")
    return value


def one_of(row: Json, key: str, kind: type[T], allowed: tuple[T, ...]) -> T | None:
    value = get(row, key, kind)
    if value is not None and value not in allowed:
        raise BadRecords(f"{key}: {str(value)[:60]!r} is none of {allowed}")
    return value


def rows_of(records: Json, key: str) -> list[Json]:
    rows = get(records, key, list) or []
    for row in rows:
        if not isinstance(row, dict):
            raise BadRecords(f"{key}: {str(row)[:60]!r} is no object")
    return rows


def need(row: Json, key: str, kind: type[T]) -> T:
    value = get(row, key, kind)
    if value is None:
        raise BadRecords(f"{key}: missing")
    return value


def time_of(text: str, key: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise BadRecords(f"{key}: {text[:60]!r} is no ISO time") from None
    if at.tzinfo is None:
        raise BadRecords(f"{key}: {text!r} has no offset")
    if at.year not in _YEARS:
        raise BadRecords(f"{key}: {text[:60]!r} is out of range")
    return at.astimezone(UTC)


def date_of(row: Json, key: str) -> date | None:
    text = get(row, key, str)
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadRecords(f"{key}: {text[:60]!r} is no date") from None
    if day.year not in _YEARS:
        raise BadRecords(f"{key}: {text[:60]!r} is out of range")
    return day


def name_of(row: Json) -> str:
    """A name of a person's own: plain, and short enough for every place that shows it."""
    name = plain(need(row, "name", str))
    if not 1 <= len(name) <= LONGEST_NAME:
        raise BadRecords(f"name: {name[:40]!r} is not 1 to {LONGEST_NAME} characters long")
    return name
