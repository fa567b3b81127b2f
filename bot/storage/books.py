"""One person's Book, in one query. Scope: the asker, in the community they ask from."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import (
    ColumnClause,
    Select,
    and_,
    bindparam,
    case,
    func,
    literal_column,
    or_,
    select,
)

from bot.records.book import Book
from bot.records.facts import Seen
from bot.records.people import Asker
from bot.storage.bookrows import book_of, stranger
from bot.storage.engine import Store
from bot.storage.forecasts import dry_of, judged_of
from bot.storage.jsonrows import columns_of, json_rows
from bot.storage.logbook import still_true
from bot.storage.models import (
    community,
    conversation,
    entry,
    feed,
    keeper,
    member,
    note,
    planting,
    policy,
    supply,
    tower,
)
from bot.storage.planting import begun, ended
from bot.storage.reminding.rules import reminding
from bot.storage.waiting import read_waiting

_RECENT = 100  # lines of each tower that an everyday answer may look back on
_ALL = 1_000_000


async def load_book(
    store: Store, asker: Asker, now: datetime, *, whole: bool = False, anew: bool = False
) -> Book:
    """What may be known when `asker` asks. A stranger, or a new community, gets shipped rules.

    whole: the log to its first line, and the count of members, for exports and set-up.
    anew: read, whatever was read before; for who looks between a commit and the word of it.
    In a room the Book holds the fixed facts only; readings and history are for private answers.
    """
    key = (asker.user_id, asker.guild_id, asker.private, asker.name, asker.locale, whole,
           asker.community_id)  # fmt: skip
    generation = store.generation
    found = None if anew else store.books.find(key, generation)
    if found is None:
        found = await _read(store, asker, now, whole=whole)
        store.books.keep(key, generation, found)
    return replace(found, now=now, place=asker.place)


async def _read(store: Store, asker: Asker, now: datetime, *, whole: bool) -> Book:
    query = _in_private() if asker.guild_id is None else _in_community()
    if asker.guild_id is None and asker.community_id is not None:
        query = query.where(member.c.community_id == asker.community_id)
    values = {"user": asker.user_id, "guild": asker.guild_id, "most": _ALL if whole else _RECENT}
    if asker.guild_id is None:
        del values["guild"]
    async with store.single() as connection:
        row = (await connection.execute(query, values)).first()
    found = (
        book_of(row, asker, now)
        if row is not None
        else Book(
            now=now,
            member=stranger(asker),
            private=asker.private,
            in_guild=asker.guild_id is not None,
        )
    )
    if not whole:
        return found
    return await _counted(store, asker, found)


async def _counted(store: Store, asker: Asker, found: Book) -> Book:
    """The Book with what only set-up and forgetting need to count."""
    kept = select(func.count()).where(member.c.user_id == asker.user_id)
    async with store.read() as connection:
        set_up = (await connection.execute(_set_up_count(), {"id": found.community.id})).scalar()
        homes = (await connection.execute(kept)).scalar()
        mine = await reminding(connection, found.member.id, found.community.id)
        done = await judged_of(connection, found.community.id, found.member.id)
    community_ = replace(found.community, set_up=set_up or 0)
    found = replace(found, community=community_, kept=homes or 0, reminding=mine, judged=done)
    if not (found.member.coach and asker.private):
        return found
    async with store.read() as connection:
        asked = await read_waiting(connection, found.community.id)
        all_ = await judged_of(connection, found.community.id)
    return replace(found, people=await _people(store, found), waiting=asked, judged_all=all_)


async def _people(store: Store, found: Book) -> tuple[Seen, ...]:
    """When each member of a coach's community was last heard of, and changed the water."""
    mine = (
        select(
            entry.c.member_id.label("who"),
            func.max(entry.c.at).label("last"),
            func.max(case((entry.c.kind == "change", entry.c.at))).label("changed"),
        )
        .where(still_true())
        .group_by(entry.c.member_id)
        .subquery()
    )
    query = (
        select(member.c.id, member.c.name, mine.c.last, mine.c.changed)
        .select_from(member.outerjoin(mine, mine.c.who == member.c.id))
        .where(member.c.community_id == found.community.id, member.c.role != "coach")
        .order_by(member.c.name)
    )
    async with store.read() as connection:
        rows = (await connection.execute(query)).all()
        dry = await dry_of(connection, found.community.id)
    return tuple(
        Seen(name=r.name or "", last_log_at=r.last, last_change_at=r.changed, dry_at=dry.get(r.id))
        for r in rows
    )


