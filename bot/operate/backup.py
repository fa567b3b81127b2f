"""A copy of the records, made and read back; copies expire."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from bot.clock import Clock
from bot.errors import NotStarted
from bot.settings import Settings
from bot.storage import check_schema
from bot.storage.copying import copy_to, damage
from bot.words import sentence

KEPT = timedelta(days=30)  # who asked to be forgotten is in no older copy
_NAME = "tankwren-*.db"
_STAMP = "tankwren-%Y%m%dT%H%M%SZ.db"


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
    copy_to(settings.database_url, target)
    if wrong := damage(target):
        target.unlink()
        raise NotStarted("operator.copy_damaged", reason=wrong)
    gone = _expire(folder, now) if to is None else 0
    size = target.stat().st_size
    return sentence("operator.copied").format(path=target, kb=-(-size // 1024), gone=gone)


def newest_copy(settings: Settings) -> datetime | None:
    """When the last copy in the data folder was made."""
    made = [made_at(one) for one in (settings.data_dir / "backups").glob(_NAME)]
    return max((at for at in made if at is not None), default=None)


def made_at(path: Path) -> datetime | None:
    """When a copy was made, by its name."""
    try:
        return datetime.strptime(f"{path.name}+0000", f"{_STAMP}%z")
    except ValueError:
        return None


def _expire(folder: Path, now: datetime) -> int:
    old = [p for p in folder.glob(_NAME) if (at := made_at(p)) is not None and at < now - KEPT]
    for path in old:
        path.unlink()
    return len(old)
