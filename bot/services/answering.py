"""The one path of every answer: a question and a Book in, an Answer out, whatever was typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final

from bot.errors import Refusal
from bot.records import questions
from bot.records.answer import Answer, Offer, Remember, Value, line
from bot.records.book import Book
from bot.records.changes import SetMember
from bot.records.questions import Question
from bot.services.asking import Ask, clarify, settle
from bot.services.care.away import away
from bot.services.care.clean import clean
from bot.services.care.heat import heat
from bot.services.care.outage import outage
from bot.services.care.ph import ph
from bot.services.care.source import source
from bot.services.coach.contents import contents
from bot.services.coach.feeds import feed
from bot.services.coach.notes import noted, teach, waiting
from bot.services.coach.notice import notice
from bot.services.coach.quiet import quiet
from bot.services.coach.rules import policy
from bot.services.coach.setup import setup
from bot.services.converting import convert
from bot.services.dose import dose
from bot.services.elsewhere import elsewhere
from bot.services.explaining import explained
from bot.services.facts import NUMBER, named_tower
from bot.services.fills import dose_all
from bot.services.log.checking import check
from bot.services.log.last_fed import last_fed
from bot.services.log.lasting import due, forecast
from bot.services.log.leaks import leak
from bot.services.log.reading_back import history, undo
from bot.services.log.schedule import schedule
from bot.services.log.writing import log
from bot.services.newcomer.doors import door
from bot.services.newcomer.start import start
from bot.services.own.export import export
from bot.services.own.forgetting import forget
from bot.services.own.importing import import_
from bot.services.own.settings import home, settings, which_home
from bot.services.own.sharing import invitations, join, leave, pack, share
from bot.services.plants.group import cost, plugs, shares
from bot.services.plants.harvest import harvest
from bot.services.plants.plan import plan
from bot.services.plants.ports import clear, move, plant, ports
from bot.services.plants.stock import stock
from bot.services.plants.symptoms import symptoms
from bot.services.refusing import helping, not_mine, said, unsure
from bot.services.reminding.calendar_file import calendar_file
from bot.services.reminding.changing import change, stop
from bot.services.reminding.listing import reminders
from bot.services.reminding.pressed import reminded
from bot.services.reminding.setting import remind
from bot.services.running.lamp import lamp
from bot.services.running.moving import move_in
from bot.services.running.timer import timer
from bot.services.seeing import LID, picture
from bot.services.topup import topup
from bot.services.towers import tower_add, tower_edit, tower_show
from calc.errors import Ambiguous, CalcError

_OFFER_LIFE = timedelta(hours=24)
# Where others read along, these are answered behind a "Just for me" button only.
_PRIVATE = (
    questions.Log,
    questions.Undo,
    questions.History,
    questions.Check,
    questions.Schedule,
    questions.Away,
    questions.Ph,
    questions.Clean,
    questions.Forecast,
    questions.Leak,
    questions.ChangeDue,
    questions.LastFed,
    questions.Quiet,
    questions.Waiting,
    questions.Ports,
    questions.PortPlant,
    questions.PortMove,
    questions.PortClear,
    questions.Harvest,
    questions.Stock,
    questions.Remind,
    questions.Reminders,
    questions.RemindStop,
    questions.RemindFile,
    questions.Reminded,
    questions.TowerShare,
    questions.TowerJoin,
    questions.TowerLeave,
    questions.TowerPack,
    questions.Start,
    questions.Door,
    questions.Setup,
    questions.SettingsEdit,
    questions.Export,
    questions.Import,
    questions.Forget,
)
# These rest on nobody's records.
_ANYWHERE = (
    questions.Help, questions.Home, questions.NotMine, questions.Said, questions.Forget,
    questions.Plugs, questions.Shares, questions.Cost, questions.Elsewhere,
    questions.Convert,
)  # fmt: skip


def _remind(question: questions.Remind, book: Book) -> Answer:
    """A new reminder, or another time for one that is there."""
    return remind(question, book) if question.which is None else change(question, book)


_SERVICES: Final[Mapping[type[Question], Callable[[Any, Book], Answer]]] = {
    questions.TopUp: topup,
    questions.Dose: dose,
    questions.Log: log,
    questions.Undo: undo,
    questions.History: history,
    questions.Check: check,
    questions.Schedule: schedule,
    questions.Ph: ph,
    questions.Source: source,
    questions.Heat: heat,
    questions.Outage: outage,
    questions.Clean: clean,
    questions.Away: away,
    questions.Forecast: forecast,
    questions.Leak: leak,
    questions.ChangeDue: due,
    questions.Timer: timer,
    questions.Lamp: lamp,
    questions.Plan: plan,
    questions.Ports: ports,
    questions.PortPlant: plant,
    questions.PortMove: move,
    questions.PortClear: clear,
    questions.Harvest: harvest,
    questions.Stock: stock,
    questions.Plugs: plugs,
    questions.Shares: shares,
    questions.Cost: cost,
    questions.Remind: _remind,
    questions.MoveIn: move_in,
    questions.DoseAll: dose_all,
    questions.Convert: convert,
    questions.LastFed: last_fed,
    questions.Picture: picture,
    questions.Quiet: quiet,
    questions.Notice: notice,
    questions.Elsewhere: elsewhere,
    questions.Reminders: reminders,
    questions.RemindStop: stop,
    questions.RemindFile: calendar_file,
    questions.Reminded: reminded,
    questions.TowerAdd: tower_add,
    questions.TowerEdit: tower_edit,
    questions.TowerShow: tower_show,
    questions.TowerShare: share,
    questions.TowerJoin: join,
    questions.TowerLeave: leave,
    questions.TowerPack: pack,
    questions.Start: start,
    questions.Door: door,
    questions.SettingsEdit: settings,
    questions.Export: export,
    questions.Import: import_,
    questions.Forget: forget,
    questions.Home: home,
    questions.Setup: setup,
    questions.Contents: contents,
    questions.FeedSet: feed,
    questions.Policy: policy,
    questions.Teach: teach,
    questions.Noted: noted,
    questions.Waiting: waiting,
    questions.Symptoms: symptoms,
    questions.Help: helping,
    questions.Said: said,
    questions.Unsure: unsure,
    questions.NotMine: not_mine,
}


def answer(question: Question, book: Book, remember: Sequence[Remember] = ()) -> Answer:
    """The answer to `question`, from `book` alone.

    remember: settings that the person has just settled with a button; the Book believes them
    already, here they are put among the changes to write.

    Bad input never raises: it comes back as a sentence that says what was understood, what is
    wrong and what would work.
    """
    try:
        found = _worked_out(question, book)
        if not isinstance(question, questions.TowerJoin | questions.Forget):
            found = invitations(found, book)
    except Ask as asking:
        found = asking.answer
    except Ambiguous as error:
        found = settle(error, question, "units")
    except CalcError as error:
        found = clarify("bad_input", explained(error))
    except Refusal as refusal:
        found = refused(refusal)
    settled = tuple(SetMember(setting=r.setting, value=r.value) for r in remember)
    return replace(found, changes=(*found.changes, *settled)) if settled else found


def _worked_out(question: Question, book: Book) -> Answer:
    if book.homes and not isinstance(question, _ANYWHERE):
        return which_home(book)
    if not book.private and _is_private(question, book):
        return _just_for_me(question)
    return _SERVICES[type(question)](question, book)


def _is_private(question: Question, book: Book) -> bool:
    """Not for the room, by its nature or by the person's own wish."""
    if isinstance(question, _PRIVATE):
        return True
    if isinstance(question, questions.Heat) and question.air is not None:
        return True
    if isinstance(question, questions.Picture) and question.what != LID:
        return True  # a lid table tells of the tank alone
    if isinstance(question, questions.Outage) and question.step in ("nudge", "back"):
        return True  # these write; the first steps are for whoever needs them
    return book.member.private_answers and not isinstance(question, _ANYWHERE)


