"""The first ten minutes of a coach and of a member, button by button, as they really run."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta

import pytest

from bot.rehearsal import Seen
from tests.rehearsal.conftest import Town

pytestmark = pytest.mark.asyncio
EPHEMERAL = 1 << 6


def only(seen: list[Seen]) -> Seen:
    assert len(seen) == 1, [s.text for s in seen]
    return seen[0]


def labels(seen: Seen) -> list[str]:
    return [button.label for button in seen.buttons]


async def press(town: Town, who: str, seen: Seen, label: str) -> Seen:
    return only(await getattr(town, who).press(seen, label))


async def test_a_coach_sets_the_community_up_in_six_steps(town: Town) -> None:
    """FIRST_TEN_MINUTES, a new coach: steps 1 to 8, in a community that nobody has set up."""
    town.clock.step_to(datetime(2026, 5, 4, 22, 0, tzinfo=UTC))
    harbour = town.server.add_guild("Harbour Growers", room="towers")
    coach = town.server.add_person("Wenna", guilds=[harbour], coach=True)
    first = only(await coach.say(harbour.room, "/setup"))
    assert first.where == "only you"
    assert first.text.count("open") == 6
    one = only(await coach.press(first, "Start"))
    assert "1 of 6" in one.text
    two = only(await coach.press(one, "New York, US"))
    assert "2 of 6" in two.text
    form = only(await coach.press(two, "Write it down"))
    feed = {"name": "Two-part", "parts": "8 ml of A and of B per gal", "gain": "1.6", "tap": "0.4"}
    three = only(await coach.submit(form, feed))
    assert "3 of 6" in three.text
    rate = only(await coach.press(three, "1.7"))
    assert "Full label rate makes about 2.0" in rate.text
    assert labels(rate) == ["6.5 mL per gal (81.2 %)", "Label: 8 mL per gal of each"]
    four = only(await coach.press(rate, labels(rate)[0]))
    assert "4 of 6" in four.text and "Bleach for an empty tank: not set" in four.text
    five = only(await coach.press(four, "Use these"))
    assert "5 of 6" in five.text
    six = only(await coach.press(five, "#towers, 9:00 pm - 8:00 am"))
    assert "6 of 6" in six.text
    seen = await coach.press(six, "Post and pin")
    assert [s.where for s in seen] == ["room", "only you"]
    assert labels(seen[0]) == ["Set up my tower"]
    assert "Done. Set up so far: 0." in seen[1].text
    # done again, it changes the post that stands there and makes no second one
    again = only(await coach.say(harbour.room, "/setup"))
    assert "open" not in again.text and "EC 1.7" in again.text
    last = only(await coach.press(again, "Change 6"))
    await coach.press(last, "Post and pin")
    posts = [m for m in town.server.messages if str(m["content"]).startswith("**New here") or
             str(m["content"]).startswith("New here")]  # fmt: skip
    assert len(posts) == 1
    # step 8: as a member, half, no meter: 6.5 mL per gal for the 8 gal, A 50 mL... 52
    dose = only(await coach.say(harbour.room, "/topup level:half tank:16 gal"))
    assert "A 50 mL" in dose.text and "Wenna's setting, 4 May" in dose.text


async def test_a_metric_coach_reads_the_set_up_in_litres(town: Town) -> None:
    """An English-US client in Lisbon: what she chose for the community counts, not her client."""
    harbour = town.server.add_guild("Cais", room="towers")
    coach = town.server.add_person("Rute", guilds=[harbour], coach=True)
    one = only(await coach.press(only(await coach.say(harbour.room, "/setup")), "Start"))
    form = only(await coach.press(one, "Another zone or units"))
    two = only(await coach.submit(form, {"zone": "Europe/Lisbon", "units": "metric"}))
    label = only(await coach.press(two, "Write it down"))
    feed = {"name": "Two-part", "parts": "2 ml of A and of B per l", "gain": "1.6", "tap": "0.4"}
    three = only(await coach.submit(label, feed))
    rate = only(await coach.press(three, "1.7"))
    assert labels(rate)[1] == "Label: 2 mL per L of each"
    four = only(await coach.press(rate, labels(rate)[0]))
    assert "32 °C" in four.text and "gal" not in four.text and "°F" not in four.text
    five = only(await coach.press(four, "Use these"))
    assert labels(five)[0] == "#towers, 21:00 - 08:00"


async def test_a_new_member_needs_one_typed_fact(town: Town) -> None:
    """12 gal, Outdoors, two-part, no meter; then the door of a tower that is not here yet."""
    town.clock.step_to(datetime(2026, 5, 4, 22, 0, tzinfo=UTC))
    start = only(await town.wenna.say(town.guild.room, "/setup"))
    post = await press(town, "wenna", start, "Go on")
    pinned = (await town.wenna.press(post, "Post and pin"))[0]
    nessa = town.server.add_person("Nessa", guilds=[town.guild])
    one = only(await nessa.press(pinned, "Set up my tower"))
    assert one.where == "only you" and "1 of 4" in one.text
    form = only(await nessa.press(one, "Type the size"))
    assert form.kind == "form"
    two = only(await nessa.submit(form, {"tank": "12 gal"}))
    assert "12 gal (45.4 L). 2 of 4." in two.text
    three = only(await nessa.press(two, "Outdoors"))
    assert "3 of 4" in three.text
    four = only(await nessa.press(three, "Saltmarsh two-part, 8 mL per gal of each"))
    assert "4 of 4" in four.text
    saved = only(await nessa.press(four, "None"))
    assert "Saved: balcony, 12 gal, outdoors, Saltmarsh two-part, no meter." in saved.text
    assert "refill at 6 gal, pump line 3 gal" in saved.text
    when = only(await nessa.press(saved, "Tower not here"))
    day = only(await nessa.press(when, "Type the day"))
    sow = only(await nessa.submit(day, {"arrives": "friday"}))
    assert "Fri 8 May" in sow.text and "6 plugs" in sow.text
    sown = only(await nessa.press(sow, "Sown"))
    assert "sown 4 May" in sown.text and "Fri 8 May" in sown.text
    dose = only(await nessa.say(nessa.private, "how much A and B when I fill it?"))
    assert "Sun 17 May at the earliest" in dose.text
    assert "A 48 mL (3 tbsp + 3/4 tsp)" in dose.text
    assert "Expect EC about 1.2" in dose.text
    assert town.rows("SELECT name, stage, sown_on FROM tower WHERE name = 'balcony'") == [
        ("balcony", "coming", "2026-05-04")
    ]


async def test_the_set_up_goes_on_by_typing_in_private(town: Town) -> None:
    await town.bram.say(town.guild.room, "/settings units:US")
    one = only(await town.bram.say(town.bram.private, "start"))
    assert "1 of 4" in one.text
    two = only(await town.bram.say(town.bram.private, "12 gal"))
    assert "2 of 4" in two.text
    three = only(await town.bram.say(town.bram.private, "out on the porch"))
    assert "3 of 4" in three.text
    four = only(await town.bram.say(town.bram.private, "the two-part"))
    assert "4 of 4" in four.text
    saved = only(await town.bram.say(town.bram.private, "no meter"))
    assert "Saved: balcony" in saved.text


async def test_closing_the_chat_half_way_loses_nothing(town: Town) -> None:
    one = only(await town.bram.say(town.guild.room, "/start"))
    form = only(await town.bram.press(one, "Type the size"))
    await town.bram.submit(form, {"tank": "40 l"})
    town.clock.step_to(town.clock.now() + timedelta(hours=5))
    back = only(await town.bram.say(town.bram.private, "start"))
    assert labels(back) == ["Go on", "Start again"]
    two = await press(town, "bram", back, "Go on")
    assert "40 L" in two.text and "2 of 4" in two.text
    anew = only(await town.bram.press(back, "Start again"))
    assert "1 of 4" in anew.text


async def test_an_unreadable_form_comes_back_with_what_was_typed(town: Town) -> None:
    one = only(await town.bram.say(town.guild.room, "/start"))
    form = only(await town.bram.press(one, "Type the size"))
    bad = only(await town.bram.submit(form, {"tank": "loads"}))
    assert "no amount I can read" in bad.text
    again = only(await town.bram.press(bad, "Type it again"))
    assert [f.value for f in again.fields] == ["loads"]
    assert "2 of 4" in only(await town.bram.submit(again, {"tank": "40 l"})).text


async def test_filled_as_shown_logs_once_however_often_it_is_pressed(town: Town) -> None:
    shown = only(await town.tamsin.say(town.guild.room, "/topup level:half ec:2.1"))
    assert labels(shown) == ["Filled as shown", "Different"]
    pressed = await asyncio.gather(
        *[town.tamsin.press(shown, "Filled as shown") for _ in range(10)]
    )
    texts = [only(seen).text for seen in pressed]
    assert sum("Logged: kitchen, 8 gal water, 36 mL of each, full" in t for t in texts) == 1
    assert sum("Done already" in t for t in texts) == 9
    rows = town.rows("SELECT kind, round(level_l, 1) FROM entry ORDER BY id")
    assert rows == [("level", 30.3), ("topup", 60.6)]


async def test_different_and_undo(town: Town) -> None:
    shown = only(await town.tamsin.say(town.guild.room, "/topup level:half"))
    form = only(await town.tamsin.press(shown, "Different"))
    assert [f.custom_id for f in form.fields] == ["level", "poured"]
    logged = only(await town.tamsin.submit(form, {"level": "7/8", "poured": "40 ml each"}))
    assert "6 gal water, 40 mL of each, 14 gal in the tank" in logged.text
    undone = only(await town.tamsin.press(logged, "Undo"))
    assert "Taken back" in undone.text
    twice = only(await town.tamsin.press(logged, "Undo"))
    assert "Done already" in twice.text
    assert town.rows("SELECT count(*) FROM entry WHERE undoes_id IS NULL") == [(2,)]
    assert town.rows("SELECT count(*) FROM entry WHERE undoes_id IS NOT NULL") == [(2,)]
    assert "Nothing is logged" in only(
        await town.tamsin.say(town.guild.room, "/tower history")
    ).text  # fmt: skip


async def test_an_old_offer_gives_todays_answer(town: Town) -> None:
    shown = only(await town.tamsin.say(town.guild.room, "/topup level:half"))
    town.clock.step_to(town.clock.now() + timedelta(hours=25))
    late = only(await town.tamsin.press(shown, "Filled as shown"))
    assert "How full is kitchen?" in late.text and "old by now" in late.text
    assert town.rows("SELECT count(*) FROM entry") == [(0,)]
    fresh = only(await town.tamsin.say(town.guild.room, "/topup level:half"))
    town.clock.step_to(town.clock.now() + timedelta(minutes=5))
    await town.tamsin.say(town.guild.room, "/log level:3/4")
    other = only(await town.tamsin.press(fresh, "Filled as shown"))
    assert "How full is kitchen?" in other.text
    assert town.rows("SELECT count(*) FROM entry") == [(1,)]


async def test_a_shared_tower_is_not_fed_twice(town: Town) -> None:
    """FEATURES M19: many hands, one log, and who did what."""
    perrin = town.server.add_person("Perrin", guilds=[town.guild])
    told = only(await town.tamsin.say(town.guild.room, "/tower share person:Perrin tower:kitchen"))
    assert "Perrin is asked to keep kitchen with you" in told.text
    asked = only(await perrin.say(town.guild.room, "/topup level:half"))
    assert "Tamsin would keep kitchen together with you" in asked.text
    assert "gal water" not in asked.text  # nothing of it is shown before the yes
    joined = only(await perrin.press(asked, "Keep kitchen too"))
    assert "You keep kitchen too now" in joined.text
    mine = only(await town.tamsin.say(town.guild.room, "/topup level:half"))
    theirs = only(await perrin.say(town.guild.room, "/topup level:half"))
    both = await asyncio.gather(
        town.tamsin.press(mine, "Filled as shown"), perrin.press(theirs, "Filled as shown")
    )
    texts = [only(seen).text for seen in both]
    assert sum("Logged" in text for text in texts) == 1
    assert sum("How full is kitchen?" in text or "Add yours too?" in text for text in texts) == 1
    assert town.rows("SELECT count(*) FROM entry WHERE kind = 'topup'") == [(1,)]
    history = only(await perrin.say(town.guild.room, "/tower history"))
    assert "Tamsin" in history.text or "You" in history.text
    typed = only(await perrin.say(town.guild.room, "/log added:6 gal poured:48 ml each"))
    assert typed.text.count("?") == 1
    assert labels(typed) == ["Yes, add mine", "No, leave it"]
    left = only(await perrin.press(typed, "No, leave it"))
    assert "nothing logged" in left.text
    assert town.rows("SELECT count(*) FROM entry WHERE kind = 'topup'") == [(1,)]
    leave = only(await perrin.say(town.guild.room, "/tower leave"))
    await perrin.press(leave, "Leave kitchen")
    gone = only(await perrin.say(town.guild.room, "/topup level:half"))
    assert "1 of 4" in gone.text


@pytest.mark.parametrize(
    "forged", ["tk:" + "a" * 26, "tk:" + "a" * 25, "tk:", "x" * 100, "tk:" + "A" * 26, "tk:../../x"]
)
async def test_a_forged_button_tells_nothing(town: Town, forged: str) -> None:
    shown = only(await town.tamsin.say(town.guild.room, "/topup level:half"))
    seen = await town.bram.press_raw(town.guild.room, shown.id, forged, timeout_s=0.4)
    assert all("not yours, or too old" in s.text or "did not respond" in s.text for s in seen)
    assert town.rows("SELECT count(*) FROM entry") == [(0,)]


async def test_a_foreign_button_and_form_are_refused_alike(town: Town) -> None:
    shown = only(await town.tamsin.say(town.guild.room, "/topup level:half"))
    for button in shown.buttons:
        assert button.custom_id is not None
        seen = only(await town.bram.press_raw(town.guild.room, shown.id, button.custom_id))
        assert "not yours, or too old" in seen.text
    assert town.rows("SELECT count(*) FROM entry") == [(0,)]


async def test_readings_never_stand_in_the_room(town: Town) -> None:
    """FEATURES M28: history and dates behind a "Just for me" button."""
    await town.tamsin.say(town.guild.room, "/log level:3/4 ec:1.6")
    asked = only(await town.tamsin.say(town.guild.room, "when next?"))
    assert asked.where == "room" and labels(asked) == ["Just for me"]
    mine = only(await town.tamsin.press(asked, "Just for me"))
    assert mine.where == "only you" and "seven days" in mine.text
    strange = only(await town.bram.press(asked, "Just for me"))
    assert "not yours" in strange.text
    said = only(await town.tamsin.say(town.guild.room, "added 6 gal and 48 ml each"))
    assert labels(said) == ["Just for me"]
    answered = only(await town.tamsin.say(town.guild.room, "kitchen at half, how much?"))
    assert answered.where == "room" and "add 8 gal water" in answered.text
    in_room = [m for m in town.server.messages if not int(str(m.get("flags", 0))) & EPHEMERAL]
    for message in in_room:
        assert "1.6" not in str(message["content"]).replace("adds 1.6", "")


async def test_a_sentence_logs_and_one_word_takes_it_back(town: Town) -> None:
    """FEATURES M15."""
    told = only(await town.tamsin.say(town.tamsin.private, "added 6 gal and 48 ml each"))
    assert "Logged: kitchen, 6 gal water, 48 mL of each" in told.text
    back = only(await town.tamsin.say(town.tamsin.private, "undo"))
    assert "Taken back: kitchen, 6 gal water" in back.text


async def test_the_coachs_note_answers_and_is_corrected_in_place(town: Town) -> None:
    """FEATURES M21."""
    await town.wenna.say(town.guild.room, "/setup")
    kept = only(await town.wenna.say(town.guild.room, "/setup"))
    post = await press(town, "wenna", kept, "Go on")
    done = (await town.wenna.press(post, "Post and pin"))[1]
    form = only(await town.wenna.press(done, "Teach me one answer"))
    await town.wenna.submit(form, {"about": "yellow leaves", "text": "Read the EC first."})
    asked = only(await town.tamsin.say(town.tamsin.private, "my leaves are yellow, what now"))
    assert "Read the EC first." in asked.text and "Wenna's note" in asked.text
    coachs = only(await town.wenna.say(town.wenna.private, "yellow leaves?"))
    fix = only(await town.wenna.press(coachs, "Correct"))
    await town.wenna.submit(fix, {"text": "Look for dry roots first."})
    now = only(await town.tamsin.say(town.tamsin.private, "yellow leaves again"))
    assert "Look for dry roots first." in now.text and "EC first" not in now.text
