"""Doses and top-ups."""

from typing import Final

SENTENCES: Final = {
    # do
    "topup.add": "{tower}: add {water} water, to the line, pump off.",
    "topup.add_unnamed": "Add {water} water, to the line, pump off.",
    "topup.only": "With {water} it stands at {filled}.",
    "topup.pour": "{pours}.",
    "topup.pour_full": "{tower} is full: no water today. {pours}.",
    "topup.pour_full_unnamed": "The tank is full: no water today. {pours}.",
    "topup.pour_added": "For the {water} you added: {pours}.",
    "topup.plain": "Plain water only, no feed: it is at or over your target already.",
    "topup.nothing": "{tower}: nothing today. Plain water at the next top-up.",
    "topup.nothing_unnamed": "Nothing today. Plain water at the next top-up.",
    "topup.fine": "{tower} is full and its reading is fine: nothing to add.",
    "topup.fine_unnamed": "The tank is full and its reading is fine: nothing to add.",
    "topup.full": "{tower} is full: nothing to add today.",
    "topup.full_unnamed": "The tank is full: nothing to add today.",
    "dose.ruined": "Add no more: that tank is far beyond any feed. Empty it, rinse, and mix fresh.",
    "topup.swap": "{tower}: scoop out {swap}, pour back {refill} plain water, no feed.",
    "topup.swap_unnamed": "Scoop out {swap}, pour back {refill} plain water, no feed.",
    "topup.guess": "The level is a guess: pour {pours} first, read after {minutes}, then the rest.",
    "dose.pour": "{tower}, {water}: {pours}.",
    "dose.pour_unnamed": "{water}: {pours}.",
    "dose.even": "Add {pours}. No {none}.",
    "dose.even_done": "Nothing to add: the parts are in the label's ratio.",
    # expect
    "expect.ec": "Expect EC about {ec}.",
    "expect.ec_before": "Expect EC about {ec} ({before} before feed).",
    "expect.ec_if": "Expect EC about {ec}, if it was {target}.",
    "expect.ec_seen": "It reads {ec} now; your target is {target}.",
    "expect.unknown": "I cannot say what a meter will read: {feed} has no EC gain set.",
    "expect.unknown_rate": "What a meter will read depends on the feed: its own label says.",
    "expect.miss": "Your target {target} needs {pours}.",
    "expect.red": "That is far over your target {target}: scoop some out and pour plain water back.",
    "expect.over": "That is over your target {target}.",
    "expect.high": "That is over your target {target}: plain water at the next top-up.",
    # why
    "why.topup_ec": (
        "({left} × {ec} + {added} × {tap}) ÷ {tank} = {blend}; {short} short of {target}. "
        "{feed} adds {gain} at label rate."
    ),
    "why.topup_over": (
        "({left} × {ec} + {added} × {tap}) ÷ {tank} = {blend}, and your target is {target}."
    ),
    "why.topup_label": "{strength}, for the {water} you add: {water} × {rates}.",
    "why.topup_share": "{strength}, for the {water} you add: {water} × {rates} × {share}.",
    "why.swap": "({left} × {ec} + {added} × {tap} − {tank} × {target}) ÷ ({ec} − {tap}) = {swap}.",
    "why.dose": "{strength}: {water} ({other}) × {rates}.",
    "why.even": "The label says {rates}; the part poured most sets the rest.",
    # check
    "check.level_by_eye": "{level} by eye is good to about {tolerance}; pump off 5 min first.",
    "check.finger": "A finger counts as {finger}, a guess until you measure yours.",
    "check.echo_missing": "Read as {missing} missing, {left} left.",
    "check.echo_left": "Read as {left} left in the tank.",
    "check.tap_guess": "Tap water's EC {tap} is a guess.",
    "check.tap_coach": "Tap water's EC {tap} is the coach's setting.",
    "check.both_coach": "Tap water's EC {tap} and target {target} are the coach's settings.",
    "check.both_guess": "Tap water's EC {tap} and target {target} are guesses, common practice for leafy plants.",
    "check.target_guess": "Target EC {target} is a guess, common practice for leafy plants.",
    "check.target_coach": "Target EC {target} is the coach's setting.",
    "check.strength_policy": (
        "{strength} is {coach}'s setting, {date}; a 2022 review supports matching the refill "
        "to what the plants took up."
    ),
    "check.strength_seedling": "{strength} for seedlings, common practice.",
    "check.strength_seedling_coach": "{strength} for seedlings is {coach}'s setting, {date}.",
    "check.strength_unused": "{strength} would make about {makes}; your meter and the target {target} decide here.",
    "check.read_parts": "Read as {poured} poured in.",
    "check.fresh_water": "The reading holds for a full tank of fresh water.",
    "check.no_gain": "{feed} has no EC gain set, so this is by the label, not by your meter.",
    "check.read_after": "Read again after {minutes} of running.",
    "check.no_reading": "No reading given: with what your pen says I can be exact.",
    "check.full_rate_creeps": "No meter: salts can creep up; the full tank change catches it.",
    "check.syringe": "Below 5 mL use a syringe, not a spoon.",
    # cautions
    "caution.parts": "Never pour two undiluted parts together: solids drop out.",
    "caution.swap": "Old solution belongs on garden beds, not in a storm drain.",
    # label rates
    "rate.each": "{rate} of each",
    "rate.part": "{name} {rate}",
    # how the parts of a feed are said
    "pours.one": "{name} {amount}",
    "pours.run": "pump on by hand {minutes} min",
    "pours.stir": "stir",
    "pours.then": "then {name} {amount}",
    "pours.last_run": "{minutes} min",
    "pours.plain": "{name} {amount}",
    "pours.each": "{amount} of each",
    "pours.each_part_stirred": "{amount} of each part, one at a time, stir between",
    "pours.each_part": "{amount} of each part, one at a time, pump on by hand {minutes} min between",
    # several tanks at once
    "fills.ask_levels": "How full is each of them, as in porch half, kitchen down a third?",
    "fills.row_of": "{what}",
    "fills.total": "Measure out in all {pours}.",
    "fills.each": "Each tank has its own feed:",
    "fills.row": "{tower}, {water}: {pours}.",
    "fills.row_unnamed": "{water}: {pours}.",
    # brought inside
    "move_in.empty": "Drain the tank first and move it empty.",
    "move_in.now_kg": "Drain the tank first: the water in it now weighs {weight}. Move it empty.",
    "move_in.empty_kg": "Drain the tank first: full it weighs {weight}. Move it empty.",
    "move_in.steps": "Rinse roots and leaves, look for pests, cut big plants back; drip tray under it, outlet above the floor.",
    "move_in.lamp": "Inside it needs a lamp and the indoor timer: tell me its PPFD for the hours.",
    "move_in.common": "These steps are common practice, no source.",
    # elsewhere
    "elsewhere.at": "{there}: {at}. That is {told} in {zone}.",
    "elsewhere.ask": "Which time in which zone is it, as in 6 pm Pacific?",
    # other units
    "talk.hello": "Hello! How full is the tank? Half, 3/4, 5 in below full: any of these works. /help lists the rest.",
    "talk.welcome": "You're welcome. Happy growing!",
    "talk.nothing_open": "I had asked nothing. Tell me how full the tank is, what you read, or what you want to know.",
    "talk.bot": "A bot: I do the arithmetic from your own records. What I can't know I pass on to your coach.",
    "convert.ask_tank": "For how much water, as in 12 gal?",
    "convert.ask": "Which amount, in which unit, as in 14 gal in litres?",
    "convert.is": "{amount} is {value} {unit}.",
    "convert.ec": "{amount} is EC {ec}.",
    "convert.rate": "{amount} for {water} is {dose}.",
}
