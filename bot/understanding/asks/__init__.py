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


def _no(about: str) -> Make:
    """Not to be worked out, whatever its numbers are."""
    return lambda _, __: NotMine(about=about)


_DUE: Final = r"\b(?:due|next|week|weekend|schedule|today|tomorrow|tonight|upcoming|coming up|when|to do|jobs?)\b"
_PAST: Final = r"\b(?:did|was|were|have|has|had|last|log|logged|history|entries|readings?|records?|before|show)\b"


def _where(words: str, make: Callable[[Sentence], Question]) -> Make:
    """Only where one of some words is there: what is short is soon like anything."""
    return lambda s, _: make(s) if s.found(words) else None


def _fed(kind: str, s: Sentence, _: Numbers) -> Question | None:
    return feeding.fed(s, kind)


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
    "off_topic": _no("off_topic"),
    "schedule": _where(_DUE, lambda s: Schedule()),
    "history": _where(_PAST, lambda s: History(tower=s.tower_name)),
    "remind": _where(r"\bremind\w*|\bnudge\b", lambda s: Reminders()),
    "log": told.log,
}
