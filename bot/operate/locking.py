"""The data folder: one process holds it, and what is missing from it is not begun anew."""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bot.errors import NotStarted
from bot.settings import Settings
from bot.storage.copying import file_of

COPIES = "tankwren-*.db"


def not_lost(settings: Settings) -> None:
    """A database that is gone while copies of it are there is not begun anew.

    Raises
    ------
    NotStarted
    """
    path = file_of(settings.database_url)
    copies = sorted((settings.data_dir / "backups").glob(COPIES))
    if not path.exists() and copies:
        raise NotStarted("operator.lost", path=path, copy=copies[-1])


@contextmanager
def only_one(data_dir: Path) -> Iterator[None]:
    """Hold the data folder for this process: the system lets go of it however the process ends.

    Raises
    ------
    NotStarted
        Another one has it.
    """
    with (data_dir / "tankwren.lock").open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise NotStarted("operator.second", path=data_dir) from None
        yield


def is_held(data_dir: Path) -> bool:
    """Whether a bot runs here."""
    try:
        with only_one(data_dir):
            return False
    except NotStarted:
        return True