def _just_for_me(question: Question) -> Answer:
    """Readings, history and a person's own matters are not for a room."""
    button = Offer(label=line("button.just_for_me"), question=question)
    found = clarify("private", line("room.private"), offers=[button])
    if isinstance(question, questions.Leak):  # what may stand in water waits for no button
        found = replace(found, do=(line("leak.electric"), *found.do))
    return found


def refreshed(question: Question, made_at: datetime, book: Book) -> tuple[Question, bool]:
    """The question behind a button, as it stands today; True where readings in it are stale.

    An offer is void after a newer line in that tower's log, or a day: what it read then is left
    out, and asked anew.
    """
    old = book.now - made_at > _OFFER_LIFE
    match question:
        case questions.Ph(added=str()):  # a correction is poured on the day it is worked out
            return (questions.Ph(tower=question.tower), True) if old else (question, False)
        case questions.PortPlant(instead=str()) | questions.PortMove(swap=str()):
            return (_asked_anew(question), True) if old else (question, False)
        case questions.PortClear() | questions.Clean(done=str()):
            return (questions.Ports(tower=question.tower), True) if old else (question, False)
        case _:
            pass
    if not isinstance(question, questions.TopUp | questions.Log | questions.Check):
        return question, False
    number = question.tower
    named = named_tower(number, book) if number and number.startswith(NUMBER) else None
    name = named.name if named else number
    newer = any(
        e.recorded_at is not None and e.recorded_at > made_at
        for e in book.log
        if name is None or e.tower == name
    )
    if isinstance(question, questions.Log) and question.replaces:
        newer = False
    if not newer and not old:
        return question, False
    if isinstance(question, questions.Log) and not question.shown:
        return question, False  # told, not worked out: it stays as true as it was
    if isinstance(question, questions.Check):
        return questions.Check(tower=number), True
    return questions.TopUp(tower=number), True


def _asked_anew(question: questions.PortPlant | questions.PortMove) -> Question:
    """Whatever stands in that port by now is asked about again."""
    if isinstance(question, questions.PortPlant):
        return replace(question, instead=None)
    return replace(question, swap=None)


def refused(refusal: Refusal) -> Answer:
    """A Refusal as the answer that says it."""
    values: dict[str, Value] = {
        name: value for name, value in refusal.values.items() if isinstance(value, str | int)
    }
    return Answer(outcome=refusal.outcome, intent="bad_input", do=(line(refusal.word, **values),))
