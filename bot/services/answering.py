"""The one path of every answer: a question and a Book in, an Answer out, whatever was typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Measure, Offer, Remember, Value, line
from bot.records.book import Book
from bot.records.changes import SetMember
from bot.records.questions import (
    Check,
    Door,
    Dose,
    Export,
    FeedSet,
    Forget,
    Help,
    History,
    Import,
    Lamp,
    Log,
    Noted,
    NotMine,
    Policy,
    Question,
    Said,
    Schedule,
    SettingsEdit,
    Setup,
    Start,
    Teach,
    Timer,
    TopUp,
    TowerAdd,
    TowerEdit,
    TowerLeave,
    TowerPack,
    TowerShare,
    TowerShow,
    Undo,
    Unsure,
)  # fmt: skip
from bot.services.asking import Ask, clarify, settle
from bot.services.coach.feeds import feed
from bot.services.coach.notes import noted, teach
from bot.services.coach.rules import policy
from bot.services.coach.setup import setup
from bot.services.dose import dose
from bot.services.log.checking import check
from bot.services.log.reading_back import history, undo
from bot.services.log.schedule import schedule
from bot.services.log.writing import log
from bot.services.newcomer.doors import door
from bot.services.newcomer.start import start
from bot.services.own.export import export
from bot.services.own.forgetting import forget
from bot.services.own.importing import import_
from bot.services.own.settings import settings
from bot.services.own.sharing import leave, pack, share
from bot.services.refusing import helping, not_mine, said, unsure
from bot.services.running.lamp import lamp
from bot.services.running.timer import timer
from bot.services.topup import topup
from bot.services.towers import tower_add, tower_edit, tower_show
from calc.errors import Ambiguous, CalcError, Impossible, OutOfRange, Unreadable

_OFFER_LIFE = timedelta(hours=24)
# Where others read along, these are answered behind a "Just for me" button only.
_PRIVATE = (
    Log, Undo, History, Check, Schedule, TowerShare, TowerLeave, TowerPack, Start, Door, Setup,
    SettingsEdit, Export, Import, Forget,
)  # fmt: skip
_Community = Setup | FeedSet | Policy | Teach | Noted | Help | Said | Unsure | NotMine
_Records = (
    TowerAdd | TowerEdit | TowerShow | TowerShare | TowerLeave | TowerPack | Start | Door
    | SettingsEdit | Export | Import | Forget | _Community
)  # fmt: skip


def answer(question: Question, book: Book, remember: Sequence[Remember] = ()) -> Answer:
    """The answer to `question`, from `book` alone.

    remember: settings that the person has just settled with a button; the Book believes them
    already, here they are put among the changes to write.

    Bad input never raises: it comes back as a sentence that says what was understood, what is
    wrong and what would work.
    """
    try:
        found = _worked_out(question, book)
    except Ask as asking:
        found = asking.answer
    except Ambiguous as error:
        found = settle(error, question, "units")
    except CalcError as error:
        found = clarify("bad_input", _explained(error))
    except Refusal as refusal:
        found = refused(refusal)
    settled = tuple(SetMember(setting=r.setting, value=r.value) for r in remember)
    return replace(found, changes=(*found.changes, *settled)) if settled else found


def _worked_out(question: Question, book: Book) -> Answer:
    if not book.private and isinstance(question, _PRIVATE):
        return _just_for_me(question)
    match question:
        case TopUp():
            return topup(question, book)
        case Dose():
            return dose(question, book)
        case Log():
            return log(question, book)
        case Undo():
            return undo(question, book)
        case History():
            return history(question, book)
        case Check():
            return check(question, book)
        case Schedule():
            return schedule(question, book)
        case Timer():
            return timer(question, book)
        case Lamp():
            return lamp(question, book)
        case _:
            return _about_records(question, book)


def _about_records(question: _Records, book: Book) -> Answer:
    """Towers, people, the community: what is kept rather than worked out."""
    match question:
        case TowerAdd():
            return tower_add(question, book)
        case TowerEdit():
            return tower_edit(question, book)
        case TowerShow():
            return tower_show(question, book)
        case TowerShare():
            return share(question, book)
        case TowerLeave():
            return leave(question, book)
        case TowerPack():
            return pack(question, book)
        case Start():
            return start(question, book)
        case Door():
            return door(question, book)
        case SettingsEdit():
            return settings(question, book)
        case Export():
            return export(question, book)
        case Import():
            return import_(question, book)
        case Forget():
            return forget(question, book)
        case _:
            return _of_community(question, book)


def _of_community(question: _Community, book: Book) -> Answer:
    match question:
        case Setup():
            return setup(question, book)
        case FeedSet():
            return feed(question, book)
        case Policy():
            return policy(question, book)
        case Teach():
            return teach(question, book)
        case Noted():
            return noted(question, book)
        case Help():
            return helping(question, book)
        case Said():
            return said(question, book)
        case Unsure():
            return unsure(question, book)
        case NotMine():
            return not_mine(question, book)


def _just_for_me(question: Question) -> Answer:
    """Readings, history and a person's own matters are not for a room."""
    button = Offer(label=line("button.just_for_me"), question=question)
    return clarify("private", line("room.private"), offers=[button])


