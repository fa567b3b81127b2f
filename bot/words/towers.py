"""Tower records and help."""

from typing import Final

SENTENCES: Final = {
    "tower.saved": "Saved: {name}, {tank} ({other}).",
    "tower.changed": "Changed: {name}, {tank} ({other}).",
    "tower.shown": "{name}: {tank} ({other}).",
    "tower.depth": "{depth} deep at the line: 1 inch = {inch} ({inch_l}).",
    "tower.depth_cm": "{depth} deep at the line: 1 cm = {cm}.",
    "tower.place": "Stands {place}.",
    "tower.feed": "Feed: {feed}, {strength}.",
    "tower.no_feed": "Feed: not set.",
    "tower.target": "Target EC {target}, tap water's EC {tap}.",
    "tower.timer_plain": "Timer: {on} on, {off} off.",
    "tower.marks": "Refill at {refill}, pump line {pump}.",
    "tower.guess_marks": "Guessed: refill at half, pump line at a quarter. Change with /tower edit.",
    "tower.guess_pump": "The pump line is a guess. Measure it, then /tower edit.",
    "tower.guess_refill": "Refilling at half a tank is a guess. Change with /tower edit.",
    "tower.coach_ec": "What you did not give of target and tap water is the coach's setting.",
    "tower.guess_ec": "Guessed: tap water's EC or target; common practice until you read them.",
    "tower.nominal": "The box's size can be 15 % off: jug it once, pump off and drained back.",
    "tower.weight": "Full, the water weighs {weight}: level base, and never lift it full.",
    "tower.none": "No tower saved yet. How big is the tank? /start saves it in four questions.",
    "help.first": "Stand at the tank, say how full it is, and I say what goes in.",
    "help.topup": "/topup level:half ec:1.9 · back to the line: water, each bottle, EC after.",
    "help.dose": "/dose · fresh solution: a first fill, a tray, or a part poured twice.",
    "help.tower": "/tower add, show, edit · size, depth, feed, target: known once, used always.",
    "help.log": "/log, /undo · what you did or read; /check · is this reading all right; /schedule · your week.",
    "help.start": "/start · four questions and I know your tower. /settings, /mydata · your own.",
    "help.sentence": "Or plain words: mention me, or write to me in private.",
    "help.ec": "EC = how salty the water is; no meter is fine.",
    "help.private": "Commands are answered only to you.",
}
