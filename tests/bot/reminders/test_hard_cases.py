"""What an attacker and a reviewer found: wrong rooms, lost in an outage, stalled by one bad row."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import text, update

from bot.demo import saltmarsh
from bot.records.changes import AddRule, CloseDebt, EditRule, SetRole
from bot.records.people import Asker
from bot.records.reminders import Failed
from bot.stepping import SteppedClock
from bot.storage import Store
from bot.storage.models import debt, member, rule
from bot.storage.reminding import failing, posts, settling
from tests.bot.reminders.acting import (
    NOW,
    Running,
    every,
    once,
    rule_id,
    standing,
    stop,
    until,
    write,
)
from tests.bot.reminders.platform import LOST_ANSWER, REFUSED, Platform
from tests.bot.storage.asking import TAMSIN, rows

pytestmark = pytest.mark.asyncio
HOUR = timedelta(hours=1)
NOTES = "SELECT debt.state FROM debt JOIN rule ON rule.id = rule_id WHERE what = 'note'"


async def stored(url: str, query: str, wanted: object) -> None:
    await until(lambda: rows(url, query) == wanted)


async def begun(store: Store, platform: Platform) -> tuple[SteppedClock, Running]:
    clock = standing()
    running = await Running(store, clock, platform).start()
    clock.step_to(NOW + HOUR)
    return clock, running


@pytest.mark.parametrize("how", ["stopped", "done"])
async def test_a_retry_of_what_was_stopped_goes_nowhere_least_of_all_into_the_room(
    url: str, store: Store, how: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(failing, "_LONGEST_WAIT_S", 0.3)
    platform = Platform()
    platform.script.extend([REFUSED])
    platform_wait = Failed(why="later", wait_s=0.3)
    await write(store, NOW, AddRule(rule=once("my private pills", NOW + HOUR)))
    _, running = await begun(store, platform)
    platform.fails = platform_wait
    await until(lambda: platform.sends >= 2)
    platform.fails = None
    if how == "stopped":
        await stop(store, "my private pills", NOW + HOUR)
    else:
        ((number,),) = rows(url, "SELECT debt.id FROM debt JOIN rule ON rule.id = rule_id"
                                 " WHERE what = 'note'")  # fmt: skip
        await write(store, NOW + HOUR, CloseDebt(debt_id=int(str(number))))
    await stored(url, "SELECT state FROM post", [("void",)])
    await running.stop()
    assert platform.messages == []
    assert rows(url, "SELECT state FROM post") == [("void",)]


async def test_an_outage_of_any_length_loses_nothing(
    url: str, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(failing, "_LONGEST_WAIT_S", 0.001)
    platform = Platform(fails=Failed(why="unknown", wait_s=0.001))
    await write(store, NOW, AddRule(rule=once("rinse", NOW + HOUR)))
    _, running = await begun(store, platform)
    await until(lambda: platform.sends >= 30)
    platform.fails = None
    await stored(url, NOTES, [("sent",)])
    await running.stop()
    assert platform.times("rinse") == 1


async def test_words_changed_between_two_tries_are_said_anew_under_another_nonce(
    url: str, store: Store
) -> None:
    platform = Platform()
    await write(store, NOW, AddRule(rule=once("old words", NOW + HOUR)))
    platform.fails = Failed(why="later", wait_s=0.3)
    _, running = await begun(store, platform)
    await until(lambda: platform.sends >= 1)
    change = EditRule(rule_id=await rule_id(store, "old words", NOW), text="new words")
    await write(store, NOW + HOUR, change)
    platform.fails = None
    await stored(url, NOTES, [("sent",)])
    await running.stop()
    assert (platform.times("old words"), platform.times("new words")) == (0, 1)


async def test_words_changed_after_a_lost_answer_are_not_said_a_second_time(
    url: str, store: Store
) -> None:
    platform = Platform()
    platform.script.append(LOST_ANSWER)
    await write(store, NOW, AddRule(rule=once("old words", NOW + HOUR)))
    _, running = await begun(store, platform)
    await until(lambda: platform.sends >= 1)
    change = EditRule(rule_id=await rule_id(store, "old words", NOW), text="new words")
    await write(store, NOW + HOUR, change)
    await stored(url, NOTES, [("sent",)])
    await running.stop()
    assert platform.times("old words") + platform.times("new words") == 1


async def people(store: Store, count: int) -> list[Asker]:
    """So many members, each with a place of their own."""
    found = [replace(TAMSIN, user_id=9000 + n, name=f"P{n}") for n in range(count)]
    for number, one in enumerate(found):
        rule_ = once(f"first {number:03d}", NOW + HOUR)
        other = once(f"other {number:03d}", NOW + HOUR)
        await write(store, NOW, AddRule(rule=rule_), AddRule(rule=other), asker=one)
    return found


async def test_a_void_token_is_tried_once_whatever_is_due(url: str, store: Store) -> None:
    await people(store, 60)
    platform = Platform(fails=Failed(why="revoked", code=401))
    _, running = await begun(store, platform)
    await asyncio.wait_for(running.worker.revoked.wait(), 5)
    await running.stop()
    assert platform.sends == 1
    platform.fails = None
    _, again = await begun(store, platform)
    await stored(url, "SELECT count(*) FROM debt WHERE state = 'sent'", [(120,)])
    await again.stop()
    assert len(platform.messages) == 60


async def test_what_is_due_at_once_folds_for_each_person_however_many_they_are(
    url: str, store: Store
) -> None:
    await people(store, 120)
    platform = Platform()
    _, running = await begun(store, platform)
    await stored(url, "SELECT count(*) FROM debt WHERE state = 'sent'", [(240,)])
    await running.stop()
    assert len(platform.messages) == 120


@pytest.mark.parametrize("poison", ["zone", "body", "key"])
async def test_one_bad_row_holds_up_nobody(url: str, store: Store, poison: str) -> None:
    platform = Platform()
    bad = replace(TAMSIN, user_id=77, name="Bad")
    await write(store, NOW, AddRule(rule=once("bad one", NOW + HOUR)), asker=bad)
    await write(store, NOW, AddRule(rule=once("rinse", NOW + HOUR)))
    async with store.write() as connection:
        if poison == "zone":
            wrong = {"time_zone": "Atlantis/Deep", "quiet_from": "01:00", "quiet_to": "02:00"}
            await connection.execute(update(member).where(member.c.user_id == 77).values(wrong))
        if poison == "key":
            await connection.execute(
                update(rule).where(rule.c.text == "bad one").values(what="refill", kind="fact")
            )
        if poison == "body":
            await connection.execute(
                text(
                    "INSERT INTO post (id, community_id, made_at, owner, boot, lease_until, nonce,"
                    " body) SELECT 1, id, '2026-05-11 12:00:00', 'x', 'x', 0, 'n', '{\"x\": 1}'"
                    " FROM community"
                )
            )
    _, running = await begun(store, platform)
    good = "SELECT debt.state FROM debt JOIN rule ON rule.id = rule_id WHERE text = 'rinse'"
    await stored(url, good, [("sent",)])
    await running.stop()
    assert platform.times("rinse") == 1


async def test_a_good_line_beside_a_bad_one_is_said(url: str, store: Store) -> None:
    platform = Platform()
    await write(store, NOW, AddRule(rule=once("good", NOW + HOUR)),
                AddRule(rule=once("bad", NOW + HOUR)))  # fmt: skip
    async with store.write() as connection:
        await connection.execute(
            update(rule).where(rule.c.text == "bad").values(what="change", kind="fact")
        )
        await connection.execute(update(debt).where(debt.c.id == 2).values(key="nonsense"))
    _, running = await begun(store, platform)
    await stored(url, "SELECT state FROM debt WHERE id = 1", [("sent",)])
    await running.stop()
    assert platform.times("good") == 1
    ((state,),) = rows(url, "SELECT state FROM debt WHERE id = 2")
    assert state in ("failed", "withdrawn")  # set aside, or owed by no record


async def test_a_late_word_of_a_worker_that_slept_is_refused(
    url: str, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sleeper wakes after its lease and another has settled: the fence keeps it out."""
    platform = Platform()
    await write(store, NOW, AddRule(rule=once("rinse", NOW + HOUR)))
    clock = standing()
    first = Running(store, clock, platform, lease_s=0.05)
    claimed = await posts.claim(store, first.worker._lease, NOW + HOUR)
    await asyncio.sleep(0.1)
    second = await Running(store, clock, platform).start(alone=False)
    clock.step_to(NOW + HOUR)
    await stored(url, NOTES, [("sent",)])
    await second.stop()
    before = rows(url, "SELECT * FROM post")
    sent = await platform.send(claimed[0].to, platform.messages[0][1], claimed[0].nonce)
    assert not isinstance(sent, Failed)
    late = await settling.settle_sent(store, first.worker._lease, claimed[0], sent, NOW + 2 * HOUR)
    assert late is False
    assert rows(url, "SELECT * FROM post") == before


