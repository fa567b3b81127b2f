"""A question and a Book -> an Answer. Pure: no clock, no store, no sentences.

answering   the one path; every question has its case here
asking      the one question back          choosing   which tower
facts       what an answer rests on        forms      what a button may ask to fill in
tank topup levels dose shape lid           the arithmetic at the tank
log/        lines written, taken back, read again, judged; what comes; what they teach; pictures
seeing      which picture
newcomer/   set-up in four questions       own/       settings, records out and in, sharing
coach/      set-up, feeds, house rules, notes
running/    pump timer, lamp, energy
care/       pH, source water, heat, outage, cleaning, days away
plants/     crops by name, sowing, ports, harvest, supplies, group sums
reminding/  when, what the records owe, what a reminder says
"""

from bot.services.answering import answer, refreshed, refused
from bot.services.coach.notes import correction, may_open
from bot.services.facts import numbered
from bot.services.forms import form, form_fields
from bot.services.log.judging import foretold, judged
from bot.services.plants.crops import crop_names
from bot.services.plants.places import port_name
from bot.services.plants.stock import SPARE_PUMP
from bot.services.reminding.facts import owed
from bot.services.reminding.saying import say, say_in_room

__all__ = [
    "SPARE_PUMP",
    "answer",
    "correction",
    "crop_names",
    "foretold",
    "form",
    "form_fields",
    "judged",
    "may_open",
    "numbered",
    "owed",
    "port_name",
    "refreshed",
    "refused",
    "say",
    "say_in_room",
]
