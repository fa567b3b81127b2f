"""An old copy in the file's place. Reminders that may have been sent since are held, never sent
again unasked; without a yes only the list of them is shown."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from bot.clock import Clock
from bot.errors import NotStarted
from bot.operate.backup import ASIDE
from bot.operate.locking import only_one
from bot.settings import Settings
from bot.storage import Store, Unavailable, migrate
from bot.storage.copying import copy_to, damage, file_of, swap
from bot.storage.reminding.restoring import (
    Doubted,
    doubted,
    forget_again,
    hold_doubted,
    newest_sent,
    people_of,
)
from bot.storage.schema import revision_of
from bot.words import sentence

_MOST_SHOWN = 200
_KEPT = f"{ASIDE}%Y%m%dT%H%M%SZ"


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
    kept = path.with_name(f"{path.name}.{now.strftime(_KEPT)}")
    if kept.exists():
        raise NotStarted("operator.copy_there", path=kept)
    fresh = path.with_name(path.name + ".restoring")
    whole = fresh.with_name(fresh.name + ".whole")
    _unlink(fresh, whole)
    url = f"sqlite+aiosqlite:///{fresh}"
    try:
        copy_to(f"sqlite+aiosqlite:///{copy.absolute()}", fresh)
        if revision_of(url) is None:
            raise NotStarted("operator.no_copy", path=copy)
        migrate(url)
        known = _known(path)
        until = known.until or now
        found = asyncio.run(_held(url, until, known.people, now))
        shown = _listed(found, until, known=known.until is not None)
        if not yes:
            return "\n".join((*shown, sentence("operator.restore_yes")))
        copy_to(url, whole)  # its log folded in
        if wrong := damage(whole):
            raise NotStarted("operator.copy_damaged", reason=wrong)
        swap(path, whole, kept)
        return "\n".join((*shown, sentence("operator.restored").format(path=path, kept=kept)))
    finally:
        _unlink(fresh, whole)


def _unlink(*files: Path) -> None:
    for file in files:
        for end in ("", "-wal", "-shm", ".part"):
            file.with_name(file.name + end).unlink(missing_ok=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What the file that is replaced still tells: until when messages were sent, and to whom they
    may be (None: it cannot be read)."""

    until: datetime | None = None
    people: frozenset[int] | None = None


def _known(path: Path) -> _Known:
    if not path.exists() or damage(path):
        return _Known()
    try:
        return asyncio.run(_told(f"sqlite+aiosqlite:///{path}"))
    except Unavailable:  # of another schema, or empty
        return _Known()


async def _told(url: str) -> _Known:
    store = Store(url)
    try:
        return _Known(until=await newest_sent(store), people=await people_of(store))
    finally:
        await store.close()


async def _held(
    url: str, until: datetime, people: frozenset[int] | None, now: datetime
) -> Sequence[Doubted]:
    store = Store(url)
    try:
        if people is not None:
            await forget_again(store, await people_of(store) - people, now)
        found = await doubted(store, until)
        await hold_doubted(store, until, now)
        return found
    finally:
        await store.close()


def _listed(found: Sequence[Doubted], until: datetime, *, known: bool) -> tuple[str, ...]:
    at = until.strftime("%Y-%m-%d %H:%M UTC")
    word = "operator.restore_held" if known else "operator.restore_held_all"
    head = sentence(word).format(count=len(found), at=at)
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
