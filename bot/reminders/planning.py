"""Whose facts changed -> what their records owe them now, and what is foretold of their tanks."""

from __future__ import annotations

from datetime import datetime

import structlog

from bot.records.forecasts import Foretold
from bot.records.reminders import Owed
from bot.services import foretold, judged, owed
from bot.storage import Store, Unavailable, load_book
from bot.storage.forecasts import unjudged
from bot.storage.reminding.plans import Marked, marked, planned


async def plan(store: Store, now: datetime) -> bool:
    """Look at some of those who were marked; False when nobody is any more.

    One whose records cannot be worked out is set aside with a line in the log: the others go on.
    """
    some = await marked(store)
    if not some:
        return False
    found: list[tuple[Marked, tuple[Owed, ...] | None]] = []
    told: list[Foretold] = []
    over: list[Foretold] = []
    for one in some:
        try:
            book = await load_book(store, one.asker, now, anew=True)
            keeps = bool(book.towers or book.packed)
            found.append((one, owed(book, one.hours) if keeps else ()))
            told += foretold(book)
            open_ = await unjudged(store, [t.id for t in (*book.towers, *book.packed)])
            over += judged(open_, book)
        except Unavailable:
            raise  # they stay marked, and are looked at when the store is there again
        except Exception:
            structlog.get_logger().exception("not planned", member=one.member_id)
            found.append((one, None))
    await planned(store, found, now, told, over)
    return True
