"""A copy of the records, made and read back; copies expire."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from pathlib import Path

from bot.clock import Clock
from bot.errors import NotStarted
from bot.operate.locking import COPIES
from bot.reminders.guarding import MOST_AHEAD
from bot.settings import Settings
from bot.storage import check_schema
from bot.storage.copying import copy_to, damage, file_of
from bot.words import sentence

KEPT = timedelta(days=30)  # who asked to be forgotten is in no older copy
_STAMP = "tankwren-%Y%m%dT%H%M%SZ.db"
_MOMENT = re.compile(r"\d{8}T\d{6}Z")
ASIDE = "before-restore-"


def backup(settings: Settings, clock: Clock, to: Path | None = None) -> str:
    """Copy the database, into the data folder's `backups` unless told where; what to say of it.

    Raises
    ------
    NotStarted
    """
    check_schema(settings.database_url)
    folder = settings.data_dir / "backups"
    now = clock.now()
    target = to or folder / now.strftime(_STAMP)
    if target.exists():
        raise NotStarted("operator.copy_there", path=target)
    if to is None:
        folder.mkdir(mode=0o700, exist_ok=True)
    gone = _expire(settings, now) if to is None else 0
    copy_to(settings.database_url, target)
    if wrong := damage(target):
        target.unlink()
        raise NotStarted("operator.copy_damaged", reason=wrong)
    size = target.stat().st_size
    return sentence("operator.copied").format(path=target, kb=-(-size // 1024), gone=gone)


def newest_copy(settings: Settings, now: datetime) -> datetime | None:
    """When the last copy in the data folder was made; what a wrong clock dated ahead is none."""
    made = [made_at(one) for one in (settings.data_dir / "backups").glob(COPIES)]
    return max((at for at in made if at is not None and at <= now), default=None)


def made_at(path: Path) -> datetime | None:
    """When a copy was made, or a file set aside by a restore, by the moment in its name."""
    found = _MOMENT.search(path.name)
    try:
        return datetime.strptime(f"{found[0]}+0000", "%Y%m%dT%H%M%SZ%z") if found else None
    except ValueError:
        return None


def _expire(settings: Settings, now: datetime) -> int:
    """Old ones go, and what a restore has set aside; by a clock that has jumped none does."""
    path = file_of(settings.database_url)
    files = [
        *(settings.data_dir / "backups").glob(COPIES),
        *path.parent.glob(f"{path.name}.{ASIDE}*"),
    ]
    dated = [(at, file) for file in files if (at := made_at(file)) is not None and at < now]
    if dated and now - max(at for at, _ in dated) > MOST_AHEAD:
        return 0
    old = [file for at, file in dated if at < now - KEPT]
    for file in old:
        file.unlink()
    return len(old)
