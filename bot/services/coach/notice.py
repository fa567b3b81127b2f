"""A notice of heat, wind or frost: looked at by the coach, then told to the room and to each."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from bot.clock import wall_key, zone_of
from bot.errors import Refusal
from bot.records.answer import Answer, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import AddRule, TellOutdoors
from bot.records.questions import Notice
from bot.records.reminders import Debt, Pattern, Rule
from bot.services.asking import Ask, clarify
from bot.services.care.spell import NOT_HOT_C, SPELLS, Spell, key_of
from bot.services.coach.rules import must_coach
from bot.services.moments import read_day
from bot.services.reminding.saying import say_in_room
from bot.words import sentence
from calc.errors import OutOfRange
from calc.units import read_temperature_c

_LONGEST: Final = timedelta(days=14)
_DEFAULT: Final = timedelta(days=2)
_SOON: Final = timedelta(minutes=1)
_NO_FROST_C, _COLDEST_C = 5.0, -40.0


def notice(question: Notice, book: Book) -> Answer:
    """What the room and each member outdoors will read; sent when the coach has looked at it.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    must_coach(book)
    if book.community.room_id is None:
        raise Refusal("bad.no_room", outcome="refuse")
    spell = _read(question, book)
    room = _room(spell, book)
    if question.sure is None:
        send = Offer(
            label=line("button.send_it"),
            question=replace(question, until=str(spell.until), sure="yes"),
        )
        preview = say_in_room([Debt(id=0, rule=room, key="", due=book.now)], book.now)
        return Answer(
            outcome="answer",
            intent="notice",
            do=(line("notice.preview"), *preview.do),
            expect=(
                line("notice.each", zone=book.community.time_zone.split("/")[-1].replace("_", " ")),
            ),
            offers=(send,),
        )
    return Answer(
        outcome="answer",
        intent="notice",
        do=(line("notice.sent"),),
        changes=(TellOutdoors(key=key_of(spell)), AddRule(rule=room)),
    )


def _read(question: Notice, book: Book) -> Spell:
    kind = (question.about or "").strip().casefold()
    if kind not in SPELLS:
        choices = [
            Offer(label=line(f"button.{one}"), question=replace(question, about=one))
            for one in SPELLS
        ]
        raise Ask(clarify("notice", line("notice.which"), offers=choices))
    until = book.local(book.now) + _DEFAULT
    if question.until:
        until = _last_day(question.until, book)
    if until - book.local(book.now) > _LONGEST:
        raise Refusal("bad.notice_long", outcome="refuse")
    celsius = None
    if kind != "wind" and question.temp:
        celsius = read_temperature_c(
            question.temp, fahrenheit=book.member.units == "us", coldest_c=_COLDEST_C
        )
    if kind == "heat" and celsius is None:
        raise Ask(clarify("notice", line("notice.how_hot"),
                          offers=[Offer(label=line("button.write_down"), question=question,
                                        form="notice")]))  # fmt: skip
    wrong = celsius is not None and (
        (kind == "heat" and celsius < NOT_HOT_C) or (kind == "frost" and celsius > _NO_FROST_C)
    )
    if wrong:
        shown = Measure(celsius or 0.0, "temperature")
        raise Ask(clarify("notice", line(f"notice.no_{kind}", temp=shown)))
    return Spell(kind=kind, celsius=celsius, until=until)


def _last_day(text: str, book: Book) -> date:
    try:
        return read_day(text, now=book.now, zone=book.member.time_zone,
                        month_first=book.member.units == "us")  # fmt: skip
    except OutOfRange as error:
        word = "bad.notice_over" if error.value < 0 else "bad.notice_long"
        raise Refusal(word, outcome="refuse") from None


def _room(spell: Spell, book: Book) -> Rule:
    """Said in the room in a minute, to those with a tower outdoors."""
    zone = book.community.time_zone
    soon = (book.now + _SOON).astimezone(zone_of(zone))
    return Rule(
        text=_text(spell, book),
        pattern=Pattern(start_local=wall_key(soon), zone=zone),
        room=True,
        place="outdoor",
    )


def _text(spell: Spell, book: Book) -> str:
    """The room reads both scales."""
    values = {"day": f"{spell.until:%a} {spell.until.day} {spell.until:%b}" if spell.until else ""}
    if spell.celsius is not None:
        values["temp"] = f"{spell.celsius * 9 / 5 + 32:.0f} °F ({spell.celsius:.0f} °C)"
    word = f"notice.room_{spell.kind}" + ("" if spell.celsius is not None else "_plain")
    return sentence(word).format(**values)
