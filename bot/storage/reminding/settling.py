"""What became of a claimed post: frozen before it is sent, settled after, behind its fence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from time import monotonic
from typing import Any

from sqlalchemy import bindparam, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import quiet_until
from bot.records.answer import Offer
from bot.records.reminders import NOTE, TROUBLE, Body, Claimed, Failed, Sent
from bot.storage.engine import Store, new_key
from bot.storage.handles import write_private_handles
from bot.storage.models import community, debt, member, post, rule
from bot.storage.reminding.leases import Lease, held_by, new_nonce
from bot.storage.reminding.plans import mark_one

_LONGEST_WAIT_S = 900.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Frozen:
    """A post as it is to be sent; body None: nothing of it serves any more.

    void: debts that their facts no longer owe; failed: those that cannot be put into words.
    """

    post: Claimed
    body: Body | None
    void: tuple[int, ...] = ()
    failed: tuple[int, ...] = ()
    offers: tuple[tuple[str, Offer], ...] = ()


async def freeze(
    store: Store, lease: Lease, many: Sequence[Frozen], now: datetime
) -> frozenset[int]:
    """Keep what each post says before it is sent, so that a repeat says the same; the numbers of
    those that are still this worker's."""
    async with store.write() as connection:
        ours = await _still_held(connection, lease, many)
        if not ours:
            return frozenset()
        rows = [
            {
                "one": one.post.id,
                "state": "void" if one.body is None else "open",
                "body": None if one.body is None else _json(one.body),
                "tried_at": now,
                "tried_mono": monotonic(),
                **lease.until(),
            }
            for one in ours
        ]
        names = ("state", "body", "tried_at", "tried_mono", "boot", "lease_until")
        kept: dict[str, Any] = {name: bindparam(name) for name in names}
        await connection.execute(
            update(post).where(post.c.id == bindparam("one")).values(kept), rows
        )
        await _void_debts(connection, ours)
        await write_private_handles(
            connection,
            [(one.post.to.user_id or 0, one.post.to.community_id, one.offers) for one in ours],
            now,
        )
    return frozenset(one.post.id for one in ours)


async def _still_held(
    connection: AsyncConnection, lease: Lease, many: Sequence[Frozen]
) -> list[Frozen]:
    query = select(post.c.id, post.c.attempt, post.c.nonce).where(
        post.c.id.in_([one.post.id for one in many]),
        post.c.owner == lease.owner,
        post.c.state == "open",
    )
    held = {(row.id, row.attempt, row.nonce) for row in (await connection.execute(query)).all()}
    return [one for one in many if (one.post.id, one.post.attempt, one.post.nonce) in held]


async def _void_debts(connection: AsyncConnection, many: Sequence[Frozen]) -> None:
    """What its facts no longer owe is looked at again: it may be owed another time."""
    for one in many:
        if one.failed:
            await connection.execute(
                update(debt)
                .where(debt.c.id.in_(one.failed), debt.c.state == "posted")
                .values(state="failed", post_id=None)
            )
        if not one.void:
            continue
        await connection.execute(
            update(debt)
            .where(debt.c.id.in_(one.void), debt.c.state == "posted")
            .values(state="withdrawn", post_id=None)
        )
        await mark_one(connection, one.post.to.member_id)


def _json(body: Body) -> dict[str, Any]:
    return {
        "content": body.content,
        "buttons": [list(pair) for pair in body.buttons],
        "silent": body.silent,
        "mention": body.mention,
    }


async def looked_at(store: Store, lease: Lease, one: Claimed) -> str:
    """What is to become of a post just before it is sent: "send", "void" when all of it was
    stopped or done since, "anew" when some of it was, and it is to be put into words again."""
    left = select(debt.c.id).where(debt.c.post_id == one.id, debt.c.state == "posted").limit(1)
    async with store.read() as connection:
        owed = (await connection.execute(left)).first() is not None
        stale = (await connection.execute(select(post.c.stale).where(post.c.id == one.id))).scalar()
    if not owed:
        return "void"
    return "anew" if stale else "send"


async def give_back(store: Store, lease: Lease, one: Claimed) -> None:
    """Not sent: claimed anew at once. Words of a first try were never said, so they may go."""
    values: dict[str, Any] = {**lease.until(0.0)}
    if one.body is None:
        values |= {"body": None, "tried_at": None, "tried_mono": None, "stale": False}
    async with store.write() as connection:
        await connection.execute(update(post).where(held_by(lease.owner, one)).values(values))


