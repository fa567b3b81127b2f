"""An answer's changes, written in one transaction together with the interaction's id."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import delete, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.answer import Awaits, Offer
from bot.records.changes import (
    AddEntries,
    AddEntry,
    AddPlantings,
    AddRule,
    AddTower,
    Change,
    CloseDebt,
    EditRule,
    EditTower,
    ForgetMe,
    JoinTower,
    LeaveOut,
    LeaveTower,
    PackTower,
    PassOn,
    Postpone,
    Replant,
    Resend,
    SetAside,
    SetCommunity,
    SetFeed,
    SetHome,
    SetMember,
    SetNote,
    SetPolicy,
    SetRole,
    SetSupply,
    ShareTower,
    StopRules,
    TakeUp,
    TellOutdoors,
    UndoEntry,
    UndoSupply,
)
from bot.records.people import Asker
from bot.records.questions import Question, with_field
from bot.storage.coaching import set_community, set_feed, set_note, set_policy
from bot.storage.engine import Store
from bot.storage.forgetting import forget
from bot.storage.handles import use_handle, write_handles
from bot.storage.logbook import add_entries, add_entry, undo_entry, write_replant
from bot.storage.models import audit, community, conversation, member, seen_interaction
from bot.storage.people import Writer, set_home, set_member, set_role, writer
from bot.storage.planting import add_plantings
from bot.storage.reminding.debts import close_debt, postpone, take_up
from bot.storage.reminding.plans import mark_community, mark_keepers
from bot.storage.reminding.rules import add_rule, edit_rule, stop_rules
from bot.storage.reminding.unsent import leave_out, resend
from bot.storage.spells import tell_outdoors
from bot.storage.supplies import set_supply, undo_supply
from bot.storage.talk import write_open
from bot.storage.towers import (
    add_tower,
    edit_tower,
    join_tower,
    leave_tower,
    must_keep,
    pack_tower,
    share_tower,
)
from bot.storage.waiting import pass_on, set_aside

_COACHS = (SetAside, SetCommunity, SetFeed, SetNote, SetPolicy, SetRole, TellOutdoors)
# What no fact of a tower hangs on: nobody's reminders are worked out anew for it.
_NO_FACT = (
    AddRule, CloseDebt, PassOn, Postpone, SetAside, SetHome, SetNote, SetSupply, StopRules,
    TakeUp, TellOutdoors, UndoSupply, Resend, LeaveOut,
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Writing:
    """What one answer has to write.

    pressed: the button behind it, which does its work only once; offers: the buttons under it;
    awaits: what the next text fills; settled: an open question at this place is answered;
    member_id: the row that the answer was worked out from (0: there was none yet).
    """

    changes: Sequence[Change] = ()
    pressed: str | None = None
    offers: Sequence[tuple[str, Offer]] = ()
    awaits: Awaits | None = None
    settled: bool = False
    member_id: int = 0


async def apply(
    store: Store, asker: Asker, writing: Writing, interaction_id: int, now: datetime
) -> bool:
    """Write it all; False when it was written before.

    Raises
    ------
    Refusal
        What a change rests on is no longer so; nothing is written.
    Unavailable
        The database cannot be written; nothing is.
    """
    async with store.write() as connection:
        if not await _first_time(connection, interaction_id, now):
            return False
        if writing.pressed is not None and writing.changes:
            await use_handle(connection, writing.pressed, now)
        if writing.changes or writing.awaits:
            who = await writer(connection, asker, writing.member_id, now)
            made = await _write_all(connection, writing.changes, who, now)
            writing = numbered(writing, made)
            await write_open(connection, who, asker, writing, now)
        elif writing.settled:
            await _close(connection, asker)
        if not any(isinstance(change, ForgetMe) for change in writing.changes):
            await write_handles(connection, asker, writing.offers, now)
    if writing.changes or writing.awaits or writing.settled:
        store.facts_changed()
    return True


async def _close(connection: AsyncConnection, asker: Asker) -> None:
    mine = select(member.c.id).where(member.c.user_id == asker.user_id)
    await connection.execute(
        delete(conversation).where(
            conversation.c.member_id.in_(mine), conversation.c.guild_id == (asker.guild_id or 0)
        )
    )


async def _first_time(connection: AsyncConnection, interaction_id: int, now: datetime) -> bool:
    row = {"id": interaction_id, "at": now}
    done = await connection.execute(
        sqlite_insert(seen_interaction).values(row).on_conflict_do_nothing()
    )
    return done.rowcount == 1


async def _write_all(
    connection: AsyncConnection, changes: Sequence[Change], who: Writer, now: datetime
) -> dict[str, int]:
    """Every change in order, each with its audit line; a coach's only by one who is coach now.

    The numbers of new towers, by name, so that buttons may mean them whatever they are called then.
    """
    made: dict[str, int] = {}
    new_tower = 0
    for change in changes:
        if _coachs(change):
            await _must_coach(connection, who)
        if isinstance(change, ForgetMe):
            await forget(connection, who, now)
            return made
        if isinstance(change, AddTower):
            new_tower = made[change.tower.name] = await add_tower(connection, change, who)
        detail = await _write(connection, change, who, new_tower, now)
        row = {
            "community_id": who.community_id,
            "member_id": who.member_id,
            "at": now,
            "what": type(change).__name__,
            "detail": detail,
        }
        await connection.execute(insert(audit).values(row))
    if not all(isinstance(change, _NO_FACT) for change in changes):
        await mark_keepers(connection, who)
    if any(isinstance(change, SetPolicy | SetFeed | SetCommunity) for change in changes):
        await mark_community(connection, who.community_id)
    return made


def numbered(writing: Writing, made: dict[str, int]) -> Writing:
    """Buttons and open questions that name a tower just made, by its number."""
    if not made:
        return writing

    def by_number(question: Question) -> Question:
        number = made.get(getattr(question, "tower", None) or "")
        return question if number is None else with_field(question, "tower", f"#{number}")

    offers = [(k, replace(o, question=by_number(o.question))) for k, o in writing.offers]
    awaits = writing.awaits
    if awaits is not None:
        awaits = replace(awaits, question=by_number(awaits.question))
    return replace(writing, offers=offers, awaits=awaits)


def _coachs(change: Change) -> bool:
    """Whether only a coach may write it."""
    match change:
        case AddRule():
            return change.rule.room
        case TakeUp():
            return change.room
        case _:
            return isinstance(change, _COACHS) and not _free(change)


def _free(change: Change) -> bool:
    """A member's own bottle; a first coach, whom the service let in by the platform's word."""
    if isinstance(change, SetFeed):
        return change.feed.own
    return isinstance(change, SetRole) and change.user_id is None and change.role == "coach"


async def _must_coach(connection: AsyncConnection, who: Writer) -> None:
    role = select(member.c.role).where(member.c.id == who.member_id)
    if (await connection.execute(role)).scalar() != "coach":
        raise Refusal("no.coach_only", outcome="refuse")


async def _write(
    connection: AsyncConnection, change: Change, who: Writer, new_tower: int, now: datetime
) -> dict[str, Any]:
    """One change; what its audit line says, never a person's own text."""
    match change:
        case AddTower():
            return {"tower": new_tower}
        case EditTower():
            return await edit_tower(connection, change, who)
        case AddEntry():
            return await add_entry(connection, change, who, change.tower_id or new_tower, now)
        case AddEntries():
            return await add_entries(connection, change, who, change.tower_id or new_tower)
        case UndoEntry():
            return await undo_entry(connection, change, who, now)
        case Replant():
            return await write_replant(connection, change, who, now)
        case AddPlantings():
            await must_keep(connection, change.tower_id or new_tower, who)
            return await add_plantings(connection, change.tower_id or new_tower, change.plantings)
        case SetSupply():
            return await set_supply(connection, change, who)
        case UndoSupply():
            return await undo_supply(connection, change, who)
        case ShareTower():
            return await share_tower(connection, change, who, now)
        case JoinTower():
            return await join_tower(connection, change, who)
        case LeaveTower():
            return await leave_tower(connection, change, who)
        case PackTower():
            packed = replace(change, tower_id=change.tower_id or new_tower)
            return await pack_tower(connection, packed, who)
        case SetMember():
            return await set_member(connection, change, who)
        case SetHome():
            return await set_home(connection, change, who)
        case SetRole():
            return await set_role(connection, change, who, now)
        case SetCommunity():
            return await set_community(connection, change, who)
        case SetFeed():
            return await set_feed(connection, change, who, now)
        case SetPolicy():
            return await set_policy(connection, change, who)
        case SetNote():
            return await set_note(connection, change, who, now)
        case PassOn():
            return await pass_on(connection, change, who, now)
        case SetAside():
            return await set_aside(connection, change, who)
        case TellOutdoors():
            return await tell_outdoors(connection, change, who, now)
        case ForgetMe():
            raise AssertionError("written by itself")
        case _:
            return await _write_reminder(connection, change, who, now)


async def _write_reminder(
    connection: AsyncConnection,
    change: AddRule | EditRule | StopRules | CloseDebt | Postpone | TakeUp | Resend | LeaveOut,
    who: Writer,
    now: datetime,
) -> dict[str, Any]:
    match change:
        case AddRule():
            return await add_rule(connection, change, who, now)
        case EditRule():
            return await edit_rule(connection, change, who, now)
        case StopRules():
            return await stop_rules(connection, change, who, now)
        case CloseDebt():
            return await close_debt(connection, change, who)
        case Postpone():
            return await postpone(connection, change, who)
        case TakeUp():
            return await take_up(connection, change, who)
        case Resend():
            return await resend(connection, change, who)
        case LeaveOut():
            return await leave_out(connection, change, who)


async def set_welcome(store: Store, community_id: int, message_id: int) -> None:
    """Remember the welcome post, so that a second set-up changes it instead of posting again."""
    async with store.write() as connection:
        await connection.execute(
            update(community).where(community.c.id == community_id).values(welcome_id=message_id)
        )
    store.facts_changed()
