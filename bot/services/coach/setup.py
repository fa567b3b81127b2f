"""The coach's set-up: six steps, each stored as it is answered, none asked twice without need."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from bot.errors import Refusal
from bot.records.answer import Answer, Offer, Post, line
from bot.records.book import Book
from bot.records.changes import (
    Change,
    SetCommunity,
    SetFeed,
    SetMember,
    SetPolicy,
    SetRole,
    TakeUp,
)
from bot.records.facts import Community, Feed, PolicyValue
from bot.records.questions import Setup, Start
from bot.services.coach.labels import read_feed
from bot.services.coach.steps import STEPS, asked, ec_gain, finished, overview, steps_done, value_of
from bot.services.facts import ec_fact
from bot.services.moments import read_quiet
from bot.services.own.zones import read_zone
from calc.units import read_number

_UNITS: Final = {"us": "us", "metric": "metric", "uk": "uk", "both": "both"}


def setup(question: Setup, book: Book) -> Answer:
    """Write what was chosen and ask the next step; without a choice, say where it stands.

    Raises
    ------
    CalcError, Refusal
    """
    claim = _claim(book)
    if claim:
        book = replace(book, member=replace(book.member, role="coach"))
    if question.coach or question.former:
        return _other_coach(question, claim)
    changes, after = _chosen(question, book)
    if question.welcome == "post":
        return _posted(after, (*claim, *changes))
    step = _next(question, after)
    found = asked(step, after) if question.step or changes else overview(after)
    if changes and question.step in ("1", "2", "3", "5"):
        noted = line("setup.noted", what=(value_of(int(question.step), after),))
        found = replace(found, do=(noted, *found.do))
    return replace(found, changes=(*claim, *changes))


def _claim(book: Book) -> tuple[Change, ...]:
    """The first coach is who runs the server, by the platform's word."""
    if not book.in_guild:
        raise Refusal("no.coach_in_room", outcome="refuse")
    if book.member.coach:
        return ()
    if book.place is None or not book.place.manages:
        raise Refusal("no.coach_only", outcome="refuse")
    return (SetRole(user_id=None, role="coach"),)


def _other_coach(question: Setup, claim: tuple[Change, ...]) -> Answer:
    """One more coach, or one less. The option holds the person's number and name."""
    number, _, name = (question.coach or question.former or "").partition(" ")
    role = "coach" if question.coach else "member"
    change = SetRole(user_id=int(number), role=role, name=name[:100])
    word = "setup.coach_added" if question.coach else "setup.coach_gone"
    return Answer(
        outcome="answer", intent="setup", do=(line(word, name=name),), changes=(*claim, change)
    )


def _next(question: Setup, book: Book) -> int:
    """The step to ask: the one named, else the one after what was chosen, else the first open."""
    if question.step and not _values(question):
        return min(max(int(question.step), 1), STEPS + 1)
    if question.target and not question.rate and ec_gain(book):
        return 3  # its second half: which rate
    if question.step:
        at = int(question.step)
        later = [n for n, done in enumerate(steps_done(book), 1) if n > at and not done]
        return later[0] if later else STEPS + 1
    return next((n for n, done in enumerate(steps_done(book), 1) if not done), STEPS + 1)


def _values(question: Setup) -> bool:
    names = ("zone", "units", "parts", "target", "rate", "rules", "room", "quiet", "tap")
    return any(getattr(question, name) for name in names)


def _chosen(question: Setup, book: Book) -> tuple[tuple[Change, ...], Book]:
    """The changes of what was chosen, and the Book as it will be."""
    changes: list[Change] = []
    today = book.local(book.now)
    place, policy, feeds = book.community, dict(book.policy), list(book.feeds)
    member = book.member

    def set_place(**facts: str | int | bool | None) -> None:
        nonlocal place
        place = replace(place, **facts)  # type: ignore[arg-type]  # names of its own fields
        changes.extend(SetCommunity(setting=k, value=v) for k, v in facts.items())

    def set_rule(key: str, value: float) -> None:
        policy[key] = PolicyValue(value=value, set_on=today, by=book.member.name)
        changes.append(SetPolicy(key=key, value=value, set_on=today))

    if question.zone or question.units:
        first = not place.zone_set
        set_place(**_zone(question, place), zone_set=True)
        if first:  # who founds it lives there, and reads the rest of the set-up in its units
            member = replace(member, time_zone=place.time_zone, units=place.units)
            changes.extend(
                SetMember(setting=name, value=getattr(member, name))
                for name in ("time_zone", "units")
            )
    if question.parts:
        made = _feed(question, book)
        feeds = [made, *[f for f in feeds if f.name != made.name]]
        changes.append(SetFeed(feed=made))
    if question.tap:
        set_rule("tap_ec", ec_fact("tap", question.tap, book, question).value)
    if question.target:
        set_rule("target_ec", ec_fact("target", question.target, book, question).value)
    if question.rate:
        share = read_number(question.rate, wanted="strength", low=0.1, high=1.5, unit="x label")
        set_rule("no_meter_topup_strength", share)
    if question.rules:
        set_place(rules_seen=True)
    if question.room and book.place is not None:
        set_place(room_id=book.place.room_id)
        changes.append(TakeUp(room=True))
    if question.quiet:
        quiet = read_quiet(question.quiet)
        set_place(quiet_from=quiet[0] if quiet else None, quiet_to=quiet[1] if quiet else None)
    after = replace(book, member=member, community=place, policy=policy, feeds=tuple(feeds))
    return tuple(changes), after


def _zone(question: Setup, place: Community) -> dict[str, str]:
    """Zone and units; what is left out stays."""
    zone = read_zone(question.zone) if question.zone else place.time_zone
    units = _UNITS.get((question.units or place.units).strip().casefold())
    if units is None:
        raise Refusal("no.setting_units", text=(question.units or "")[:40])
    return {"time_zone": zone, "units": units}


def _feed(question: Setup, book: Book) -> Feed:
    name = question.name or f"{book.community.name or 'our'} feed"[:40]
    # The gallon of the units just chosen; where they name none, the coach's own.
    units = book.community.units
    reader = book.believing(gallon=units) if units in ("us", "uk") else book
    return read_feed(name, question.parts or "", question.gain, reader)


def _posted(book: Book, changes: tuple[Change, ...]) -> Answer:
    """The welcome post goes to the room, once; then what is left to do."""
    room = book.community.room_id or (book.place.room_id if book.place else None)
    if room is None:
        raise Refusal("no.room", outcome="refuse")
    post = Post(
        room_id=room,
        lines=(line("welcome.post"),),
        offers=(Offer(label=line("button.start"), question=Start(), anyone=True),),
    )
    again = (TakeUp(room=True),) if book.community.room_held else ()
    return replace(finished(book), post=post, changes=(*changes, *again))