def refreshed(question: Question, made_at: datetime, book: Book) -> tuple[Question, bool]:
    """The question behind a button, as it stands today; True where readings in it are stale.

    An offer is void after a newer line in that tower's log, or a day: what it read then is left
    out, and asked anew.
    """
    name = getattr(question, "tower", None)
    if not isinstance(question, TopUp | Log | Check):
        return question, False
    newer = any(
        e.recorded_at is not None and e.recorded_at > made_at
        for e in book.log
        if name is None or e.tower == name
    )
    if isinstance(question, Log) and question.replaces:
        newer = False
    if not newer and book.now - made_at <= _OFFER_LIFE:
        return question, False
    if isinstance(question, Log) and not question.shown:
        return question, False  # told, not worked out: it stays as true as it was
    return TopUp(tower=name), True


def refused(refusal: Refusal) -> Answer:
    """A Refusal as the answer that says it."""
    values: dict[str, Value] = {
        name: value for name, value in refusal.values.items() if isinstance(value, str | int)
    }
    return Answer(outcome=refusal.outcome, intent="bad_input", do=(line(refusal.word, **values),))


def _explained(error: CalcError) -> Line:
    """A number that cannot be worked with, in words."""
    match error:
        case Unreadable():
            return line(f"ask.unreadable_{error.wanted}", text=error.text)
        case OutOfRange():
            return _out_of_range(error)
        case Impossible(reason="nothing_poured"):
            return line("ask.unreadable_amounts by part", text="0")
        case _:
            return line("ask.contradiction")


def _out_of_range(error: OutOfRange) -> Line:
    match error.name:
        case "pump line":
            return line(
                "ask.pump_line",
                pump=Measure(error.value, "water"),
                tank=Measure(error.high, "water"),
            )
        case "moment":
            return line("ask.moment")
        case "volume" | "tank":
            return line("ask.volume_impossible", volume=Measure(error.value, "water"))
        case "depth" | "full depth":
            return line("ask.depth_impossible", depth=Measure(error.value, "depth_cm"))
        case "strength":
            return line("ask.strength_impossible", share=Measure(error.value, "percent"))
        case "label rate":
            return line("ask.rate_impossible", rate=Measure(error.value, "number"))
        case "level":
            return line("ask.share_impossible", share=Measure(error.value, "percent"))
        case _:
            return line(
                "ask.range",
                name=error.name,
                value=Measure(error.value, "number"),
                low=Measure(error.low, "number"),
                high=Measure(error.high, "number"),
                unit=error.unit,
            )
