"""A member, their feeds, towers and log, from the exchange form."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfoNotFoundError

from bot.clock import zone_of
from bot.records.book import policy_keys
from bot.records.facts import ELEMENTS, WATERS, Entry, Feed, Member, Part, PolicyValue, Seen, Tower
from bot.services.exchange.cells import (
    LONGEST_NAME,
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
from bot.services.exchange.plants import picked_of
from bot.services.shape import MOST_MARKS
from bot.text import plain
from calc.errors import CalcError
from calc.learning import GAIN_BOUNDS, level_from_marks

_MOST_PARTS = 12
_CURRENCY = re.compile(r"[A-Z]{3}")
KINDS = ("level", "topup", "dose", "change", "ec", "ph", "harvest", "clean", "outage", "note",
         "tank", "leak", "no_leak")  # fmt: skip
_LARGEST_RULE = 1000.0


def member_of(row: Json) -> Member:
    zone = get(row, "time_zone", str) or "UTC"
    try:
        zone_of(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadRecords(f"time_zone: {zone[:60]!r} is no zone") from None
    return Member(
        name=plain(get(row, "name", str) or "")[:100],
        role=get(row, "role", str) or "member",
        units=one_of(row, "units", str, ("us", "metric", "uk")) or "metric",
        time_zone=zone,
        gallon=one_of(row, "gallon", str, ("us", "uk")),
        tds_scale=one_of(row, "tds_scale", int, (500, 640, 700)),
        finger_mm=between(row, "finger_mm", 5, 50),
        jug_l=between(row, "jug_l", 0.05, 200),
        drops_per_ml=between(row, "drops_per_ml", 1, 100),
        has_ec_meter=get(row, "has_ec_meter", bool),
        morning=_clock(row, "morning") or "08:00",
        quiet_from=_clock(row, "quiet_from"),
        quiet_to=_clock(row, "quiet_to"),
        private_answers=bool(get(row, "private_answers", bool)),
        currency=_currency(row),
    )


def _currency(row: Json) -> str:
    text = get(row, "currency", str) or "USD"
    if not _CURRENCY.fullmatch(text):
        raise BadRecords(f"currency: {text[:20]!r} is no code of three capitals")
    return text


def _clock(row: Json, key: str) -> str | None:
    text = get(row, key, str)
    if text is not None and not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", text):
        raise BadRecords(f"{key}: {text[:60]!r} is no time of day")
    return text


def feed_of(row: Json) -> Feed:
    parts = tuple(
        Part(
            name=name_of(part)[:32],
            ml_per_l=between(part, "ml_per_l", 0.001, 50),
            g_per_l=between(part, "g_per_l", 0.001, 50),
            label=_label(part),
            kg_per_l=between(part, "kg_per_l", 0.7, 2.0),
        )
        for part in rows_of(row, "parts")
    )
    for part in parts:
        if (part.ml_per_l is None) == (part.g_per_l is None):
            raise BadRecords(f"parts: {part.name!r} needs one of ml_per_l and g_per_l")
    gain = between(row, "ec_gain_ms_per_cm", 0.05, 10)
    own = bool(get(row, "own", bool))
    return Feed(name=name_of(row)[:64], parts=parts, ec_gain_ms_per_cm=gain, own=own)


def _label(part: Json) -> tuple[tuple[str, float], ...]:
    """What a part's label says is in it: pairs of a name and per cent."""
    told = get(part, "label", list) or []
    pairs = [pair for pair in told if isinstance(pair, list) and len(pair) == 2]
    shares = [(str(name), between({"label": share}, "label", 0, 100)) for name, share in pairs]
    if len(pairs) != len(told) or any(name not in ELEMENTS for name, _ in shares):
        raise BadRecords(f"label: {str(told)[:60]!r} is no label of elements")
    return tuple((name, share or 0.0) for name, share in shares)


def tower_of(row: Json) -> Tower:
    return Tower(
        name=name_of(row),
        tank_l=between({"tank_l": need(row, "tank_l", float)}, "tank_l", 0.05, 10_000) or 0.0,
        full_depth_cm=between(row, "full_depth_cm", 1, 500),
        place=one_of(row, "place", str, ("indoor", "outdoor")),
        target_ec=between(row, "target_ec", 0, 5),
        water_ec=between(row, "water_ec", 0, 5),
        strength=between(row, "strength", 0.01, 2),
        pump_min_l=between(row, "pump_min_l", 0, 10000),
        refill_at_fraction=between(row, "refill_at_fraction", 0.01, 1),
        levels=whole(row, "levels"),
        ports_per_level=whole(row, "ports_per_level"),
        feed=plain(get(row, "feed", str) or "")[:LONGEST_NAME] or None,
        timer_kind=one_of(row, "timer_kind", str, ("dial", "digital")),
        timer_step_min=between(row, "timer_step_min", 1, 120),
        timer_on_min=between(row, "timer_on_min", 0, 1440),
        timer_off_min=between(row, "timer_off_min", 0, 1440),
        pump_w=between(row, "pump_w", 0, 5000),
        pump_l_per_h=between(row, "pump_l_per_h", 0, 20000),
        light_ppfd=between(row, "light_ppfd", 0, 3000),
        light_h=between(row, "light_h", 0, 24),
        light_w=between(row, "light_w", 0, 5000),
        water=one_of(row, "water", str, WATERS),
        hardness_mg_per_l=between(row, "hardness_mg_per_l", 0, 2000),
        alkalinity_mg_per_l=between(row, "alkalinity_mg_per_l", 0, 2000),
        stage=one_of(row, "stage", str, ("coming", "empty", "growing")),
        arrives_on=date_of(row, "arrives_on"),
        sown_on=date_of(row, "sown_on"),
        moved_in_on=date_of(row, "moved_in_on"),
        set_on=date_of(row, "set_on"),
        jug_marks=_marks(row),
        **_learned(row),
        shared_with=tuple(
            plain(str(name))[:100] for name in (get(row, "shared_with", list) or [])[:50]
        ),
    )


