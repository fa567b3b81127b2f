"""The plain form of a person's records (JSON) -> a Book; `services.own.export` writes it.

Unknown keys are ignored and missing ones are unknown facts, so that other versions' files read;
a value of the wrong kind is refused with the path to it.

cells   one value
people  member, feeds, towers, log
plants  plantings, harvest, supplies
"""

from __future__ import annotations

from datetime import datetime

from bot.records.book import Book
from bot.services.exchange.cells import LONGEST_NAME, BadRecords, Json, get, rows_of, time_of
from bot.services.exchange.people import (
    KINDS,
    entry_of,
    feed_of,
    member_of,
    policy_of,
    seen_of,
    tower_of,
)
from bot.services.exchange.plants import crop_days_of, planting_of, supply_of


def book(records: Json, *, now: datetime) -> Book:
    """The Book that records in the exchange form describe.

    now: used where the records carry none.

    Raises
    ------
    BadRecords
    """
    if not isinstance(records, dict):
        raise BadRecords("records: not an object")
    said = get(records, "now", str)
    now = time_of(said, "now") if said else now
    policy = get(records, "policy", dict) or {}
    who = member_of(get(records, "member", dict) or {})
    # Of a tower whose tank nobody has measured nothing can be worked out: it is as good as none.
    measured = [row for row in rows_of(records, "towers") if row.get("tank_l", 0) is not None]
    towers = [(tower_of(row), bool(get(row, "packed", bool))) for row in measured]
    return Book(
        now=now,
        member=who,
        feeds=tuple(feed_of(row) for row in rows_of(records, "feeds")),
        towers=tuple(tower for tower, packed in towers if not packed),
        packed=tuple(tower for tower, packed in towers if packed),
        policy=policy_of(policy),
        log=tuple(entry_of(row, who.name) for row in rows_of(records, "log")),
        plantings=tuple(planting_of(row) for row in rows_of(records, "plantings")),
        supplies=tuple(supply_of(row, now) for row in rows_of(records, "stock")),
        crop_days=crop_days_of(policy),
        people=tuple(seen_of(row) for row in rows_of(records, "members")),
    )


__all__ = ["KINDS", "LONGEST_NAME", "BadRecords", "Json", "book"]
