"""Forecasts in a real file: kept once, judged, counted, gone with what they were about."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from bot.demo import saltmarsh
from bot.records.changes import AddEntry, ForgetMe, UndoEntry
from bot.records.facts import Entry
from bot.records.forecasts import Foretold, Judged
from bot.storage import Store, forget_left, load_book, present_in, tidy
from bot.storage.forecasts import dry_of, judged_of, keep_forecasts, unjudged
from tests.bot.storage.asking import NOW, TAMSIN, Writer, kitchen, rows

pytestmark = pytest.mark.asyncio
DAY = timedelta(days=1)
COUNT = "SELECT count(*) FROM forecast"


def told(tower_id: int, entry_id: int = 1, **facts: object) -> Foretold:
    base = Foretold(
        tower_id=tower_id, entry_id=entry_id, made_at=NOW, what="pump_line", mark_l=13.0,
        level_l=50.0, likely=NOW + 5 * DAY, early=NOW + 4 * DAY, late=NOW + 6 * DAY, readings=3,
    )  # fmt: skip
    return replace(base, **facts)  # type: ignore[arg-type]


async def keep(store: Store, *some: Foretold) -> None:
    async with store.write() as connection:
        await keep_forecasts(connection, some, ())


async def judge(store: Store, outcome: str) -> None:
    tower_id = (await kitchen(store)).id
    open_ = await unjudged(store, [tower_id])
    async with store.write() as connection:
        await keep_forecasts(connection, (), [replace(one, outcome=outcome) for one in open_])


async def test_each_is_kept_once_for_its_line_and_judged_once(store: Store, url: str) -> None:
    at = (await kitchen(store)).id
    await keep(store, told(at), told(at, likely=NOW + 9 * DAY), told(at, what="refill"))
    assert rows(url, COUNT) == [(2,)]
    await judge(store, "hit")
    assert await unjudged(store, [at]) == ()
    await keep(store, told(at, 2))
    await judge(store, "late")
    await keep(store, told(at, 3))
    await judge(store, "void")
    community_id = (await load_book(store, TAMSIN, NOW)).community.id
    async with store.read() as connection:
        # What nobody can tell counts for neither side.
        assert await judged_of(connection, community_id) == Judged(all=3, hits=2)


async def test_the_coach_sees_what_is_still_to_come_true(
    store: Store,
    write: Writer,
    url: str,
) -> None:
    at = (await kitchen(store)).id
    book = await load_book(store, TAMSIN, NOW)
    await write(TAMSIN, AddEntry(tower_id=at, entry=Entry(tower="kitchen", at=NOW, kind="level",
                                                          level_l=20.0)))  # fmt: skip
    ((slip,),) = rows(url, "SELECT max(id) FROM entry")
    await keep(store, told(at, 0), told(at, slip, likely=NOW + DAY))
    async with store.read() as connection:
        assert await dry_of(connection, book.community.id) == {book.member.id: NOW + DAY}
    await write(TAMSIN, UndoEntry(entry_id=slip))
    async with store.read() as connection:
        assert await dry_of(connection, book.community.id) == {book.member.id: NOW + 5 * DAY}


async def test_a_tower_forgotten_meanwhile_takes_nobody_with_it(
    store: Store,
    write: Writer,
    url: str,
) -> None:
    at = (await kitchen(store)).id
    await keep(store, told(at))
    await write(TAMSIN, ForgetMe())
    assert rows(url, COUNT) == [(0,)]
    await keep(store, told(at))
    assert rows(url, COUNT) == [(0,)]


async def test_old_ones_are_tidied_and_open_ones_stay(store: Store, url: str) -> None:
    at = (await kitchen(store)).id
    await keep(store, told(at, 1, made_at=NOW - 100 * DAY))
    await judge(store, "void")
    await keep(store, told(at, 2, made_at=NOW - 100 * DAY))
    await judge(store, "hit")
    await keep(store, told(at, 3, made_at=NOW - 100 * DAY))
    await tidy(store, NOW)
    assert rows(url, "SELECT outcome FROM forecast ORDER BY id") == [("hit",), ("open",)]
    await tidy(store, NOW + 400 * DAY)
    assert rows(url, "SELECT outcome FROM forecast") == [("open",)]


async def test_they_go_with_a_community_that_was_left(store: Store, url: str) -> None:
    await keep(store, told((await kitchen(store)).id))
    await present_in(store, [saltmarsh.GUILD_ID + 1], NOW)
    await forget_left(store, NOW + 31 * DAY)
    assert rows(url, COUNT) == [(0,)]
