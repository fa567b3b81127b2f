"""Everything kept about a person, as JSON in the exchange form and as CSV for a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import asdict, fields
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.clock import zone_of
from bot.records.answer import Answer, File, Line, line
from bot.records.book import Book, policy_keys
from bot.records.facts import Entry, Feed, Picked, Planting, Supply, Tower
from bot.records.questions import Export

FORM = 1
CSV_COLUMNS = ("tower", "at", "kind", "level_l", "ec", "ph", "water_c", "water_added_l", "amounts",
               "note", "by", "picked")  # fmt: skip
_A_MEMBER = "a member"
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_MEMBER_LEFT_OUT = ("id",)
_TOWER_LEFT_OUT = ("id",)


def export(question: Export, book: Book) -> Answer:
    """Two files: all of it, and the log as a table."""
    records = json.dumps(records_of(book), ensure_ascii=False, indent=1).encode()
    table = log_csv(book).encode("utf-8")
    return Answer(
        outcome="answer",
        intent="mydata",
        do=(
            line("data.export", entries=len(book.log), towers=len(book.towers) + len(book.packed)),
        ),
        check=(line("data.others"), *_elsewhere(book), *_should_i_leave(book)),
        files=(File(name="tankwren.json", data=records), File(name="tankwren-log.csv", data=table)),
    )


def _elsewhere(book: Book) -> tuple[Line, ...]:
    """Somebody in several communities has records in each."""
    if book.kept < 2:
        return ()
    return (line("data.one_community", community=book.community.name),)


def _should_i_leave(book: Book) -> tuple[Line, ...]:
    """How long records outlive the bot's place in a community."""
    return (line("data.left", community=book.community.name),) if book.community.id else ()


def records_of(book: Book) -> dict[str, Any]:
    """The person's records in the exchange form; other people appear as "a member"."""
    zone = zone_of(book.member.time_zone)
    return {
        "form": FORM,
        "now": book.now.astimezone(zone).isoformat(),
        "member": {
            f.name: getattr(book.member, f.name)
            for f in fields(book.member)
            if f.name not in _MEMBER_LEFT_OUT
        },
        "policy": _policy(book),
        "feeds": [_feed(feed) for feed in book.feeds],
        "towers": [
            *(_tower(tower, packed=False) for tower in book.towers),
            *(_tower(tower, packed=True) for tower in book.packed),
        ],
        "log": [_entry(entry, zone, book) for entry in book.log],
        "plantings": [_planting(one) for one in book.plantings],
        "stock": [_supply(one, zone) for one in book.supplies],
    }


def _policy(book: Book) -> dict[str, Any]:
    values: dict[str, Any] = {key: book.rule(key).value for key in policy_keys()}
    window = ("transplant_from_days", "transplant_to_days")
    values["transplant_days"] = [values[key] for key in window]
    values["crops"] = [
        {"name": name, "days_to_harvest": days} for name, days in book.crop_days.items()
    ]
    return values


def _feed(feed: Feed) -> dict[str, Any]:
    parts = [
        {key: value for key, value in asdict(part).items() if value is not None and value != ()}
        for part in feed.parts
    ]
    return {
        "name": feed.name,
        "parts": parts,
        "ec_gain_ms_per_cm": feed.ec_gain_ms_per_cm,
        "own": feed.own,
    }


def _tower(tower: Tower, *, packed: bool) -> dict[str, Any]:
    facts = {
        key: value.isoformat() if isinstance(value, date) else value
        for key, value in asdict(tower).items()
        if key not in _TOWER_LEFT_OUT
    }
    return {**facts, "shared_with": [_A_MEMBER for _ in tower.shared_with], "packed": packed}


def _entry(entry: Entry, zone: ZoneInfo, book: Book) -> dict[str, Any]:
    dry = {part.name for feed in book.feeds for part in feed.parts if part.dry}
    return {
        "tower": entry.tower,
        "at": entry.at.astimezone(zone).isoformat(),
        "kind": entry.kind,
        "level_l": entry.level_l,
        "ec": entry.ec,
        "ph": entry.ph,
        "water_c": entry.water_c,
        "water_added_l": entry.water_added_l,
        "amounts": [
            {"name": name, "g" if name in dry else "ml": amount} for name, amount in entry.amounts
        ],
        "by": book.member.name if entry.mine else _A_MEMBER,
        "note": entry.note if entry.mine else "",
        "picked": [asdict(one) for one in entry.picked],
    }


def _planting(one: Planting) -> dict[str, Any]:
    return {
        key: value.isoformat() if isinstance(value, date) else value
        for key, value in asdict(one).items()
        if key != "id"
    }


def _supply(one: Supply, zone: ZoneInfo) -> dict[str, Any]:
    """In the keys of the exchange form; a full one's size in the unit of what is left."""
    left: dict[str, float | None] = {"left_ml": None, "left_g": None, "left_count": None}
    left[{"mL": "left_ml", "g": "left_g"}.get(one.unit, "left_count")] = one.left
    told = {"size_ml": one.size, "week": one.week, "lead_days": one.lead_days}
    return {"item": one.item, **left, **told, "at": one.at.astimezone(zone).isoformat()}


def log_csv(book: Book) -> str:
    """The log as a table; a cell that a spreadsheet would take for a formula is quoted."""
    zone = zone_of(book.member.time_zone)
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(CSV_COLUMNS)
    for entry in book.log:
        row = _entry(entry, zone, book)
        amounts = "; ".join(f"{name} {amount:g}" for name, amount in entry.amounts)
        told = row | {"amounts": amounts, "picked": "; ".join(_picked(p) for p in entry.picked)}
        writer.writerow([_cell(told[c]) for c in CSV_COLUMNS])
    return out.getvalue()


def _picked(one: Picked) -> str:
    return f"{one.crop} {one.g:g} g" if one.g is not None else f"{one.crop} {one.count or 0}"


def _cell(value: str | float | datetime | None) -> str:
    if value is None:
        return ""
    text = str(value)
    if isinstance(value, str) and text.startswith(_FORMULA):
        return "'" + text
    return text