def _learned(row: Json) -> dict[str, Any]:
    """What its fills have taught; without how many and until when it is nothing."""
    factor = between(row, "gain_factor", *GAIN_BOUNDS)
    fills, on = whole(row, "learned_fills"), date_of(row, "learned_on")
    if factor is None or fills is None or on is None:
        return {"learned_on": on}
    return {"gain_factor": factor, "learned_fills": fills, "learned_on": on}


def _marks(row: Json) -> tuple[tuple[float, float], ...]:
    """What stood in the tank at a depth: pairs that rise together."""
    told = get(row, "jug_marks", list) or []
    bad = BadRecords(f"jug_marks: {str(told)[:60]!r} are no marks that rise together")
    if not all(isinstance(one, list) and len(one) == 2 for one in told) or len(told) > MOST_MARKS:
        raise bad
    found = tuple(
        (between({"L": litres}, "L", 0, 10_000) or 0.0, between({"cm": cm}, "cm", 0, 500) or 0.0)
        for litres, cm in told
    )
    try:
        if found:
            level_from_marks(depth_cm=0.0, marks_any=found)
    except CalcError:
        raise bad from None
    if found and found[-1][0] > 1.03 * (get(row, "tank_l", float) or 0.0):
        raise bad
    return found


def policy_of(row: Json) -> dict[str, PolicyValue]:
    values = {
        key: PolicyValue(value=between(row, key, 0, _LARGEST_RULE))
        for key in policy_keys()
        if key in row
    }
    window = get(row, "transplant_days", list)
    if window and len(window) == 2:
        for key, day in zip(("transplant_from_days", "transplant_to_days"), window, strict=True):
            values[key] = PolicyValue(value=get({key: day}, key, float))
    return values


def seen_of(row: Json) -> Seen:
    """A member as their coach sees them."""
    moments = {}
    for key in ("last_log_at", "last_change_at", "joined"):
        text = get(row, key, str)
        moments[key] = time_of(text, key) if text else None
    dry = [at for one in rows_of(row, "towers") if (at := _dry_at(one)) is not None]
    return Seen(
        name=plain(need(row, "name", str))[:LONGEST_NAME], dry_at=min(dry, default=None), **moments
    )


def _dry_at(row: Json) -> datetime | None:
    """When a tank comes to its pump line, at its plain rate."""
    level, use = get(row, "level_l", float), get(row, "use_l_per_day", float)
    at = get(row, "level_at", str)
    if level is None or not use or at is None:
        return None
    days = max(0.0, level - (get(row, "pump_min_l", float) or 0.0)) / use
    return time_of(at, "level_at") + timedelta(days=min(days, 400.0))


def entry_of(row: Json, me: str) -> Entry:
    by = plain(get(row, "by", str) or "")[:100]
    kind = need(row, "kind", str)
    if kind not in KINDS:
        raise BadRecords(f"kind: {kind[:60]!r} is none of {KINDS}")
    return Entry(
        tower=plain(need(row, "tower", str))[:LONGEST_NAME],
        at=time_of(need(row, "at", str), "at"),
        kind=kind,
        level_l=between(row, "level_l", 0, 10_000),
        ec=between(row, "ec", 0, 20),
        ph=between(row, "ph", 0, 14),
        water_c=between(row, "water_c", -10, 60),
        water_added_l=between(row, "water_added_l", 0, 10_000),
        amounts=_amounts(row),
        note=plain(get(row, "note", str) or "")[:200],
        by=by,
        mine=by in ("", me),
        picked=picked_of(row),
    )


def _amounts(row: Json) -> tuple[tuple[str, float], ...]:
    parts = rows_of(row, "amounts")
    if len(parts) > _MOST_PARTS:
        raise BadRecords(f"amounts: {len(parts)} parts are more than any feed has")
    return tuple(_amount(part) for part in parts)


def _amount(part: Json) -> tuple[str, float]:
    value = between(part, "ml", 0, 20_000)
    if value is None:
        value = between({"g": need(part, "g", float)}, "g", 0, 20_000)
    return name_of(part)[:32], value or 0.0
