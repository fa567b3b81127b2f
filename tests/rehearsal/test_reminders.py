"""Reminders through the whole bot: set, come, pressed, restarted, flown, closed, in the room."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest

from bot.app.serving import connected
from bot.rehearsal import Fault, Person, Refused, Seen
from bot.stepping import SteppedClock
from tests.rehearsal.conftest import Town

pytestmark = pytest.mark.asyncio


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


async def walk(town: Town, to: str) -> None:
    assert isinstance(town.clock, SteppedClock)
    await town.clock.walk_to(at(to))


async def settled(town: Town) -> None:
    """A second later, when the reminders have caught up with what was said."""
    assert isinstance(town.clock, SteppedClock)
    await town.clock.walk_to(town.clock.now() + timedelta(seconds=1))


def private(town: Town, who: Person) -> list[Seen]:
    """What the bot wrote to somebody on its own."""
    return [seen for seen in who.history(who.private) if seen.where == "private"]


def posts(town: Town, who: Person) -> list[str]:
    return [seen.text for seen in private(town, who)]


def in_room(town: Town) -> list[Seen]:
    return [seen for seen in town.wenna.history(town.guild.room) if seen.where == "room"]


async def say(town: Town, who: Person, text: str) -> Seen:
    seen = await who.say(town.guild.room, text)  # a reminder may come beside the answer
    await settled(town)
    return next(one for one in seen if one.where != "private")


async def test_every_second_sunday_keeps_its_hour_over_the_clock_change(stepped: Town) -> None:
    seen = await say(
        stepped, stepped.tamsin, "/reminders new about:rinse the filter when:every 2nd Sun 7:30 pm"
    )
    assert "every second Sunday at 7:30 pm" in seen.text
    for day in ("Sun 25 Oct", "Sun 8 Nov", "Sun 22 Nov", "Sun 6 Dec", "Sun 20 Dec"):
        assert f"{day}, 7:30 pm" in seen.text
    await walk(stepped, "2026-11-20T00:00")
    times = [
        message["timestamp"][:16]
        for message in stepped.server.messages
        if "Rinse the filter" in message["content"]
    ]
    # FEATURES M17: 25 Oct 23:30 UTC, then 9 Nov 00:30 UTC, still 7:30 pm in New York
    assert times == ["2026-10-25T23:30", "2026-11-09T00:30"]


async def test_done_closes_it_logs_it_and_is_pressed_once(stepped: Town) -> None:
    told = "/reminders new about:rinse the filter when:tomorrow 8 am tower:kitchen"
    await say(stepped, stepped.tamsin, told)
    await walk(stepped, "2026-10-22T12:30")
    (reminder,) = private(stepped, stepped.tamsin)
    assert reminder.text.startswith("**Rinse the filter**")
    (seen,) = await stepped.tamsin.press(reminder, "Done")
    assert "Done and logged for kitchen: rinse the filter" in seen.text
    (again,) = await stepped.tamsin.press(reminder, "Done")
    assert "Done already" in again.text
    notes = "SELECT note FROM entry WHERE kind = 'note'"
    assert stepped.rows(notes) == [("rinse the filter",)]
    assert stepped.rows("SELECT state FROM debt WHERE key = '2026-10-22T08:00'") == [("done",)]


async def test_in_an_hour_and_tomorrow_it_comes_again(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/reminders new about:look at the plugs when:tomorrow 8 am")
    await walk(stepped, "2026-10-22T12:10")
    (first,) = private(stepped, stepped.tamsin)
    (seen,) = await stepped.tamsin.press(first, "In 1 hour")
    assert "Thu 22 Oct, 9:10 am" in seen.text
    await walk(stepped, "2026-10-22T13:20")
    second = private(stepped, stepped.tamsin)[-1]
    assert second.id != first.id
    (seen,) = await stepped.tamsin.press(second, "Tomorrow")
    assert "Fri 23 Oct" in seen.text
    await walk(stepped, "2026-10-23T14:00")
    assert len([t for t in posts(stepped, stepped.tamsin) if "Look at the plugs" in t]) == 3


async def test_stop_these_ends_it_and_start_again_goes_on(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/reminders new about:read the level when:every day 8 am")
    await walk(stepped, "2026-10-22T12:10")
    reminder = private(stepped, stepped.tamsin)[-1]
    (stopped,) = await stepped.tamsin.press(reminder, "Stop these")
    assert "Stopped: read the level" in stopped.text
    await walk(stepped, "2026-10-24T14:00")
    assert len([t for t in posts(stepped, stepped.tamsin) if "Read the level" in t]) == 1
    (seen,) = await stepped.tamsin.press(stopped, "Start again")
    assert "On again: read the level" in seen.text
    await walk(stepped, "2026-10-25T14:00")
    assert len([t for t in posts(stepped, stepped.tamsin) if "Read the level" in t]) == 2


async def test_nobody_else_presses_it_and_a_restart_keeps_it(stepped: Town) -> None:
    told = "/reminders new about:rinse the filter when:tomorrow 8 am tower:kitchen"
    await say(stepped, stepped.tamsin, told)
    await walk(stepped, "2026-10-22T12:30")
    (reminder,) = private(stepped, stepped.tamsin)
    with pytest.raises(Refused):
        await stepped.bram.press(reminder, "Done")
    custom = next(b.custom_id for b in reminder.buttons if b.label == "Done")
    (seen,) = await stepped.bram.press_raw(stepped.bram.private, reminder.id, custom)
    assert "Done" not in seen.text
    assert "rinse" not in seen.text
    async with connected(stepped.store, stepped.clock, stepped.server.token):
        # a second bot beside the first: whichever answers, one effect
        await stepped.server.wait_ready()
        seen_ = await stepped.tamsin.press(reminder, "Done")
        assert any("Done and logged" in s.text for s in seen_)
    assert len(stepped.rows("SELECT 1 FROM entry WHERE kind = 'note'")) == 1


async def test_a_topup_logged_withdraws_the_refill_and_undo_brings_it_back(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/log level:15.4 gal at:17 oct 7 am")
    await say(stepped, stepped.tamsin, "/log level:10.2 gal at:21 oct 7 am")
    due = "SELECT key, state FROM debt WHERE key LIKE 'refill%' ORDER BY id"
    assert stepped.rows(due) == [("refill:1:0", "due")]
    await say(stepped, stepped.tamsin, "/log added:5.8 gal level:full")
    ((key, state), *more) = stepped.rows(due)
    assert (key, state) == ("refill:1:0", "withdrawn")
    assert [s for _, s in more] == ["due"]
    await say(stepped, stepped.tamsin, "/undo")
    assert stepped.rows(due)[0] == ("refill:1:0", "due")
    assert [s for _, s in stepped.rows(due)[1:]] == ["withdrawn"]


async def test_a_refill_comes_the_evening_before_with_its_amounts(stepped: Town) -> None:
    # FEATURES M16: 15.4 gal Tue 7 am, 10.2 Sat 7 am: 1.3 gal/day, half tank in 1.7 days
    await say(stepped, stepped.tamsin, "/log level:15.4 gal at:17 oct 7 am")
    await say(stepped, stepped.tamsin, "/log level:10.2 gal at:21 oct 7 am")
    await walk(stepped, "2026-10-22T14:00")
    (refill,) = private(stepped, stepped.tamsin)
    # half a tank on Thu 22 Oct, 23:37: the evening before is Wed 21 Oct, 6:30 pm
    assert "Top up kitchen about Thu 22 Oct (" in refill.text
    assert "): it is down to 8 gal then." in refill.text
    assert "8 gal water" in refill.text
    assert "1.3 gal a day" in refill.text
    assert refill.buttons[0].label == "Done"
    (seen,) = await stepped.tamsin.press(refill, "Done")
    assert "Logged: kitchen" in seen.text
    await settled(stepped)
    states = "SELECT state FROM debt WHERE key = 'refill:1:0'"
    assert stepped.rows(states) == [("done",)]
    (seen,) = await stepped.tamsin.press(seen, "Undo")
    await settled(stepped)
    assert stepped.rows(states) == [("due",)]  # still below the mark: it serves again


async def test_several_at_once_make_one_message(stepped: Town) -> None:
    for about in ("rinse the filter", "trim the roots", "wipe the lid"):
        await say(stepped, stepped.tamsin, f"/reminders new about:{about} when:tomorrow 8 am")
    await walk(stepped, "2026-10-22T12:30")
    (one,) = private(stepped, stepped.tamsin)
    assert "3 reminders:" in one.text
    assert [f"{n}." in one.text for n in (1, 2, 3)] == [True] * 3
    assert [b.label for b in one.buttons] == [
        "Done 1", "Done 2", "Done 3", "In 1 hour", "Tomorrow", "Which to stop?",
    ]  # fmt: skip
    (seen,) = await stepped.tamsin.press(one, "Done 2")
    assert "trim the roots" in seen.text


async def test_a_member_flown_from_auckland_to_honolulu_and_back(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/settings zone:Pacific/Auckland")
    await say(stepped, stepped.tamsin, "/reminders new about:feed them when:every day 7:30 pm")
    await walk(stepped, "2026-10-23T07:00")  # Auckland, Fri 23 Oct, 8 pm: said for 22 and 23 Oct
    await say(stepped, stepped.tamsin, "/settings zone:Pacific/Honolulu")
    await walk(stepped, "2026-10-26T06:00")  # Honolulu, Sun 25 Oct, 8 pm
    await say(stepped, stepped.tamsin, "/settings zone:Pacific/Auckland")
    await walk(stepped, "2026-10-29T00:00")
    keys = stepped.rows(
        "SELECT key FROM debt JOIN rule ON rule.id = debt.rule_id"
        " WHERE text = 'feed them' AND debt.state = 'sent' ORDER BY debt.id"
    )
    days = [str(key)[:10] for (key,) in keys]
    assert days == [f"2026-10-{day}" for day in range(22, 29)]  # one for each local date, in order
    said = [t for t in posts(stepped, stepped.tamsin) if "Feed them" in t]
    assert len(said) == len(days)
    close = [t for t in said if "your clock has moved" in t]
    assert len(close) == 1  # back in Auckland: the evening of the 26th, half an hour after the 25th


async def test_closed_private_messages_wait_and_are_taken_up_again(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/settings closed:note")
    await say(stepped, stepped.tamsin, "/reminders new about:secret thing when:every day 8 am")
    stepped.tamsin.close_private()
    await walk(stepped, "2026-10-24T13:00")
    tried = [r for r in stepped.server.requests if r["path"].endswith("/messages")]
    assert [r["status"] for r in tried].count(403) == 1  # once, not every day
    notes = [seen for seen in in_room(stepped) if "is waiting" in seen.text]
    assert len(notes) == 1
    assert "secret" not in notes[0].text
    assert not re.search(r"\d", notes[0].text.replace(f"<@{stepped.tamsin.id}>", ""))
    mention = next(r for r in tried if r["status"] == 200)
    assert mention["body"]["allowed_mentions"]["users"] == [stepped.tamsin.id]
    stepped.tamsin.open_private()
    await say(stepped, stepped.tamsin, "/help")
    (late,) = posts(stepped, stepped.tamsin)
    assert "Secret thing" in late
    assert "Late: it was due Thu 22 Oct, 8:00 am." in late
    assert "2 more came due since" in late  # 23 and 24 Oct
    await walk(stepped, "2026-10-25T13:00")
    assert len([t for t in posts(stepped, stepped.tamsin) if "Secret thing" in t]) == 2


async def test_without_consent_the_room_hears_nothing(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/reminders new about:secret thing when:tomorrow 8 am")
    stepped.tamsin.close_private()
    await walk(stepped, "2026-10-24T13:00")
    assert [s for s in in_room(stepped) if "waiting" in s.text] == []


async def coached(town: Town) -> None:
    """Wenna is coach and has chosen the room."""
    seen = await say(town, town.wenna, "/setup")
    assert seen.buttons


async def test_the_room_is_told_after_a_look_on_each_ones_clock(stepped: Town) -> None:
    await coached(stepped)
    asked = (
        "/reminders new about:@everyone live session when:fri 6 pm where:room place:outdoor"
        " ahead:1 h"
    )
    preview = await say(stepped, stepped.wenna, asked)
    assert "Only you see this yet" in preview.text
    assert in_room(stepped) == []
    (done,) = await stepped.wenna.press(preview, "Set it")
    assert "Set for the room" in done.text
    await settled(stepped)
    await walk(stepped, "2026-10-23T21:30")
    room = str(stepped.guild.room.id)
    (post,) = [
        m for m in stepped.server.messages if m["channel_id"] == room and not m["flags"] & 64
    ]
    assert post["timestamp"][:16] == "2026-10-23T21:00"  # 5 pm in New York, an hour ahead
    assert "Towers outdoors" in post["content"]
    assert f"<t:{int(at('2026-10-23T22:00').timestamp())}:F>" in post["content"]
    assert not post["mention_everyone"]
    assert "@everyone" not in post["content"].replace("\\@everyone", "")


async def test_the_rooms_quiet_hours_and_one_message_for_several(stepped: Town) -> None:
    await coached(stepped)
    for about in ("frost tonight", "lids on"):
        seen = await say(
            stepped, stepped.wenna, f"/reminders new about:{about} when:fri 10 pm where:room"
        )
        assert "silent then" in seen.text
        await stepped.wenna.press(seen, "Set it")
    await settled(stepped)
    await walk(stepped, "2026-10-24T13:00")
    (post,) = in_room(stepped)
    assert "2 reminders:" in post.text  # Sat 24 Oct, 8:00 am: when the room's quiet hours end
    assert [m["timestamp"][:16] for m in stepped.server.messages][-1] == "2026-10-24T12:00"


async def test_a_member_may_not_write_into_the_room(stepped: Town) -> None:
    seen = await say(stepped, stepped.tamsin, "/reminders new about:x when:fri 6 pm where:room")
    assert "coach" in seen.text
    assert stepped.rows("SELECT 1 FROM rule WHERE room") == []


async def test_a_room_that_is_gone_holds_its_reminders_and_tells_the_coach_once(
    stepped: Town,
) -> None:
    await coached(stepped)
    seen = await say(stepped, stepped.wenna, "/reminders new about:seed day when:every day 6 pm"
                     " where:room")  # fmt: skip
    await stepped.wenna.press(seen, "Set it")
    await settled(stepped)
    stepped.server.delete_channel(stepped.guild.room)
    await walk(stepped, "2026-10-24T23:00")
    told = [t for t in posts(stepped, stepped.wenna) if "cannot write in the room" in t]
    assert len(told) == 1
    assert stepped.rows("SELECT state FROM debt WHERE key LIKE '2026-10-21T18%'") == [("held",)]
    stepped.server.restore_channel(stepped.guild.room)
    told = next(seen for seen in private(stepped, stepped.wenna) if "cannot write" in seen.text)
    await stepped.wenna.press(told, "Try again")
    await settled(stepped)
    (late,) = in_room(stepped)
    assert "seed day (was due" in late.text


async def test_what_was_refused_is_seen_with_its_reason_and_sent_again_by_the_coach(
    stepped: Town,
) -> None:
    await coached(stepped)
    await say(stepped, stepped.tamsin, "/reminders new about:my own pills when:tomorrow 8 am")
    stepped.server.script(
        Fault(method="POST", path_regex=rf"/{stepped.tamsin.private.id}/messages$", status=400,
              code=50035)
    )  # fmt: skip
    await walk(stepped, "2026-10-22T12:30")
    (notice,) = [s for s in private(stepped, stepped.wenna) if "could not be sent" in s.text]
    seen = await say(stepped, stepped.tamsin, "/reminders list")
    assert "1 could not be sent." in seen.text
    (own,) = await stepped.tamsin.press(seen, "What was not sent")
    assert "1. my own pills, due Thu 22 Oct, 8:00 am: the platform refuses its text." in own.text
    (shown,) = await stepped.wenna.press(notice, "What was not sent")
    assert "Tamsin: a reminder of their own" in shown.text
    assert "pills" not in shown.text
    (sending,) = await stepped.wenna.press(shown, "Send 1")
    assert "On the way: 1." in sending.text
    await settled(stepped)
    assert len([t for t in posts(stepped, stepped.tamsin) if "My own pills" in t]) == 1
    (again,) = await stepped.wenna.press(shown, "Send 1")
    await settled(stepped)
    assert len([t for t in posts(stepped, stepped.tamsin) if "My own pills" in t]) == 1
    assert "On the way" not in again.text


async def test_a_server_that_stumbles_gets_one_message(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/reminders new about:rinse when:tomorrow 8 am")
    stepped.server.script(
        Fault(method="POST", path_regex="/messages$", reset=True, created=True),
        Fault(method="POST", path_regex="/messages$", status=503),
    )
    await walk(stepped, "2026-10-22T12:30")
    for _ in range(100):
        if stepped.rows("SELECT 1 FROM debt WHERE key = '2026-10-22T08:00' AND state = 'sent'"):
            break
        await walk(stepped, (stepped.clock.now() + timedelta(seconds=1)).isoformat()[:19])
    assert len([t for t in posts(stepped, stepped.tamsin) if "Rinse" in t]) == 1


@pytest.mark.parametrize(
    ("when", "says"),
    [
        ("yesterday 7 am", "is over"),
        ("today 8 am", "is over"),
        ("30 february 8 am", "No calendar has 30 february"),
        ("every 2 minutes", "Every 5 minutes is the most often"),
        ("sometime soon", "I can't tell when"),
        ("every day until yesterday", "?"),
        ("25:00", "?"),
        ("every 0 days", "?"),
        ("daily 99999 times", "?"),
    ],
)
async def test_a_time_that_cannot_be_is_said_and_nothing_is_kept(
    stepped: Town, when: str, says: str
) -> None:
    before = stepped.rows("SELECT count(*) FROM rule WHERE what = 'note'")
    seen = await say(stepped, stepped.tamsin, f"/reminders new about:rinse when:{when}")
    assert says in seen.text
    assert stepped.rows("SELECT count(*) FROM rule WHERE what = 'note'") == before


async def test_a_zone_that_does_not_exist(stepped: Town) -> None:
    seen = await say(stepped, stepped.tamsin, "/settings zone:Atlantis")
    assert "Atlantis" in seen.text
    assert stepped.rows("SELECT time_zone FROM member WHERE name = 'Tamsin'") == [
        ("America/New_York",)
    ]


async def test_fifty_are_enough(stepped: Town) -> None:
    for number in range(51):
        (seen,) = await stepped.tamsin.say(
            stepped.guild.room, f"/reminders new about:thing {number} when:every day 8 am"
        )
    assert "50 reminders are the most" in seen.text
    assert stepped.rows("SELECT count(*) FROM rule WHERE what = 'note'") == [(50,)]


async def test_a_sentence_sets_one_and_a_question_half_answered_is_kept(stepped: Town) -> None:
    (seen,) = await stepped.tamsin.say(
        stepped.tamsin.private, "nudge me sat evening about the filter"
    )
    assert "Sat 24 Oct, 6:30 pm" in seen.text
    (asked,) = await stepped.tamsin.say(stepped.tamsin.private, "remind me to trim the roots")
    assert asked.text.count("?") == 1
    (seen,) = await stepped.tamsin.say(stepped.tamsin.private, "every 3 days at 8 am")
    assert "trim the roots, every 3 days at 8:00 am" in seen.text


async def test_forgetting_takes_reminders_with_it(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/reminders new about:secret thing when:every day 8 am")
    seen = await say(stepped, stepped.tamsin, "/mydata forget")
    await stepped.tamsin.press(seen, seen.buttons[0].label)
    await walk(stepped, "2026-10-24T13:00")
    assert posts(stepped, stepped.tamsin) == []
    for table in ("rule", "debt", "post", "replan"):
        assert stepped.rows(f"SELECT count(*) FROM {table}") == [(0,)]
    assert b"secret thing" not in stepped.database.read_bytes()


async def test_silence_does_not_make_a_tank_less_thirsty(stepped: Town) -> None:
    """Announced ones come when nobody says a word: refill, alarm, three mornings, then quiet."""
    await say(stepped, stepped.tamsin, "/log level:full at:17 oct 7 am")
    await say(stepped, stepped.tamsin, "/log level:12 gal at:21 oct 7 am")
    announced = stepped.rows(
        "SELECT key, due FROM debt WHERE key LIKE 'refill%' OR key LIKE 'pump%'"
    )
    await walk(stepped, "2026-11-15T12:00")
    said = [
        (m["timestamp"][:16], m["content"].splitlines()[0])
        for m in stepped.server.messages
        if "itchen" in m["content"] and not m["flags"] & 64 and "seven days" not in m["content"]
    ]
    dues = sorted(str(due).replace(" ", "T")[:16] for _, due in announced)
    water = [at for at, text in said if "full change" not in text]
    assert water == dues
    # 1 gal a day: half a tank on Sun 25 Oct, the pump line (3.5 gal) on Thu 29 Oct, 7 pm
    assert [at[:10] for at in water] == [
        "2026-10-24", "2026-10-27", "2026-10-29", "2026-10-30", "2026-10-31",
    ]  # fmt: skip
    assert "no level since Wed 21 Oct" in said[-1][1] or "full change" in said[-1][1]


async def test_done_keeps_the_pace_and_invents_no_reading(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/log level:full at:17 oct 7 am")
    await say(stepped, stepped.tamsin, "/log level:12 gal at:21 oct 7 am")
    await walk(stepped, "2026-10-25T12:00")
    refill = next(s for s in private(stepped, stepped.tamsin) if "down to" in s.text)
    (seen,) = await stepped.tamsin.press(refill, "Done")
    await settled(stepped)
    assert "Logged: kitchen" in seen.text
    levels = stepped.rows("SELECT level_l, water_added_l FROM entry ORDER BY id")
    assert len(levels) == 3  # the fill alone: no level that nobody read
    # Sun 25 Oct, 8 am, four days and an hour after 12 gal at 1 gal a day: 8.0 gal were in
    assert float(str(levels[-1][1])) == pytest.approx(8.0 * 3.785411784, rel=0.02)
    ((due,),) = stepped.rows("SELECT due FROM debt WHERE key = 'refill:1:3'")
    assert str(due).startswith(
        "2026-11-01"
    )  # 8 gal at the same pace: Mon 2 Nov, the evening before


async def test_a_newer_reading_that_moves_the_day_ahead_is_told_of_again(stepped: Town) -> None:
    await say(stepped, stepped.tamsin, "/log level:full at:17 oct 7 am")
    await say(stepped, stepped.tamsin, "/log level:12 gal at:21 oct 7 am")
    await walk(stepped, "2026-10-25T12:00")  # told on Sat 24 Oct
    await say(stepped, stepped.tamsin, "/log level:11.5 gal")  # they drank far less
    await walk(stepped, "2026-11-02T12:00")
    refills = [t for t in posts(stepped, stepped.tamsin) if "down to 8 gal" in t]
    assert len(refills) == 2


async def test_the_rooms_reminder_stopped_and_begun_again(stepped: Town) -> None:
    await coached(stepped)
    seen = await say(
        stepped, stepped.wenna, "/reminders new about:seed swap when:every day 6 pm where:room"
    )
    await stepped.wenna.press(seen, "Set it")
    await settled(stepped)
    stopped = await say(stepped, stepped.wenna, "/reminders stop which:1 where:room")
    assert "Stopped: seed swap" in stopped.text
    (again,) = await stepped.wenna.press(stopped, "Start again")
    assert "On again: seed swap" in again.text
    await walk(stepped, "2026-10-21T23:00")
    assert [s.text for s in in_room(stepped)] == ["Everybody: seed swap"]


async def test_a_restart_says_it_once_and_late(stepped: Town) -> None:
    """FEATURES M23: down from 19:28 to 19:33, the 19:30 one comes once, marked late."""
    await say(stepped, stepped.tamsin, "/reminders new about:feed them when:today 7:30 pm")
    await walk(stepped, "2026-10-21T23:28")
    stepped.clock.step_to(at("2026-10-21T23:33"))  # nobody was there in between
    await walk(stepped, "2026-10-21T23:34")
    (told,) = [t for t in posts(stepped, stepped.tamsin) if "Feed them" in t]
    assert "Late: it was due Wed 21 Oct, 7:30 pm." in told


async def test_a_heat_notice_is_one_post_and_each_tower_outdoors_its_own_numbers(
    stepped: Town,
) -> None:
    await coached(stepped)
    for told in ("level:15 gal at:3 days ago", "level:11 gal"):
        await say(stepped, stepped.tamsin, f"/log {told} tower:kitchen")

    async def give() -> None:
        text = "/group notice about:heat temp:97F until:mon"
        asked = await say(stepped, stepped.wenna, text)
        await stepped.wenna.press(asked, "Send it")
        assert isinstance(stepped.clock, SteppedClock)
        await stepped.clock.walk_to(stepped.clock.now() + timedelta(minutes=2))

    await give()
    assert len([seen for seen in in_room(stepped) if "heat up to 97" in seen.text]) == 1
    tamsin = [text for text in posts(stepped, stepped.tamsin) if "Heat up to" in text]
    assert len(tamsin) == 1
    assert "pump line" in tamsin[0]
    # Bram has no tower.
    assert not [text for text in posts(stepped, stepped.bram) if "Heat up to" in text]
    # The same spell told twice is told to each once.
    await give()
    assert [text for text in posts(stepped, stepped.tamsin) if "Heat up to" in text] == tamsin


async def test_forecasts_are_kept_judged_and_seen_by_the_coach(stepped: Town) -> None:
    await coached(stepped)
    for told in ("level:15.2 gal at:3 days ago", "level:11.3 gal"):  # 1.3 gal a day
        await say(stepped, stepped.tamsin, f"/log {told} tower:kitchen")
    kept = "SELECT what, outcome FROM forecast WHERE tower_id = 1 ORDER BY id"
    assert stepped.rows(kept) == [("refill", "open"), ("pump_line", "open")]
    dry = await say(stepped, stepped.wenna, "whose tank runs dry within 7 days")
    (own,) = await stepped.wenna.press(dry, "Just for me")
    assert "Tamsin: in 6.0 days" in own.text  # (11.3 - 3.5) / 1.3
    await walk(stepped, "2026-10-24T14:00")  # three days on: half (8 gal) after 2.5
    await say(stepped, stepped.tamsin, "/log level:7.4 gal tower:kitchen")
    assert stepped.rows(kept)[0] == ("refill", "hit")
    assert stepped.rows("SELECT count(*) FROM forecast") == [(3,)]  # no refill mark ahead any more
