"""An old copy in the file's place. Reminders that may have been sent since are held, never sent
again unasked; without a yes only the list of them is shown."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from bot.clock import Clock
from bot.errors import NotStarted
from bot.operate.locking import only_one
from bot.settings import Settings
from bot.storage import Store, migrate
from bot.storage.copying import copy_to, damage, file_of, swap
from bot.storage.reminding.restoring import Doubted, doubted, hold_doubted, newest_sent
from bot.storage.schema import revision_of
from bot.words import sentence

_MOST_SHOWN = 200
_KEPT = "before-restore-%Y%m%dT%H%M%SZ"


def restore(settings: Settings, clock: Clock, copy: Path, *, yes: bool) -> str:
    """Put `copy` in the database's place; what was held. Without `yes`: what would be.

    Raises
    ------
    NotStarted
        A bot runs here, or the copy is none.
    """
    if not copy.is_file():
        raise NotStarted("operator.no_copy", path=copy)
    if wrong := damage(copy):
        raise NotStarted("operator.copy_damaged", reason=wrong)
    with only_one(settings.data_dir):
        return _restored(settings, clock.now(), copy, yes=yes)


def _restored(settings: Settings, now: datetime, copy: Path, *, yes: bool) -> str:
    """All is done to a second copy first: cut short anywhere, the old file still stands."""
    path = file_of(settings.database_url)
    until = _known_sent(path, now)
    fresh = path.with_name(path.name + ".restoring")
    fresh.unlink(missing_ok=True)
    url = f"sqlite+aiosqlite:///{fresh}"
    copy_to(f"sqlite+aiosqlite:///{copy.absolute()}", fresh)
    try:
        if revision_of(url) is None:
            raise NotStarted("operator.no_copy", path=copy)
        migrate(url)
        found = asyncio.run(_held(url, until, now))
        shown = _listed(found, until)
        if not yes:
            return "\n".join((*shown, sentence("operator.restore_yes")))
        kept = path.with_name(f"{path.name}.{now.strftime(_KEPT)}")
        copy_to(url, part := fresh.with_name(fresh.name + ".whole"))  # its log folded in
        swap(path, part, kept)
        return "\n".join((*shown, sentence("operator.restored").format(path=path, kept=kept)))
    finally:
        for end in ("", "-wal", "-shm", ".whole"):
            fresh.with_name(fresh.name + end).unlink(missing_ok=True)


def _known_sent(path: Path, now: datetime) -> datetime:
    """Until when messages were sent: by the file that is replaced; unreadable, it may be now."""
    if not path.exists() or damage(path):
        return now
    found = asyncio.run(_newest(f"sqlite+aiosqlite:///{path}"))
    return found or now


async def _newest(url: str) -> datetime | None:
    store = Store(url)
    try:
        return await newest_sent(store)
    finally:
        await store.close()


async def _held(url: str, until: datetime, now: datetime) -> Sequence[Doubted]:
    store = Store(url)
    try:
        found = await doubted(store, until)
        await hold_doubted(store, until, now)
        return found
    finally:
        await store.close()


def _listed(found: Sequence[Doubted], until: datetime) -> tuple[str, ...]:
    at = until.strftime("%Y-%m-%d %H:%M UTC")
    head = sentence("operator.restore_held").format(count=len(found), at=at)
    rows = [
        sentence("operator.restore_row").format(
            due=one.due.strftime("%Y-%m-%d %H:%M"),
            community=one.community,
            who=sentence("operator.the_room") if one.room else one.name,
            what=sentence(f"fact.{one.what}" if one.what != "note" else "operator.own_reminder"),
        )
        for one in found[:_MOST_SHOWN]
    ]
    more = len(found) - len(rows)
    return (head, *rows, *((sentence("operator.restore_more").format(count=more),) if more else ()))
