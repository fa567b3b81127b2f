"""One process holds a data folder: the bot, or whoever puts another file in its place."""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bot.errors import NotStarted


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
