"""One person's Book, in one query. Scope: the asker, in the community they ask from."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from typing import Any

from sqlalchemy import ColumnClause, Row, Select, and_, bindparam, func, literal_column, or_, select

from bot.records.book import Book, Open, shipped_policy
from bot.records.facts import Community, Entry, Feed, Member, Note, Part, PolicyValue, Tower
from bot.records.people import Asker
from bot.records.questions import from_json
from bot.storage.engine import Store
from bot.storage.jsonrows import columns_of, json_rows
from bot.storage.models import (
    community,
    conversation,
    entry,
    feed,
    keeper,
    member,
    note,
    policy,
    tower,
)

_UNITS_BY_LOCALE = {"en-US": "us", "en-GB": "uk"}
_RECENT = 200  # log lines that an everyday answer may look back on
_ALL = 1_000_000


async def load_book(store: Store, asker: Asker, now: datetime, *, whole: bool = False) -> Book:
    """What may be known when `asker` asks. A stranger, or a new community, gets shipped rules.

    whole: the log to its first line, and the count of members, for exports and set-up.
    In a room the Book holds the fixed facts only; readings and history are for private answers.
    """
    key = (asker.user_id, asker.guild_id, asker.private, asker.name, asker.locale, whole)
    generation = store.generation
    found = store.books.find(key, generation)
    if found is None:
        found = await _read(store, asker, now, whole=whole)
        store.books.keep(key, generation, found)
    return replace(found, now=now, place=asker.place)


async def _read(store: Store, asker: Asker, now: datetime, *, whole: bool) -> Book:
    query = _in_private() if asker.guild_id is None else _in_community()
    values = {"user": asker.user_id, "guild": asker.guild_id, "most": _ALL if whole else _RECENT}
    if asker.guild_id is None:
        del values["guild"]
    async with store.single() as connection:
        row = (await connection.execute(query, values)).first()
    if row is None:
        return Book(
            now=now,
            member=stranger(asker),
            private=asker.private,
            in_guild=asker.guild_id is not None,
        )
    found = _book(row, asker, now)
    if not whole:
        return found
    async with store.single() as connection:
        set_up = (await connection.execute(_set_up_count(), {"id": found.community.id})).scalar()
    return replace(found, community=replace(found.community, set_up=set_up or 0))


def stranger(asker: Asker, zone: str = "UTC") -> Member:
    """Someone nothing is stored about: units from the language of their client."""
    units = _UNITS_BY_LOCALE.get(asker.locale or "", "metric")
    return Member(name=asker.name, units=units, time_zone=zone)


@cache
def _set_up_count() -> Select[Any]:
    """Members of a community who keep a tower."""
    return (
        select(func.count(keeper.c.member_id.distinct()))
        .join(member, member.c.id == keeper.c.member_id)
        .where(member.c.community_id == bindparam("id"))
    )


@cache
def _in_community() -> Select[Any]:
    joined = community.outerjoin(
        member,
        and_(member.c.community_id == community.c.id, member.c.user_id == bindparam("user")),
    )
    return _facts().select_from(joined).where(community.c.guild_id == bindparam("guild"))


@cache
def _in_private() -> Select[Any]:
    joined = community.join(member, member.c.community_id == community.c.id)
    theirs, place = member.alias("theirs_too"), community.alias("place")
    homes: Select[Any] = (
        select(literal_column("1"))
        .select_from(theirs.join(place, place.c.id == theirs.c.community_id))
        .where(theirs.c.user_id == bindparam("user"))
    )
    return (
        _facts()
        .add_columns(json_rows([place.c.id, place.c.name], homes).label("homes"))
        .select_from(joined)
        .where(member.c.user_id == bindparam("user"))
        .order_by(member.c.home.desc(), member.c.id)
        .limit(1)
    )


def _facts() -> Select[Any]:
    one: ColumnClause[int] = literal_column("1")
    mine: Select[Any] = (
        select(one)
        .select_from(keeper.join(tower, keeper.c.tower_id == tower.c.id))
        .where(keeper.c.member_id == member.c.id)
        .correlate(member)
    )
    feeds: Select[Any] = (
        select(one)
        .select_from(feed)
        .where(
            feed.c.community_id == community.c.id,
            or_(feed.c.member_id.is_(None), feed.c.member_id == member.c.id),
        )
    )
    rules: Select[Any] = (
        select(one).select_from(policy).where(policy.c.community_id == community.c.id)
    )
    notes: Select[Any] = select(one).select_from(note).where(note.c.community_id == community.c.id)
    open_: Select[Any] = (
        select(one).select_from(conversation).where(conversation.c.member_id == member.c.id)
    )
    return select(
        *[column.label(f"c_{column.name}") for column in columns_of(community)],
        *[column.label(f"m_{column.name}") for column in columns_of(member, "community_id")],
        json_rows(columns_of(tower, "community_id"), mine).label("towers"),
        json_rows(
            columns_of(feed, "community_id"), feeds.correlate(community, member)
        ).label("feeds"),
        json_rows(columns_of(policy, "community_id"), rules.correlate(community)).label("rules"),
        json_rows(columns_of(note, "community_id"), notes.correlate(community)).label("notes"),
        json_rows(columns_of(conversation), open_.correlate(member)).label("opened"),
        _log().label("log"),
        _others().label("others"),
    )  # fmt: skip


def _log() -> Any:
    """The newest lines of the towers that the person keeps, those taken back left out."""
    author, back = member.alias("author"), entry.alias("back")
    taken_back = select(literal_column("1")).where(back.c.undoes_id == entry.c.id).exists()
    lines = (
        select(*entry.columns, author.c.name.label("by"), author.c.id.label("author_id"))
        .select_from(
            entry.join(keeper, keeper.c.tower_id == entry.c.tower_id).outerjoin(
                author, author.c.id == entry.c.member_id
            )
        )
        .where(keeper.c.member_id == member.c.id, entry.c.undoes_id.is_(None), ~taken_back)
        .order_by(entry.c.at.desc(), entry.c.id.desc())
        .limit(bindparam("most"))
        .correlate(member)
        .subquery("lines")
    )
    return json_rows(list(lines.columns), select(literal_column("1")).select_from(lines))


def _others() -> Any:
    """Who else keeps the person's towers."""
    theirs, other = keeper.alias("theirs"), member.alias("other")
    source: Select[Any] = (
        select(literal_column("1"))
        .select_from(
            keeper.join(theirs, theirs.c.tower_id == keeper.c.tower_id).join(
                other, other.c.id == theirs.c.member_id
            )
        )
        .where(keeper.c.member_id == member.c.id, theirs.c.member_id != member.c.id)
        .correlate(member)
    )
    return json_rows([theirs.c.tower_id, other.c.name], source)