async def test_fifty_that_are_over_take_no_place(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await write(store, NOW, *(AddRule(rule=once(f"n{n:02d}", NOW + HOUR)) for n in range(50)))
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + HOUR)
    await running.stop()
    await write(store, NOW + HOUR, AddRule(rule=once("one more", NOW + 2 * HOUR)))
    assert rows(url, "SELECT count(*) FROM rule WHERE what = 'note'") == [(51,)]


async def test_stopped_and_begun_again_after_a_move_it_still_comes(url: str, store: Store) -> None:
    clock, platform = standing(), Platform()
    await write(store, NOW, AddRule(rule=every("rinse", NOW + HOUR, "FREQ=DAILY")))
    running = await Running(store, clock, platform).start()
    await clock.walk_to(NOW + 2 * HOUR)
    clock.step_to(NOW - HOUR)  # put back: the first key ahead was said already
    number = await rule_id(store, "rinse", NOW)
    await stop(store, "rinse", NOW)
    await write(store, NOW, EditRule(rule_id=number, again=True))
    await clock.walk_to(NOW + timedelta(days=2))
    await running.stop()
    assert platform.times("rinse") == 2  # the 11th before, the 12th after; never the 11th twice


async def test_buttons_in_private_are_about_the_community_they_came_from(
    url: str, store: Store
) -> None:
    platform = Platform()
    elsewhere = replace(TAMSIN, guild_id=999)
    await write(store, NOW, SetRole(user_id=None, role="coach"), asker=elsewhere)
    await write(store, NOW, AddRule(rule=once("second place", NOW + HOUR)), asker=elsewhere)
    _, running = await begun(store, platform)
    await stored(url, NOTES, [("sent",)])
    await running.stop()
    query = "SELECT DISTINCT community_id FROM handle WHERE user_id = {}"
    ((there,),) = rows(url, query.format(saltmarsh.MEMBER_ID))
    assert [(there,)] == rows(url, "SELECT id FROM community WHERE guild_id = 999")
    in_private = replace(TAMSIN, guild_id=None, community_id=int(str(there)))
    ((number,),) = rows(url, "SELECT debt.id FROM debt JOIN rule ON rule.id = rule_id"
                             " WHERE what = 'note'")  # fmt: skip
    await write(store, NOW + HOUR, CloseDebt(debt_id=int(str(number))), asker=in_private)
    assert rows(url, NOTES) == [("done",)]


async def test_a_limit_pauses_everybody_and_is_no_failure(url: str, store: Store) -> None:
    await people(store, 5)
    platform = Platform(fails=Failed(why="limited", code=429, wait_s=0.4))
    _, running = await begun(store, platform)
    await until(lambda: platform.sends >= 1)
    await asyncio.sleep(0.2)
    tried = platform.sends
    platform.fails = None
    await stored(url, "SELECT count(*) FROM debt WHERE state = 'sent'", [(10,)])
    await running.stop()
    assert tried <= 5  # what was on its way already; nothing more while the pause holds
    assert rows(url, "SELECT max(failures) FROM post") == [(0,)]
