"""Copies of the database file: made beside a running bot, checked, put in the file's place."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from sqlalchemy.engine import make_url

from bot.errors import NotStarted


def file_of(url: str) -> Path:
    """The SQLite file behind an address."""
    return Path(make_url(url).database or "")


def copy_to(url: str, target: Path) -> None:
    """A copy as of one moment, also while a bot writes; whole, or not there at all.

    Raises
    ------
    NotStarted
        "operator.copy": it cannot be read, or the copy not be written.
    """
    part = target.with_name(target.name + ".part")
    try:
        with closing(_opened(file_of(url))) as source, closing(sqlite3.connect(part)) as made:
            source.backup(made)  # at one go: a reader holds up no writer
            made.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it
        part.chmod(0o600)
        _to_disk(part)
        part.replace(target)
        _to_disk(target.parent)
    except (sqlite3.Error, OSError) as error:
        part.unlink(missing_ok=True)
        raise NotStarted("operator.copy", path=target, reason=error) from None


def damage(path: Path) -> str:
    """What is wrong with a database file: nothing, or SQLite's own first word on it."""
    try:
        with closing(_opened(path)) as connection:
            found = str(connection.execute("PRAGMA integrity_check(1)").fetchone()[0])
            loose = connection.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.Error as error:
        return str(error)
    if found != "ok":
        return found.splitlines()[0]
    return f"a row of {loose[0]} points nowhere" if loose else ""


def swap(path: Path, by: Path, kept: Path) -> None:
    """Put `by` in the place of `path`, which is kept as `kept`; at no moment is there none.

    A log left beside it would be taken for the new file's own: it is folded in first, or, where
    the file is past that, kept beside `kept`.
    """
    if path.exists():
        with suppress(sqlite3.Error), closing(sqlite3.connect(path, timeout=30)) as old:
            old.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        for end in ("-wal", "-shm"):
            beside = path.with_name(path.name + end)
            if beside.exists():
                beside.replace(kept.with_name(kept.name + end))
        os.link(path, kept)
    by.replace(path)
    _to_disk(path.parent)


def _opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=30)


def _to_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