@cache
def _set_up_count() -> Select[Any]:
    """Members of a community who keep a tower."""
    return (
        select(func.count(keeper.c.member_id.distinct()))
        .join(member, member.c.id == keeper.c.member_id)
        .where(member.c.community_id == bindparam("id"), keeper.c.accepted)
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
        .where(keeper.c.member_id == member.c.id, keeper.c.accepted)
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
        json_rows([*columns_of(tower, "community_id"), _newest()], mine).label("towers"),
        json_rows(
            columns_of(feed, "community_id"), feeds.correlate(community, member)
        ).label("feeds"),
        json_rows(columns_of(policy, "community_id"), rules.correlate(community)).label("rules"),
        json_rows(columns_of(note, "community_id"), notes.correlate(community)).label("notes"),
        json_rows(columns_of(conversation), open_.correlate(member)).label("opened"),
        _log().label("log"),
        _others().label("others"),
        _invitations().label("invited"),
        _plantings().label("plantings"),
        _supplies().label("supplies"),
    )  # fmt: skip


def _log() -> Any:
    """The newest lines of each tower that the person keeps, those taken back left out."""
    author = member.alias("author")
    nth = func.row_number().over(
        partition_by=entry.c.tower_id, order_by=(entry.c.at.desc(), entry.c.id.desc())
    )
    lines = (
        select(
            *entry.columns,
            author.c.name.label("by"),
            author.c.id.label("author_id"),
            nth.label("nth"),
        )
        .select_from(
            keeper.join(entry, entry.c.tower_id == keeper.c.tower_id).outerjoin(
                author, author.c.id == entry.c.member_id
            )
        )
        .where(keeper.c.member_id == member.c.id, keeper.c.accepted, still_true())
        .correlate(member)
        .subquery("lines")
    )
    wanted = [column for column in lines.columns if column.name != "nth"]
    source: Select[Any] = select(literal_column("1")).select_from(lines)
    return json_rows(wanted, source.where(lines.c.nth <= bindparam("most")))


def _newest() -> Any:
    """The number of the newest line of a tower, counter-lines too: how far its log has come."""
    return (
        select(func.max(entry.c.id))
        .where(entry.c.tower_id == tower.c.id)
        .correlate(tower)
        .scalar_subquery()
        .label("newest")
    )


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
        .where(
            keeper.c.member_id == member.c.id,
            keeper.c.accepted,
            theirs.c.accepted,
            theirs.c.member_id != member.c.id,
        )
        .correlate(member)
    )
    return json_rows([theirs.c.tower_id, other.c.name], source)


def _plantings() -> Any:
    """What grows in the person's towers; all that ever grew where the whole log is read."""
    over = ended()
    source: Select[Any] = (
        select(literal_column("1"))
        .select_from(keeper.join(planting, planting.c.tower_id == keeper.c.tower_id))
        .where(
            keeper.c.member_id == member.c.id,
            keeper.c.accepted,
            begun(),
            or_(~over, bindparam("most") == _ALL),
        )
        .correlate(member)
    )
    wanted = columns_of(planting, "begun_by", "ended_by")
    return json_rows([*wanted, over.label("over")], source)


def _supplies() -> Any:
    """The last word on each thing that the person has at home."""
    later = supply.alias("later")
    newest = (
        select(func.max(later.c.id))
        .where(later.c.member_id == supply.c.member_id, later.c.item == supply.c.item)
        .correlate(supply)
        .scalar_subquery()
    )
    source: Select[Any] = (
        select(literal_column("1"))
        .select_from(supply)
        .where(supply.c.member_id == member.c.id, supply.c.id == newest)
        .correlate(member)
    )
    return json_rows(columns_of(supply, "member_id"), source)


def _invitations() -> Any:
    """Towers that others would keep together with the person."""
    host = member.alias("host")
    source: Select[Any] = (
        select(literal_column("1"))
        .select_from(
            keeper.join(tower, tower.c.id == keeper.c.tower_id).outerjoin(
                host, host.c.id == keeper.c.invited_by
            )
        )
        .where(keeper.c.member_id == member.c.id, keeper.c.accepted.is_(False))
        .correlate(member)
    )
    return json_rows([tower.c.id, tower.c.name, host.c.name.label("host")], source)
