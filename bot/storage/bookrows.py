"""A row of the Book's query as facts."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Row

from bot.records.book import Book, Invitation, Open, shipped_policy
from bot.records.facts import (
    Community,
    Entry,
    Feed,
    Member,
    Note,
    Part,
    Picked,
    Planting,
    PolicyValue,
    Supply,
    Tower,
)
from bot.records.people import Asker
from bot.records.questions import from_json

_UNITS_BY_LOCALE = {"en-US": "us", "en-GB": "uk"}
_UNITS = frozenset(("us", "metric", "uk"))


def stranger(asker: Asker, zone: str = "UTC", units: str | None = None) -> Member:
    """Someone nothing is stored about: the community's units where its coach has set some, else
    those of their client's language. Where the two speak of different gallons, none is taken for
    granted."""
    guessed = _UNITS_BY_LOCALE.get(asker.locale or "", "metric")
    told = units if units in _UNITS else guessed
    if told == "us" and guessed == "uk":
        told = "uk"
    currency = "GBP" if told == "uk" else "USD"
    return Member(name=asker.name, units=told, time_zone=zone, currency=currency)


def book_of(row: Row[Any], asker: Asker, now: datetime) -> Book:
    found: dict[str, Any] = dict(row._mapping)
    who = _member(found, asker)
    others = json.loads(found["others"] or "[]")
    rows = [
        (
            _tower(one, tuple(sorted(o["name"] for o in others if o["tower_id"] == one["id"]))),
            bool(one["packed"]),
        )
        for one in _objects(found["towers"])
    ]
    every = {tower.id: tower.name for tower, _ in rows}
    feeds = [_feed(one) for one in _objects(found["feeds"])]
    return Book(
        now=now,
        member=who,
        feeds=tuple(sorted(feeds, key=lambda one: one.own)),
        newest={one["id"]: one["newest"] or 0 for one in _objects(found["towers"])},
        towers=tuple(tower for tower, packed in rows if not packed),
        packed=tuple(tower for tower, packed in rows if packed),
        invited=tuple(
            Invitation(tower_id=one["id"], tower=one["name"], host=one["host"] or "")
            for one in _objects(found["invited"])
        ),
        policy=_policy(_objects(found["rules"])),
        log=_entries(found["log"], every, who) if asker.private else (),
        plantings=_plantings(_objects(found["plantings"]), every) if asker.private else (),
        supplies=_supplies(_objects(found["supplies"])) if asker.private else (),
        coach=found["c_coach"],
        private=asker.private,
        community=_community(found),
        notes=_notes(_objects(found["notes"])),
        opened=_opened(json.loads(found["opened"] or "[]"), asker.guild_id),
        in_guild=asker.guild_id is not None,
        homes=_homes(found, told=asker.community_id is not None) if asker.guild_id is None else (),
    )


def _homes(found: Mapping[str, Any], *, told: bool) -> tuple[tuple[int, str], ...]:
    """The communities to choose from; none where there is one, or it was chosen."""
    rows = _objects(found["homes"])
    if told or found["m_home"] or len(rows) < 2:
        return ()
    return tuple((row["id"], row["name"]) for row in rows)


def _objects(text: str | None) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(text) if text else []
    return sorted(rows, key=lambda one: one["id"])


def _member(found: Mapping[str, Any], asker: Asker) -> Member:
    if found["m_id"] is None:
        return stranger(
            asker, found["c_time_zone"], found["c_units"] if found["c_zone_set"] else None
        )
    left_out = ("m_user_id", "m_joined_on", "m_home", "m_channel_id", "m_noted")
    fields = {
        key.removeprefix("m_"): value
        for key, value in found.items()
        if key.startswith("m_") and key not in left_out
    }
    return Member(**fields)


def _community(found: Mapping[str, Any]) -> Community:
    names = ("id", "name", "time_zone", "units", "coach", "room_id", "quiet_from", "quiet_to",
             "welcome_id", "rules_seen", "zone_set", "room_held")  # fmt: skip
    return Community(**{name: found[f"c_{name}"] for name in names})


def _feed(one: dict[str, Any]) -> Feed:
    return Feed(
        id=one["id"],
        name=one["name"],
        parts=tuple(part_of(row) for row in _json(one["parts"])),
        ec_gain_ms_per_cm=one["ec_gain_ms_per_cm"],
        set_on=_date(one["set_on"]),
        own=one["member_id"] is not None,
    )


def part_of(row: Mapping[str, Any]) -> Part:
    """A part as it is stored; one of before labels were kept has none."""
    label = tuple((name, float(share)) for name, share in row.get("label") or ())
    return Part(**{**row, "label": label})


def _plantings(rows: list[dict[str, Any]], towers: Mapping[int, str]) -> tuple[Planting, ...]:
    return tuple(
        Planting(
            id=row["id"],
            tower=towers[row["tower_id"]],
            level=row["level"],
            port=row["port"],
            crop=row["crop"],
            plants=row["plants"],
            sown=_date(row["sown"]),
            planted=_date(row["planted"]),
            status=row["status"] if row["over"] else "growing",
        )
        for row in rows
    )


def _supplies(rows: list[dict[str, Any]]) -> tuple[Supply, ...]:
    return tuple(
        sorted((Supply(**{**row, "at": _time(row["at"])}) for row in rows), key=lambda s: s.item)
    )


def _json(value: Any) -> Any:
    """A JSON column inside an aggregate: a text on one database, an object on the other."""
    return json.loads(value) if isinstance(value, str) else value


def _tower(one: dict[str, Any], others: tuple[str, ...]) -> Tower:
    names = ("set_on", "arrives_on", "sown_on", "moved_in_on", "learned_on")
    dates = {key: _date(one[key]) for key in names}
    facts = {key: value for key, value in one.items() if key not in ("packed", "newest")}
    marks = tuple((litres, cm) for litres, cm in _json(one["jug_marks"]) or ())
    return Tower(**{**facts, **dates, "jug_marks": marks, "shared_with": others})


def _entries(text: str | None, towers: Mapping[int, str], who: Member) -> tuple[Entry, ...]:
    rows: list[dict[str, Any]] = json.loads(text) if text else []
    lines = [
        Entry(
            id=one["id"],
            tower=towers[one["tower_id"]],
            at=_time(one["at"]),
            recorded_at=_time(one["recorded_at"]),
            kind=one["kind"],
            level_l=one["level_l"],
            ec=one["ec"],
            ph=one["ph"],
            water_c=one["water_c"],
            water_added_l=one["water_added_l"],
            amounts=tuple((name, amount) for name, amount in _json(one["amounts"]) or ()),
            note=one["note"] or "",
            by=one["by"] or "",
            mine=one["author_id"] == who.id,
            picked=tuple(
                Picked(crop=crop, g=g, count=count) for crop, g, count in _json(one["picked"]) or ()
            ),
        )
        for one in rows
    ]
    return tuple(sorted(lines, key=lambda line: (line.at, line.id)))


def _notes(rows: list[dict[str, Any]]) -> tuple[Note, ...]:
    """The last word on each matter; one taken away is gone."""
    replaced = {row["replaces_id"] for row in rows}
    return tuple(
        Note(id=row["id"], about=row["about"], text=row["text"], by=row["by"] or "",
             set_on=_date(row["set_on"]))
        for row in rows
        if row["id"] not in replaced and row["text"]
    )  # fmt: skip


def _opened(rows: list[dict[str, Any]], guild_id: int | None) -> tuple[Open, ...]:
    found: list[Open] = []
    for row in sorted(rows, key=lambda one: str(one["at"])):
        try:
            question = from_json(_json(row["question"]))
        except (KeyError, TypeError, ValueError):
            continue  # of another version of the bot: nobody waits for it any more
        here = row["guild_id"] == (guild_id or 0)
        found.append(Open(question=question, field=row["field"], at=_time(row["at"]), here=here))
    return tuple(found)


def _policy(rows: list[dict[str, Any]]) -> Mapping[str, PolicyValue]:
    if not rows:
        return shipped_policy()
    last = {row["key"]: row for row in rows}  # oldest first: the last word on a key stays
    return {
        key: PolicyValue(value=row["value"], set_on=_date(row["set_on"]), by=row["by"])
        for key, row in last.items()
        if row["value"] is not None  # one taken back is as shipped, nobody's setting
    }


def _date(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _time(text: str) -> datetime:
    """A stored UTC time inside an aggregate."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
