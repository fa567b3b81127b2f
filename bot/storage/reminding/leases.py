"""Who may send a post, and until when.

A lease ends by the machine's monotonic clock, which all its processes share and which nobody can
set; after a reboot it begins anew, so a lease of another boot has ended.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from time import monotonic

from sqlalchemy import ColumnElement, and_, or_

from bot.records.reminders import Claimed
from bot.storage.models import post

_BOOT = Path("/proc/sys/kernel/random/boot_id")


@cache
def boot_id() -> str:
    """This boot of this machine; where it does not tell, this process."""
    try:
        return _BOOT.read_text(encoding="ascii").strip()[:36]
    except OSError:
        return secrets.token_hex(16)


def new_nonce() -> str:
    """What a post and its repeats are known by at the platform: 25 characters at most.

    Random, not counted: a number may come again when rows are deleted or a file is restored.
    """
    return secrets.token_hex(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lease:
    """A worker's name, and how long it holds what it claims."""

    owner: str = field(default_factory=lambda: secrets.token_hex(16))
    seconds: float = 30.0

    def until(self, wait_s: float | None = None) -> dict[str, str | float]:
        """The columns of a lease from now on."""
        ends = monotonic() + (self.seconds if wait_s is None else wait_s)
        return {"boot": boot_id(), "lease_until": ends}


def ended() -> ColumnElement[bool]:
    """Posts that nobody holds."""
    return or_(post.c.boot != boot_id(), post.c.lease_until <= monotonic())


def held_by(owner: str, one: Claimed) -> ColumnElement[bool]:
    """The fence: the same post, still this worker's, and not claimed anew since."""
    return and_(
        post.c.id == one.id,
        post.c.nonce == one.nonce,
        post.c.owner == owner,
        post.c.attempt == one.attempt,
        post.c.state == "open",
    )
