"""What sentences ask, an area a file: how the question of each kind is filled from the sentence.

The kinds are the files of `tests/sentences/phrases`, whose examples tell one from another.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Final

from bot.records.questions import History, NotMine, Question, Reminders, Schedule
from bot.understanding.asks import care, feeding, lasting, people, plants, running, symptoms, told
from bot.understanding.sentence import Numbers, Sentence

Make = Callable[[Sentence, Numbers], Question | None]

_FEEDING: Final = (
    "first_fill", "seedling_strength", "topup_no_meter", "topup_meter", "topup_depth",
    "topup_fingers", "topup_poured", "overstrong", "which_tower", "two_part_imbalance",
)  # fmt: skip


_PH: Final = r"\bph\b|\bdrops?\b|dropper|acid|alkalin|[5-9]\.\d.*[4-9]\.\d"
_PLANTS: Final = (
    r"plant|grow|leaf|leaves|root|seed|tower|tank|pump|water|\bnets?\b|lettuce|basil|tomato|cucumber|pepper|"
    r"herb|salad|flower|fruit|crop|prun|pollin|bolt|bug|pest|bird|mou?ld|slim|alga|eat|safe|spray|cup|light|"
    r"chard|kale|spinach|strawberr|harvest|bitter|taste|variet|bleach|feed|nutrient"
)
# Words of which one must be there, whatever the rest is like: what is short is soon like anything.
_NEEDS: Final[Mapping[str, str]] = {
    "power_cut": r"power|electric|outage|black ?out|current|grid|pump|\bdry\b|roots|generator|fuse|breaker|storm|wilt|"
    r"no water|by hand|pour|utility",
    "two_part_contact": r"mix|together|combin|blend|\bsame\b|one (?:bottle|jug|cup|bucket|can)|undilut|neat|glass|no water|concentrat|"
    r"straight|\ba (?:and|&|\+|n|with) b\b|bottles|stir|shak|both (?:parts|bottles|nutrients|of them)",
    "units": r"\d|half|quarter",
    "cleaning": r"bleach|clean|saniti[sz]|disinfect|sterili[sz]|scrub|rins",
    "leak": r"leak|los[tei]|gone|drop|down|missing|vanish|disappear|puddle|wet|floor|overnight|less|f[ea]ll|"
    r"s[au]nk|went|up|rose|normal|usual|drink|drank|thirst|t[oa]k|short|minus|drip|hole|consum|worr|concern",
    "tank_change": r"chang|due|dump|swap|fresh|renew|empt|replac|flush|old|new|refill",
    "cost": r"cost|pric|head|each|spen[dt]|money|[$£€]|bucks|quid|paid|pay|worth|sav|cheap|come to",
    "harvest": r"harvest|pick|cut|log|pull|weigh|gram|\bg\b|\d ?g|\boz\b|ounce|\blbs?\b|pound|kg|kilo|head|basket|bunch",
    "coach_watch": r"who|which|any ?(?:one|body)|member|nobody|silent|quiet|heard|last|people|folks|everyone|list",
    "waiting": r"question|answer|waiting|asked|list",
    "time_zone": r"time|clock|\d ?[ap]m|noon|midnight|zone|\d:\d\d|when|hour|late|early|\d h\b",
    "ph_unknown": _PH,
    "ph_jug_test": _PH,
    "move_indoors": r"mov|bring|carr|com(?:e|ing)\b|inside|indoor|winter|frost|heavy|weigh|lift|haul|drag|lamp|light|"
    r"ppfd|dli|\bin for\b|\bin the (?:house|hall)",
    "schedule": r"due|next|week|schedule|today|tomorrow|tonight|upcoming|coming up|when|to do|jobs?",
    "history": r"did|was|were|ha[vds]|last|log|history|entr|reading|record|before|show",
    "remind": r"remind|nudge",
    "not_yet": _PLANTS,
    "referral": _PLANTS,
    "symptoms": r"leaf|leaves|plant|root|stem|tip|lettuce|basil|chard|kale|spinach|tomato|pepper|cucumber|"
    r"herb|berr|mint|parsley|salad|seedling|wilt|droop|limp|yellow|brown|spot",
}


def _no(about: str) -> Make:
    """Not to be worked out, whatever its numbers are."""
    return lambda _, __: NotMine(about=about)


def _off_topic(s: Sentence, _: Numbers) -> Question | None:
    """Another matter; never where the tower's own words are."""
    ours = s.towers_named or s.found(_OURS)
    return None if ours else NotMine(about="off_topic")


_OURS: Final = (
    r"\b(?:towers?|tanks?|reservoir|res|top(?:ping|ped)? (?:it )?(?:up|off)|ph|ec|tds|ppm|nutrients?|net cups?|"
    r"ports?|pump|seedlings?|hydro\w*|aero\w*)\b"
)


def _fed(kind: str, s: Sentence, n: Numbers) -> Question | None:
    done = s.found(r"\b(?:put|added|poured|fed|gave|dosed|did|just)\b")
    if kind == "two_part_imbalance" and done and not feeding.WRONG.search(s.low):
        return told.log(s, n) or feeding.fed(s, kind)  # both parts, as they should be
    return feeding.fed(s, kind)


def made(kind: str, s: Sentence) -> Question | None:
    """The question of that kind; None where the sentence lacks what it takes."""
    needs = _NEEDS.get(kind)
    if needs is not None and s.found(needs) is None:
        return None
    return MAKERS[kind](s, s.numbers(kind))


MAKERS: Final[Mapping[str, Make]] = {
    **{kind: partial(_fed, kind) for kind in _FEEDING},
    "ppm_scale": feeding.reading,
    "units": feeding.convert,
    "many_towers": feeding.dose_all,
    "two_part_contact": _no("contact"),
    "ph_jug_test": care.ph,
    "ph_unknown": care.ph,
    "source_water": care.source,
    "cool_tank": care.heat,
    "cleaning": care.clean,
    "power_cut": care.power_cut,
    "vacation": lasting.away,
    "refill_forecast": lasting.forecast,
    "leak": lasting.leak,
    "tank_change": lasting.change_due,
    "pump_timer": running.timer,
    "light_dli": running.lamp,
    "move_indoors": running.move_in,
    "succession": plants.succession,
    "dates": plants.dates,
    "port_map": plants.port,
    "harvest": plants.harvest,
    "supplies": plants.stock,
    "cost": people.cost,
    "shared_tower": people.last_fed,
    "time_zone": people.elsewhere,
    "coach_watch": people.quiet,
    "group_event": people.group,
    "newcomer": people.newcomer,
    "waiting": people.waiting,
    "symptoms": symptoms.symptoms,
    "referral": _no("not_yet"),
    "not_yet": _no("not_yet"),
    "off_topic": _off_topic,
    "schedule": lambda _, __: Schedule(),
    "history": lambda s, _: History(tower=s.tower_name),
    "remind": lambda _, __: Reminders(),
    "log": lambda s, n: told.log(s, n) or feeding.filled(s),
}
