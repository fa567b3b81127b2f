"""A member's first minutes: four questions, what was guessed, three doors."""

from typing import Final

SENTENCES: Final = {
    "start.here": "No tower of yours is saved yet. Shall we set it up? Four questions, only you see them.",
    "start.tank": "1 of 4. How much does the tank hold at its full line? Any unit, as in 12 gal or 45 l.",
    "start.tank_then": (
        "Four short questions first, then I answer that. "
        "1 of 4. How much does the tank hold at its full line? Any unit, as in 12 gal or 45 l."
    ),
    "start.jug_it": (
        "Then we find out: it stands on the box or under the tank. Or, with the tower in place and the "
        "pump off, pour water in by the jug up to the line and count. No amounts before I know it; "
        "I keep your place here."
    ),
    "start.half_way": "We stopped half way, at a tank of {tank}. Go on from there?",
    "start.have_one": "You have {towers}. Go on with it, or set up another?",
    "start.ask_again": "That is a tower I can work with now: ask again.",
    "start.place": "{tank} ({other}). 2 of 4. Where does it stand?",
    "start.feed": "3 of 4. Which feed do you use?",
    "start.meter": "4 of 4. Do you have a meter for the water (EC or ppm)?",
    "start.bottle_rate": "What does the label of {name} say, as in 2 ml of each per litre?",
    "start.saved": "Saved: {name}, {tank}, {place}, {feed}, {meter}.",
    "start.guesses": "My guesses: refill at {refill}, pump line {pump} (where the pump sucks air), tap water's EC {tap}.",
    "start.tap_coach": "{tap} ({coach}, {date})",
    "start.tap_guess": "{tap} (common practice)",
    "start.right": "Good, I keep to them. /tower edit changes any of it later.",
    "start.where": "Where are you today?",
    "meter.ec": "EC pen",
    "meter.ppm": "ppm pen",
    "meter.none": "no meter",
    "place.indoor": "indoors",
    "place.outdoor": "outdoors",
    "place.window": "at a window",
    "welcome.post": "New here? Four questions, only you see them. After that I know your tank.",
    # doors
    "door.where": "Where is {tower} today?",
    "door.when": "When does it come? A day will do, as in friday or 8 May.",
    "door.arrives": "It comes {day}. Sow today:",
    "door.arrives_unknown": "Sow today:",
    "door.sow": "{plugs} plugs (small blocks for starting seeds), {seeds} lettuce seeds each, damp, about {warmth}.",
    "door.move_in": "They move in between {first} and {last}, with 3-4 leaves and roots showing.",
    "door.common_sowing": "Two to three weeks to moving in is common practice; the leaves decide.",
    "door.sown": "{plugs} plugs of lettuce, sown {day}.",
    "door.not_sown": "Fine. Seeds take two to three weeks, so sow before the tower comes.",
    "door.will_write": "I'll write {at}, here in private.",
    "door.leak_next": "Next, on {day}: the leak run, 24 h with plain water.",
    "door.leak_then": "Next, when it comes: the leak run, 24 h with plain water. Then tell me the day with /start.",
    "door.undo": "Wrong? /undo takes it back.",
    "door.leak_run": "Today: the leak run. Plain water to the line, pump on its timer, 24 h. Look at every seam.",
    "door.jug": "Tomorrow, pump off and drained back: empty it by the jug and count. That is your tank; tell me.",
    "door.seeds": "Are seeds sown?",
    "door.dry_until": "Then it waits dry until the day before plants move in.",
    "door.outlet": "Outlet above the floor, a drip loop in the cable, and a ground-fault (RCD) outlet.",
    "door.how_full": "How full is {tower}?",
    "door.how_full_metered": "How full is {tower}, and what does the pen say?",
    "door.later": "Say how full it is whenever you stand there: half, 5 in below full.",
    "dose.not_before": "Not before the day ahead of the plants: {day} at the earliest.",
}
