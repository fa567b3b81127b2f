"""Open questions: what the next text of a person at a place answers."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.people import Asker
from bot.records.questions import to_json
from bot.storage.models import conversation
from bot.storage.people import Writer

if TYPE_CHECKING:
    from bot.storage.changes import Writing


async def write_open(
    connection: AsyncConnection, who: Writer, asker: Asker, writing: Writing, now: datetime
) -> None:
    """The answer's own open question in place of an older one at this place."""
    place = asker.guild_id or 0
    if writing.awaits is None and not writing.settled:
        return
    await connection.execute(
        delete(conversation).where(
            conversation.c.member_id == who.member_id, conversation.c.guild_id == place
        )
    )
    if writing.awaits is not None:
        row = {
            "member_id": who.member_id,
            "guild_id": place,
            "question": to_json(writing.awaits.question),
            "field": writing.awaits.field,
            "at": now,
        }
        await connection.execute(insert(conversation).values(row))
