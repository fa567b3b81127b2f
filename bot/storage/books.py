"""One person's Book, in one query. Scope: the asker, in the community they ask from."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import Row, Select, and_, bindparam, literal_column, select

from bot.records.book import Book, shipped_policy
from bot.records.facts import Feed, Member, Part, PolicyValue, Tower
from bot.records.people import Asker
from bot.storage.engine import Store
from bot.storage.jsonrows import columns_of, json_rows
from bot.storage.models import community, feed, keeper, member, policy, tower

_UNITS_BY_LOCALE = {"en-US": "us", "en-GB": "uk"}


async def load_book(store: Store, asker: Asker, now: datetime) -> Book:
    """What may be known when `asker` asks. A stranger, or a new community, gets shipped rules.

    In a room the Book holds the fixed facts only; readings and history are for private answers.
    """
    key = (asker.user_id, asker.guild_id, asker.private, asker.name, asker.locale)
    generation = store.generation
    if (kept := store.books.find(key, generation)) is not None:
        return replace(kept, now=now)
    found = await _read(store, asker, now)
    store.books.keep(key, generation, found)
    return found


async def _read(store: Store, asker: Asker, now: datetime) -> Book:
    query = _in_private() if asker.guild_id is None else _in_community()
    values = {"user": asker.user_id, "guild": asker.guild_id}
    if asker.guild_id is None:
        del values["guild"]
    async with store.single() as connection:
        row = (await connection.execute(query, values)).first()
    if row is None:
        return Book(now=now, member=stranger(asker), private=asker.private)
    return _book(row, asker, now)


def stranger(asker: Asker, zone: str = "UTC") -> Member:
    """Someone nothing is stored about: units from the language of their client."""
    units = _UNITS_BY_LOCALE.get(asker.locale or "", "metric")
    return Member(name=asker.name, units=units, time_zone=zone)


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
    return (
        _facts()
        .select_from(joined)
        .where(member.c.user_id == bindparam("user"))
        .order_by(member.c.id)
        .limit(1)
    )


def _facts() -> Select[Any]:
    mine: Select[Any] = (
        select(literal_column("1"))
        .select_from(keeper.join(tower, keeper.c.tower_id == tower.c.id))
        .where(keeper.c.member_id == member.c.id)
        .correlate(member)
    )
    feeds: Select[Any] = (
        select(literal_column("1")).select_from(feed).where(feed.c.community_id == community.c.id)
    )
    rules: Select[Any] = (
        select(literal_column("1"))
        .select_from(policy)
        .where(policy.c.community_id == community.c.id)
    )
    return select(
        community.c.coach,
        community.c.time_zone.label("community_zone"),
        *[column.label(f"m_{column.name}") for column in columns_of(member, "community_id")],
        json_rows(columns_of(tower, "community_id"), mine).label("towers"),
        json_rows(columns_of(feed, "community_id"), feeds.correlate(community)).label("feeds"),
        json_rows(columns_of(policy, "community_id"), rules.correlate(community)).label("rules"),
    )


def _book(row: Row[Any], asker: Asker, now: datetime) -> Book:
    found: dict[str, Any] = dict(row._mapping)
    return Book(
        now=now,
        member=_member(found, asker),
        feeds=tuple(_feed(one) for one in _objects(found["feeds"])),
        towers=tuple(_tower(one) for one in _objects(found["towers"])),
        policy=_policy(_objects(found["rules"])),
        coach=found["coach"],
        private=asker.private,
    )


def _objects(text: str | None) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(text) if text else []
    return sorted(rows, key=lambda one: one["id"])


def _member(found: Mapping[str, Any], asker: Asker) -> Member:
    if found["m_id"] is None:
        return stranger(asker, found["community_zone"])
    fields = {
        key.removeprefix("m_"): value
        for key, value in found.items()
        if key.startswith("m_") and key != "m_user_id"
    }
    return Member(**fields)


def _feed(one: dict[str, Any]) -> Feed:
    parts = one["parts"]
    rows = json.loads(parts) if isinstance(parts, str) else parts
    return Feed(
        id=one["id"],
        name=one["name"],
        parts=tuple(Part(**row) for row in rows),
        ec_gain_ms_per_cm=one["ec_gain_ms_per_cm"],
        set_on=_date(one["set_on"]),
    )


def _tower(one: dict[str, Any]) -> Tower:
    return Tower(**{**one, "set_on": _date(one["set_on"])})


def _policy(rows: list[dict[str, Any]]) -> Mapping[str, PolicyValue]:
    if not rows:
        return shipped_policy()
    return {
        row["key"]: PolicyValue(value=row["value"], set_on=_date(row["set_on"]), by=row["by"])
        for row in rows  # oldest first: the last word on a key stays
    }


def _date(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