def _book(row: Row[Any], asker: Asker, now: datetime) -> Book:
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
        towers=tuple(tower for tower, packed in rows if not packed),
        packed=tuple(tower for tower, packed in rows if packed),
        policy=_policy(_objects(found["rules"])),
        log=_entries(found["log"], every, who) if asker.private else (),
        coach=found["c_coach"],
        private=asker.private,
        community=_community(found),
        notes=_notes(_objects(found["notes"])),
        opened=_opened(json.loads(found["opened"] or "[]"), asker.guild_id),
        in_guild=asker.guild_id is not None,
        homes=_homes(found) if asker.guild_id is None else (),
    )


def _homes(found: Mapping[str, Any]) -> tuple[tuple[int, str], ...]:
    """The communities to choose from; none where there is one, or it was chosen."""
    rows = _objects(found["homes"])
    if found["m_home"] or len(rows) < 2:
        return ()
    return tuple((row["id"], row["name"]) for row in rows)


def _objects(text: str | None) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(text) if text else []
    return sorted(rows, key=lambda one: one["id"])


def _member(found: Mapping[str, Any], asker: Asker) -> Member:
    if found["m_id"] is None:
        return stranger(asker, found["c_time_zone"])
    left_out = ("m_user_id", "m_joined_on", "m_home")
    fields = {
        key.removeprefix("m_"): value
        for key, value in found.items()
        if key.startswith("m_") and key not in left_out
    }
    return Member(**fields)


def _community(found: Mapping[str, Any]) -> Community:
    names = ("id", "name", "time_zone", "units", "coach", "room_id", "quiet_from", "quiet_to",
             "welcome_id", "rules_seen", "zone_set")  # fmt: skip
    return Community(**{name: found[f"c_{name}"] for name in names})


def _feed(one: dict[str, Any]) -> Feed:
    return Feed(
        id=one["id"],
        name=one["name"],
        parts=tuple(Part(**row) for row in _json(one["parts"])),
        ec_gain_ms_per_cm=one["ec_gain_ms_per_cm"],
        set_on=_date(one["set_on"]),
        own=one["member_id"] is not None,
    )


def _json(value: Any) -> Any:
    """A JSON column inside an aggregate: a text on one database, an object on the other."""
    return json.loads(value) if isinstance(value, str) else value


def _tower(one: dict[str, Any], others: tuple[str, ...]) -> Tower:
    dates = {key: _date(one[key]) for key in ("set_on", "arrives_on", "sown_on")}
    facts = {key: value for key, value in one.items() if key != "packed"}
    return Tower(**{**facts, **dates, "shared_with": others})


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
    return tuple(
        Open(
            question=from_json(_json(row["question"])),
            field=row["field"],
            at=_time(row["at"]),
            here=row["guild_id"] == (guild_id or 0),
        )
        for row in sorted(rows, key=lambda one: str(one["at"]))
    )


def _policy(rows: list[dict[str, Any]]) -> Mapping[str, PolicyValue]:
    if not rows:
        return shipped_policy()
    return {
        row["key"]: PolicyValue(value=row["value"], set_on=_date(row["set_on"]), by=row["by"])
        for row in rows  # oldest first: the last word on a key stays
    }


def _date(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _time(text: str) -> datetime:
    """A stored UTC time inside an aggregate."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
