"""What is wrong here, line by line, each with what to do about it."""

from __future__ import annotations

import asyncio
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.clock import Clock, zone_data
from bot.errors import NotStarted
from bot.operate.backup import newest_copy
from bot.operate.locking import is_held
from bot.records.reminders import Standing
from bot.reminders.guarding import MOST_AHEAD
from bot.settings import Settings
from bot.storage import Store, Unavailable, check_schema
from bot.storage.copying import damage, file_of
from bot.storage.reminding.plans import standing
from bot.storage.seen import last_seen, note_seen
from bot.words import sentence

_TOKEN = re.compile(r"[\w-]{18,}\.[\w-]{4,}\.[\w-]{20,}")  # three parts, as the platform makes them
_ZONES_OLD = timedelta(days=183)
_ZONE_EDITION = timedelta(days=90)  # editions come three or four a year
_SPARE_BYTES = 200_000_000
_COPY_OLD = timedelta(days=7)
_SLACK = timedelta(minutes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One line: fine, or what is wrong and what to do."""

    name: str
    good: bool
    text: str


def check(settings: Settings, clock: Clock, *, clock_is_right: bool = False) -> tuple[str, bool]:
    """All findings as text, and whether all is well.

    clock_is_right: the operator's word that a clock far ahead of the last sign of life is right.
    """
    found = list(_findings(settings, clock, clock_is_right=clock_is_right))
    rows = [
        sentence("operator.check_ok" if one.good else "operator.check_wrong").format(
            name=one.name, text=one.text
        )
        for one in found
    ]
    return "\n".join(rows), all(one.good for one in found)


def _findings(settings: Settings, clock: Clock, *, clock_is_right: bool) -> Iterator[Finding]:
    yield _token(settings)
    yield _folder(settings)
    whole = True
    try:
        check_schema(settings.database_url)
        yield _fine("schema")
    except NotStarted as reason:
        whole = False
        yield _wrong("schema", reason)
    path = file_of(settings.database_url)
    if path.is_file():
        wrong = damage(path)
        whole = whole and not wrong
        yield _say("database", not wrong, "operator.check_damaged", reason=wrong)
        yield _rights(path)
    yield _disk(settings, path)
    yield _zones(clock.now())
    yield _copies(settings, clock.now())
    if whole:
        yield from asyncio.run(_inside(settings, clock, clock_is_right=clock_is_right))
    running = "operator.check_running" if is_held(settings.data_dir) else "operator.check_stopped"
    yield Finding(name="bot", good=True, text=sentence(running))


async def _inside(settings: Settings, clock: Clock, *, clock_is_right: bool) -> list[Finding]:
    """What only the records can say."""
    store = Store(settings.database_url)
    now = clock.now()
    try:
        if clock_is_right:
            await note_seen(store, now)
        seen, queue = await last_seen(store), await standing(store, now)
    except Unavailable as error:
        return [_say("records", False, "operator.check_busy", reason=error)]
    finally:
        await store.close()
    return [_clock(seen, now), *_queue(queue)]


def _clock(seen: datetime | None, now: datetime) -> Finding:
    said = f"{now:%Y-%m-%d %H:%M} UTC"
    if seen is not None and now < seen - _SLACK:
        last = f"{seen:%Y-%m-%d %H:%M}"
        return _say("clock", False, "operator.check_behind", now=said, seen=last)
    if seen is not None and now - seen > MOST_AHEAD:
        last = f"{seen:%Y-%m-%d %H:%M}"
        return _say("clock", False, "operator.check_ahead", now=said, seen=last)
    return Finding(name="clock", good=True, text=said)


def _queue(queue: Standing) -> Iterator[Finding]:
    yield _say("backlog", queue.late_s <= 120, "operator.check_late",
               count=queue.due, minutes=round(queue.late_s / 60))  # fmt: skip
    yield _say("unsent", not queue.unsent, "operator.check_unsent", count=queue.unsent)


def _token(settings: Settings) -> Finding:
    try:
        token = settings.with_token()
    except NotStarted as reason:
        return _wrong("token", reason)
    other = settings.api_url is not None  # another server makes tokens of its own
    good = other or _TOKEN.fullmatch(token) is not None
    return _say("token", good, "operator.check_token")


def _folder(settings: Settings) -> Finding:
    mode = settings.data_dir.stat().st_mode & 0o777
    return _say("folder", not mode & 0o077, "operator.check_folder",
                path=settings.data_dir, mode=f"{mode:o}")  # fmt: skip


def _rights(path: Path) -> Finding:
    open_ = [
        one
        for one in (path, *(path.with_name(path.name + end) for end in ("-wal", "-shm")))
        if one.exists() and one.stat().st_mode & 0o077
    ]
    shown = " ".join(str(one) for one in open_)
    return _say("rights", not open_, "operator.check_rights", paths=shown)


def _disk(settings: Settings, path: Path) -> Finding:
    free = shutil.disk_usage(settings.data_dir).free
    size = path.stat().st_size if path.is_file() else 0
    wanted = _SPARE_BYTES + 2 * size  # a copy beside it, and one being restored
    good = free >= wanted
    free_mb, wanted_mb = free // 1_000_000, -(-wanted // 1_000_000)
    if good:
        return Finding(name="disk", good=True,
                       text=sentence("operator.check_free").format(mb=free_mb))  # fmt: skip
    return _say("disk", False, "operator.check_disk", free=free_mb, wanted=wanted_mb)


def _zones(now: datetime) -> Finding:
    """An edition is named by its year and number; its day is not told, so it is put late."""
    edition = zone_data()
    year, _, number = edition.partition(".")
    made = datetime(int(year), 1, 1, tzinfo=UTC) + int(number or 1) * _ZONE_EDITION
    if now - made <= _ZONES_OLD:
        return Finding(name="zones", good=True, text=edition)
    return _say("zones", False, "operator.check_zones", edition=edition)


def _copies(settings: Settings, now: datetime) -> Finding:
    last = newest_copy(settings, now)
    good = last is not None and now - last <= _COPY_OLD
    return _say("backup", good, "operator.check_copies")


def _fine(name: str) -> Finding:
    return Finding(name=name, good=True, text=sentence("operator.check_fine"))


def _wrong(name: str, reason: NotStarted) -> Finding:
    return Finding(name=name, good=False, text=sentence(reason.word).format(**reason.values))


def _say(name: str, good: bool, word: str, **values: object) -> Finding:
    return _fine(name) if good else Finding(
        name=name, good=False, text=sentence(word).format(**values)
    )  # fmt: skip