async def begin_anew(store: Store, lease: Lease, one: Claimed) -> None:
    """An earlier try made nothing, and its words are old: forgotten, like the nonce they had."""
    async with store.write() as connection:
        await connection.execute(
            update(post)
            .where(held_by(lease.owner, one))
            .values(
                body=None, tried_at=None, tried_mono=None, nonce=new_nonce(), stale=False,
                **lease.until(0.0),
            )
        )  # fmt: skip


async def settle_sent(store: Store, lease: Lease, one: Claimed, sent: Sent, now: datetime) -> bool:
    """It stands there. False: another worker has it by now, and this word is too late.

    Those sent at the same time are settled together: the disk is waited for once.
    """
    done = _Done(post=one, sent=sent, owner=lease.owner, at=now, result=[])
    await store.gathering_posts.keep(done, lambda batch: _settle_batch(store, batch))
    return bool(done.result and done.result[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Done:
    """One message that stands there, and where its sender waits for the word."""

    post: Claimed
    sent: Sent
    owner: str
    at: datetime
    result: list[bool]


async def _settle_batch(store: Store, batch: Sequence[_Done]) -> None:
    async with store.write() as connection:
        query = select(post.c.id, post.c.attempt, post.c.nonce, post.c.owner).where(
            post.c.id.in_([one.post.id for one in batch]), post.c.state == "open"
        )
        held = {tuple(row) for row in (await connection.execute(query)).all()}
        ours = [
            one
            for one in batch
            if (one.post.id, one.post.attempt, one.post.nonce, one.owner) in held
        ]
        if ours:
            await _write_sent(connection, ours)
        await _write_reached(connection, [one for one in batch if one.post.to.member_id])
    for one in batch:
        one.result.append(one in ours)


async def _write_sent(connection: AsyncConnection, many: Sequence[_Done]) -> None:
    rows = [
        {"one": d.post.id, "message": d.sent.message_id, "channel": d.sent.channel_id, "at": d.at}
        for d in many
    ]
    sent = update(post).where(post.c.id == bindparam("one"))
    values: dict[str, Any] = {
        "message_id": bindparam("message"),
        "channel_id": bindparam("channel"),
    }
    await connection.execute(sent.values(state="sent", body=None, **values), rows)
    paid = update(debt).where(debt.c.post_id == bindparam("one"), debt.c.state == "posted")
    await connection.execute(paid.values(state="sent", sent_at=bindparam("at")), rows)


async def _write_reached(connection: AsyncConnection, many: Sequence[_Done]) -> None:
    """Who takes messages again needs no word in the room any more."""
    if many:
        reached = update(member).where(member.c.id == bindparam("who"), member.c.noted)
        rows = [{"who": one.post.to.member_id} for one in many]
        await connection.execute(reached.values(noted=False), rows)


async def keep_channel(store: Store, member_id: int, channel_id: int) -> None:
    """The private channel with somebody, kept before the first message goes there."""
    async with store.write() as connection:
        await connection.execute(
            update(member).where(member.c.id == member_id).values(channel_id=channel_id)
        )


async def renew(store: Store, lease: Lease, nonces: Sequence[str]) -> None:
    """Hold on to posts that are being sent: the platform may let us wait."""
    async with store.write() as connection:
        await connection.execute(
            update(post)
            .where(post.c.nonce.in_(nonces), post.c.owner == lease.owner, post.c.state == "open")
            .values(**lease.until())
        )


async def release(store: Store, lease: Lease) -> None:
    """Give back what was claimed and not sent: whoever starts next sends it at once."""
    async with store.write() as connection:
        await connection.execute(
            update(post)
            .where(post.c.owner == lease.owner, post.c.state == "open")
            .values(**lease.until(0.0))
        )


async def free_all(store: Store) -> None:
    """Nobody else can be at work: what any worker held may be sent now."""
    async with store.write() as connection:
        await connection.execute(update(post).where(post.c.state == "open").values(lease_until=0.0))


async def settle_failed(
    store: Store, lease: Lease, one: Claimed, failed: Failed, note: Body | None, now: datetime
) -> None:
    """It does not stand there: tried again later, or kept until somebody can be reached.

    note: what to say in the room to one whose private messages are closed, if they agreed to it.
    """
    async with store.write() as connection:
        fence = held_by(lease.owner, one)
        row = (await connection.execute(select(post.c.failures).where(fence))).first()
        if row is None:
            return
        failures = row.failures + (0 if failed.why == "limited" else 1)
        match failed.why:
            case "closed":
                await _void(connection, one, "held", "closed")
                await _closed(connection, lease, one, note, now)
            case "gone" if one.to.user_id is None:
                await _void(connection, one, "held", f"gone {failed.code}")
                await _room_gone(connection, one, now)
            case "gone":
                await connection.execute(
                    update(member).where(member.c.id == one.to.member_id).values(channel_id=None)
                )
                await _again(connection, lease, one, failures, failed.wait_s)
            case "rejected":
                await _void(connection, one, "failed", f"rejected {failed.code}")
                await _tell_owners(connection, one, "rejected", now)
            case _:  # however late: an outage is no reason to lose anything
                await _again(connection, lease, one, failures, failed.wait_s)


async def _again(
    connection: AsyncConnection, lease: Lease, one: Claimed, failures: int, wait_s: float
) -> None:
    """The lease is kept until the next try, which takes it anew like anybody's."""
    wait = min(_LONGEST_WAIT_S, wait_s or 2.0 ** min(failures, 9))
    await connection.execute(
        update(post).where(post.c.id == one.id).values(failures=failures, **lease.until(wait))
    )


async def _void(connection: AsyncConnection, one: Claimed, state: str, reason: str) -> None:
    await connection.execute(
        update(post)
        .where(post.c.id == one.id)
        .values(state="failed" if state == "failed" else "void", body=None, reason=reason)
    )
    await connection.execute(
        update(debt)
        .where(debt.c.post_id == one.id, debt.c.state == "posted")
        .values(state=state, post_id=None)
    )


async def _closed(
    connection: AsyncConnection, lease: Lease, one: Claimed, note: Body | None, now: datetime
) -> None:
    """Their later reminders wait too; one note in the room, if they agreed to it."""
    who = (
        await connection.execute(
            select(
                member.c.room_notes,
                member.c.noted,
                community.c.room_id,
                community.c.room_held,
                community.c.time_zone,
                community.c.quiet_from,
                community.c.quiet_to,
            )
            .join(community, community.c.id == member.c.community_id)
            .where(member.c.id == one.to.member_id)
        )
    ).first()
    if who is None:
        return
    say = note is not None and who.room_notes and not who.noted
    say = say and who.room_id is not None and not who.room_held
    await connection.execute(
        update(member)
        .where(member.c.id == one.to.member_id)
        .values(closed=True, noted=who.noted or say)
    )
    if say and note is not None:
        row = {
            "community_id": one.to.community_id,
            "made_at": now,
            "owner": lease.owner,
            "nonce": new_nonce(),
            "note": True,
            "body": _json(note),
            "channel_id": who.room_id,
            **lease.until(_until_loud(who, now)),
        }
        await connection.execute(insert(post).values(row))


def _until_loud(place: Any, now: datetime) -> float:
    """Seconds until the room's quiet hours are over."""
    end = quiet_until(now, place.time_zone, place.quiet_from, place.quiet_to)
    return 0.0 if end is None else (end - now).total_seconds()


async def _room_gone(connection: AsyncConnection, one: Claimed, now: datetime) -> None:
    """The room's reminders wait; each coach is told once."""
    held = update(community).where(community.c.id == one.to.community_id, ~community.c.room_held)
    if (await connection.execute(held.values(room_held=True))).rowcount == 0:
        return
    coaches = select(member.c.id).where(
        member.c.community_id == one.to.community_id, member.c.role == "coach"
    )
    for member_id in (await connection.execute(coaches)).scalars().all():
        await _trouble(connection, one.to.community_id, member_id, f"room:{one.id}", now)


async def _tell_owners(connection: AsyncConnection, one: Claimed, word: str, now: datetime) -> None:
    """Whoever made the rule hears that it could not be said; never of a notice about a notice."""
    query = select(rule.c.member_id).where(
        rule.c.id.in_([d.rule.id for d in one.debts]), rule.c.what == NOTE, rule.c.room
    )
    for member_id in set((await connection.execute(query)).scalars()):
        await _trouble(connection, one.to.community_id, member_id, f"{word}:{one.id}", now)


async def _trouble(
    connection: AsyncConnection, community_id: int, member_id: int, key: str, now: datetime
) -> None:
    query = select(rule.c.id).where(rule.c.member_id == member_id, rule.c.what == TROUBLE)
    rule_id = (await connection.execute(query)).scalar()
    if rule_id is None:
        row = {"community_id": community_id, "member_id": member_id, "what": TROUBLE,
               "kind": "fact", "made_at": now}  # fmt: skip
        rule_id = new_key(await connection.execute(insert(rule).values(row)))
    owed = {"rule_id": rule_id, "member_id": member_id, "key": key, "due": now}
    await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())
