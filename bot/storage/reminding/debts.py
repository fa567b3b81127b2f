"""What facts owe, and what became of a debt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Row, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import local_date, wall_key
from bot.errors import Refusal
from bot.records.changes import CloseDebt, Postpone, TakeUp
from bot.records.reminders import FACTS, WEEK, Owed, Pattern
from bot.storage.engine import new_key
from bot.storage.models import community, debt, member, rule
from bot.storage.people import Writer
from bot.storage.reminding.rules import owe_next, words_changed
from bot.storage.reminding.zones import OPEN

_SUNDAY = 6
_WELL_AHEAD = timedelta(hours=36)


async def write_owed(
    connection: AsyncConnection, member_id: int, owed: Sequence[Owed], now: datetime
) -> None:
    """Debts as the facts stand now: new ones, other times, and those that nothing owes any more."""
    rules = await _fact_rules(connection, member_id, now, make=bool(owed))
    query = select(debt).where(debt.c.rule_id.in_([r["id"] for r in rules.values()]))
    there = {(row.rule_id, row.key): row for row in (await connection.execute(query)).all()}
    wanted: set[tuple[int, str]] = set()
    for one in owed:
        mine = rules[one.what]
        if mine["stopped_at"] is not None:
            continue
        place = (mine["id"], one.key)
        wanted.add(place)
        found = there.get(place)
        if found is None:
            row = {"rule_id": mine["id"], "member_id": member_id, "key": one.key, "due": one.due,
                   "again": one.again}  # fmt: skip
            await connection.execute(sqlite_insert(debt).values(row).on_conflict_do_nothing())
        elif (
            found.state in ("due", "withdrawn", "stopped")
            or _moved_on(found, one)
            or (found.state == "done" and found.again)
        ):
            # One that the person put off keeps its time while it is still ahead.
            put_off = found.state == "due" and found.sent_at is not None
            due = found.due if put_off else one.due
            values = (
                {"state": "due", "due": due, "post_id": None, "sent_at": None}
                if (not put_off)
                else {"due": due}
            )
            await connection.execute(update(debt).where(debt.c.id == found.id).values(values))
    rest = [row for place, row in there.items() if place not in wanted]
    # What the log shows done is over; taken back, it is owed once more.
    seen = [row.id for row in rest if row.state == "sent" and row.again]
    await connection.execute(update(debt).where(debt.c.id.in_(seen)).values(state="done"))
    gone = [row.id for row in rest if row.state in OPEN]
    await connection.execute(update(debt).where(debt.c.id.in_(gone)).values(state="withdrawn"))


def _moved_on(found: Row[Any], one: Owed) -> bool:
    """It was told, and a newer reading has put its time well ahead: told once more then."""
    return (
        found.state == "sent"
        and one.again
        and one.planned
        and one.due - max(found.due, found.sent_at or found.due) > _WELL_AHEAD
    )


async def _fact_rules(
    connection: AsyncConnection, member_id: int, now: datetime, *, make: bool
) -> dict[str, Mapping[Any, Any]]:
    """The person's rule for each fact, and for the week ahead; made when they are first needed."""
    query = select(rule).where(rule.c.member_id == member_id, rule.c.what.in_((*FACTS, WEEK)))
    there = {row.what: row._mapping for row in (await connection.execute(query)).all()}
    missing = [what for what in FACTS if what not in there]
    if missing and make:
        who = (
            await connection.execute(
                select(member.c.community_id, member.c.evening, member.c.time_zone).where(
                    member.c.id == member_id
                )
            )
        ).one()
        made = {"community_id": who.community_id, "member_id": member_id, "made_at": now}
        rows = [{**made, "what": what, "kind": "fact"} for what in missing]
        await connection.execute(insert(rule), rows)
        if WEEK not in there:
            await _week(connection, made, who.evening, who.time_zone, now)
        there = {row.what: row._mapping for row in (await connection.execute(query)).all()}
    return {what: row for what, row in there.items() if what != WEEK}


async def _week(
    connection: AsyncConnection, made: dict[str, Any], hour: str, zone: str, now: datetime
) -> None:
    """Sunday evenings: the week ahead."""
    today = local_date(now, zone)
    sunday = today + timedelta(days=(_SUNDAY - today.weekday()) % 7)
    start = datetime.fromisoformat(f"{sunday.isoformat()}T{hour}")
    told = Pattern(start_local=wall_key(start), rrule="FREQ=WEEKLY;BYDAY=SU", zone=zone)
    row = {**made, "what": WEEK, "kind": "wall", "start_local": told.start_local,
           "rrule": told.rrule, "zone": zone}  # fmt: skip
    rule_id = new_key(await connection.execute(insert(rule).values(row)))
    await owe_next(connection, rule_id, made["member_id"], told, now)


async def close_debt(connection: AsyncConnection, change: CloseDebt, who: Writer) -> dict[str, Any]:
    """Done; pressed under a second message of it, nothing is written twice."""
    mine = (debt.c.id == change.debt_id) & (debt.c.member_id == who.member_id)
    await words_changed(connection, mine)
    closed = await connection.execute(
        update(debt)
        .where(mine, debt.c.state.in_(("sent", "due", "held", "posted", "failed")))
        .values(state="done")
    )
    if closed.rowcount == 0:
        raise Refusal("bad.debt_gone", outcome="refuse")
    return {"debt": change.debt_id}


async def postpone(connection: AsyncConnection, change: Postpone, who: Writer) -> dict[str, Any]:
    """The same debts once more, later; their keys stay."""
    mine = debt.c.id.in_(change.debt_ids) & (debt.c.member_id == who.member_id)
    await words_changed(connection, mine)
    done = await connection.execute(
        update(debt)
        .where(mine, debt.c.state.in_(("sent", "due", "held", "withdrawn", "posted", "failed")))
        .values(state="due", due=change.until, post_id=None, missed=0, reason=None)
    )
    if done.rowcount == 0:
        raise Refusal("bad.debt_gone", outcome="refuse")
    return {"debts": list(change.debt_ids)}


async def take_up(connection: AsyncConnection, change: TakeUp, who: Writer) -> dict[str, Any]:
    """What waited for somebody who could not be reached, or for a room that was closed."""
    if change.room:
        of_room = select(rule.c.id).where(rule.c.community_id == who.community_id, rule.c.room)
        await connection.execute(
            update(debt)
            .where(debt.c.rule_id.in_(of_room), debt.c.state == "held")
            .values(state="due", post_id=None)
        )
        await connection.execute(
            update(community).where(community.c.id == who.community_id).values(room_held=False)
        )
        return {"room": True}
    own = select(rule.c.id).where(rule.c.member_id == who.member_id, ~rule.c.room)
    await connection.execute(
        update(debt)
        .where(debt.c.rule_id.in_(own), debt.c.state == "held")
        .values(state="due", post_id=None)
    )
    await connection.execute(
        update(member).where(member.c.id == who.member_id).values(closed=False)
    )
    return {"room": False}
