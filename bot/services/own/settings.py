"""A person's own habits: units, gallon, zone, meter, finger, jug, morning, quiet hours."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Final

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import Change, SetHome, SetMember
from bot.records.facts import Member
from bot.records.questions import Home, SettingsEdit
from bot.services.asking import clarify
from bot.services.facts import measures
from bot.services.moments import clock_minutes, read_clock, read_quiet
from bot.services.own.zones import city, read_zone
from calc.errors import Unreadable, within
from calc.units import FINGER_CM, read_depth_cm, read_number, read_volume

_UNITS: Final = {"us": "us", "metric": "metric", "uk": "uk", "litres": "metric", "gallons": "us"}
_METERS: Final = {"ec": None, "500": 500, "640": 640, "700": 700, "none": None}


def settings(question: SettingsEdit, book: Book) -> Answer:
    """What they are, or the new ones, each stored as it was read.

    Raises
    ------
    CalcError, Refusal
    """
    changes = _changes(question, book)
    lines = _lines(book.member)
    if not changes:
        return _shown("settings.shown", lines, ())
    after = book.member
    for change in changes:
        after = replace(after, **{change.setting: change.value})  # type: ignore[arg-type]  # names come from here
    changed = tuple(one for one in _lines(after) if one not in lines)
    return _shown("settings.saved", changed, tuple(changes))


def home(question: Home, book: Book) -> Answer:
    """The community that private messages are about from now on."""
    name = next((n for i, n in book.homes if str(i) == question.community), "")
    return Answer(
        outcome="answer",
        intent="settings",
        do=(line("settings.home", name=name),),
        changes=(SetHome(community_id=int(question.community)),),
    )


def which_home(book: Book) -> Answer:
    """Asked once of someone who is in several communities and writes in private."""
    offers = [
        Offer(label=line("button.tower", name=name), question=Home(community=str(number)))
        for number, name in book.homes[:5]
    ]
    return clarify("settings", line("ask.home"), offers=offers)


def _changes(question: SettingsEdit, book: Book) -> list[SetMember]:
    found: dict[str, str | int | float | bool | date | None] = {}
    if question.units:
        found |= _units(question.units)
    if question.gallon:
        found["gallon"] = _one_of(question.gallon, {"us": "us", "uk": "uk"}, "gallon")
    if question.zone:
        found["time_zone"] = read_zone(question.zone)
    if question.meter:
        found |= _meter(question.meter)
    if question.finger:
        found["finger_mm"] = _finger(question.finger, book)
    if question.jug:
        found["jug_l"] = _jug(question.jug, book)
    if question.drops:
        found["drops_per_ml"] = read_number(
            question.drops, wanted="drops per mL", low=5, high=60, unit="drops"
        )
    if question.morning:
        found["morning"] = read_clock(question.morning)
    if question.evening:
        found["evening"] = read_clock(question.evening)
    if question.calibrated:
        found["calibrated_on"] = book.local(book.now)
    if question.closed:
        found["room_notes"] = _one_of(question.closed, {"note": True, "nothing": False}, "closed")
    if question.quiet:
        quiet = read_quiet(question.quiet)
        found |= {
            "quiet_from": quiet[0] if quiet else None,
            "quiet_to": quiet[1] if quiet else None,
        }
    if question.answers:
        found["private_answers"] = _one_of(
            question.answers, {"private": True, "room": False}, "answers"
        )
    return [SetMember(setting=name, value=value) for name, value in found.items()]


def _one_of(typed: str, known: dict[str, str] | dict[str, bool], name: str) -> str | bool:
    found = known.get(typed.strip().casefold())
    if found is None:
        raise Refusal(f"no.setting_{name}", text=typed[:40])
    return found


def _units(typed: str) -> dict[str, str | int | float | bool | None]:
    """Units, and the gallon that goes with them; in litres it is asked when one comes up."""
    units = _UNITS.get(typed.strip().casefold())
    if units is None:
        raise Refusal("no.setting_units", text=typed[:40])
    return {"units": units} if units == "metric" else {"units": units, "gallon": units}


def _meter(typed: str) -> dict[str, str | int | float | bool | None]:
    word = typed.strip().casefold().removeprefix("ppm").strip()
    if word not in _METERS:
        raise Refusal("no.setting_meter", text=typed[:40])
    return {"has_ec_meter": word != "none", "tds_scale": _METERS[word]}


def _finger(typed: str, book: Book) -> float:
    centimetres = read_depth_cm(typed, measures=measures(book))
    return 10 * within(name="finger", value=centimetres, low=0.8, high=4, unit="cm")


def _jug(typed: str, book: Book) -> float:
    mine = measures(replace(book, member=replace(book.member, jug_l=None)))
    if "jug" in typed.casefold():
        raise Unreadable(text=typed[:60], wanted="volume")
    litres = read_volume(typed, measures=mine).litres
    return within(name="jug", value=litres, low=0.05, high=200, unit="L")


def _shown(word: str, lines: tuple[Line, ...], changes: tuple[Change, ...]) -> Answer:
    offer = Offer(label=line("button.change"), question=SettingsEdit(), form="settings")
    return Answer(
        outcome="answer",
        intent="settings",
        do=(line(word), *lines),
        check=(line("settings.how"),),
        offers=(offer,),
        changes=changes,
    )


def _lines(who: Member) -> tuple[Line, ...]:
    return (
        line("settings.units", units=(line(f"units.{who.units}"),), gallon=_gallon(who)),
        line(
            "settings.zone",
            zone=city(who.time_zone),
            morning=clock_minutes(who.morning),
            evening=clock_minutes(who.evening),
        ),
        line("settings.meter", meter=_meter_said(who)),
        line(
            "settings.hand" if who.finger_mm else "settings.hand_guess",
            finger=Measure(who.finger_mm / 10 if who.finger_mm else FINGER_CM, "depth_mm"),
            jug=(line("settings.jug", jug=Measure(who.jug_l, "water")),)
            if who.jug_l
            else (line("settings.no_jug"),),
        ),
        line(
            "settings.quiet", start=clock_minutes(who.quiet_from), end=clock_minutes(who.quiet_to)
        )
        if who.quiet_from and who.quiet_to
        else line("settings.no_quiet"),
        line("settings.private" if who.private_answers else "settings.room"),
        *((line("settings.note_room"),) if who.room_notes else ()),
        *((line("settings.calibrated", day=who.calibrated_on),) if who.calibrated_on else ()),
        *((line("settings.drops", drops=Measure(who.drops_per_ml, "number")),)
          if who.drops_per_ml else ()),
    )  # fmt: skip


def _gallon(who: Member) -> tuple[Line, ...]:
    gallon = who.gallon or ("us" if who.units == "us" else None)
    return (line(f"settings.gallon_{gallon or 'unknown'}"),)


def _meter_said(who: Member) -> tuple[Line, ...]:
    if who.has_ec_meter is False:
        return (line("meter.none"),)
    if who.tds_scale:
        return (line("settings.scale", scale=who.tds_scale),)
    return (line("settings.meter_any" if who.has_ec_meter else "settings.meter_unknown"),)
