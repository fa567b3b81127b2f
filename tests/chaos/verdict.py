"""What the server was made to say, beside what it should have said, and what the file holds."""

from __future__ import annotations

import re
import sqlite3
from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from bot.rehearsal import ChatServer
from tests.chaos.town import Planned

_TEXT = re.compile(r"rinse tray q\d{5}q", re.IGNORECASE)  # a sentence may begin with it
_NO_NEXT = {
    "debt due": "select count(*) from debt where state = 'due'",
    "debt posted": "select count(*) from debt where state = 'posted'",
    "debt held or failed": "select count(*) from debt where state in ('held', 'failed')",
    "post open": "select count(*) from post where state = 'open'",
}
_BAD_LINES = ("Traceback", "stumbled", "not settled", "no words", "not planned", "went wrong")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How it went. repeats: requests under a nonce that had been used before, which the platform
    answers with the first message: each would have been one too many."""

    kills: int
    of_which_term: int
    restarts: int
    reminders: int
    messages: int
    repeats: int
    lost: tuple[str, ...]
    doubled: tuple[str, ...]
    stuck: tuple[str, ...]
    integrity: str
    troubles: tuple[str, ...]
    said: Mapping[str, int]
    ended: Mapping[str, int]
    longest_lateness_s: float
    took_s: float

    @property
    def good(self) -> bool:
        """Nothing lost, nothing doubled, nothing left half way."""
        wrong = (*self.lost, *self.doubled, *self.stuck, *self.troubles)
        return not wrong and self.integrity == "ok"


def judge(
    server: ChatServer,
    folder: Path,
    reminders: Sequence[Planned],
    *,
    ended: Counter[str],
    troubles: Sequence[str],
    repeats: int,
    took_s: float,
) -> Verdict:
    """The multiset of created messages against the multiset of reminders, and the rows left."""
    messages = server.messages
    seen = Counter(text for one in messages for text in _texts(one))
    wanted = Counter(one.text for one in reminders)
    surprises = [f"surprise: {one}" for one in server.board.surprises]
    return Verdict(
        kills=ended.total(),
        of_which_term=ended["term"],
        restarts=ended.total(),
        reminders=len(reminders),
        messages=len(messages),
        repeats=repeats,
        lost=tuple(sorted((wanted - seen).elements())),
        doubled=tuple(sorted((seen - wanted).elements())),
        stuck=tuple(f"{name}: {count}" for name, count in unsettled(folder).items()),
        integrity=_integrity(folder),
        troubles=(*troubles, *surprises),
        said=_said(folder),
        ended=dict(ended),
        longest_lateness_s=_longest(messages, reminders),
        took_s=took_s,
    )


def _texts(message: Mapping[str, object]) -> list[str]:
    return [text.lower() for text in _TEXT.findall(str(message["content"]))]


def unsettled(folder: Path) -> dict[str, int]:
    """Rows in a state that is not the last, by kind; all reminders of a run come once."""
    with closing(_opened(folder)) as connection:
        found = {name: int(connection.execute(q).fetchone()[0]) for name, q in _NO_NEXT.items()}
    return {name: count for name, count in found.items() if count}


def _integrity(folder: Path) -> str:
    with closing(_opened(folder)) as connection:
        whole = str(connection.execute("pragma integrity_check").fetchone()[0])
        loose = connection.execute("pragma foreign_key_check").fetchall()
    return f"{len(loose)} loose references" if loose else whole


def _opened(folder: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"file:{folder / 'tankwren.db'}?mode=ro", uri=True, timeout=30)


def _said(folder: Path) -> dict[str, int]:
    """Lines of the bots' standard error that tell of a bug, by what they hold."""
    log = (folder / "stderr.txt").read_text(encoding="utf-8", errors="replace")
    return {part: count for part in _BAD_LINES if (count := log.count(part))}


def _longest(messages: Sequence[Mapping[str, object]], reminders: Sequence[Planned]) -> float:
    due = {one.text: one.due for one in reminders}
    late = [
        (datetime.fromisoformat(str(one["timestamp"])) - due[text]).total_seconds()
        for one in messages
        for text in _texts(one)
        if text in due
    ]
    return max(late, default=0.0)
