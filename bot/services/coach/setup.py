"""The coach's set-up: six steps, each stored as it is answered, none asked twice without need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Measure, Offer, Post, line
from bot.records.book import Book
from bot.records.changes import Change, SetCommunity, SetFeed, SetPolicy, SetRole
from bot.records.facts import Community, Feed, PolicyValue
from bot.records.questions import Policy, Said, Setup, Start, Teach
from bot.services.asking import clarify
from bot.services.coach.labels import read_feed
from bot.services.coach.rules import rule_line
from bot.services.dose import rates_of
from bot.services.facts import ec_fact
from bot.services.moments import read_quiet
from bot.services.own.zones import read_zone
from calc.dose import mixed_ec
from calc.units import read_number

STEPS: Final = 6
_QUIET: Final = ("21:00", "08:00")
_QUICK: Final = (
    ("America/New_York", "us"), ("America/Los_Angeles", "us"), ("Europe/London", "uk"),
    ("Europe/Lisbon", "metric"),
)  # fmt: skip
_TARGETS: Final = ("1.4", "1.6", "1.7", "1.8")
_UNITS: Final = {"us": "us", "metric": "metric", "uk": "uk", "both": "both"}
_RULES: Final = (
    "seedling_strength", "change_every_days", "change_after_tanks", "ph_low", "ph_high",
    "refill_mark_fraction", "hot_from_c", "hot_thirst", "bleach_ml_per_l",
)  # fmt: skip
# What a welcome post needs, by the platform's names of permissions.
NEEDED: Final = ("view_channel", "send_messages", "read_message_history", "pin_messages",
                 "attach_files")  # fmt: skip


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
    found = _asked(step, after) if question.step or changes else _overview(after)
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


def _done(book: Book) -> tuple[bool, ...]:
    """Which of the six steps are answered."""
    place = book.community
    return (
        place.zone_set,
        any(not feed.own for feed in book.feeds),
        book.rule("target_ec").set_on is not None,
        place.rules_seen,
        place.room_id is not None,
        place.welcome_id is not None,
    )


def _next(question: Setup, book: Book) -> int:
    """The step to ask: the one named, else the one after what was chosen, else the first open."""
    if question.step and not _values(question):
        return min(max(int(question.step), 1), STEPS + 1)
    if question.target and not question.rate and _gain(book):
        return 3  # its second half: which rate
    if question.step:
        at = int(question.step)
        later = [n for n, done in enumerate(_done(book), 1) if n > at and not done]
        return later[0] if later else STEPS + 1
    return next((n for n, done in enumerate(_done(book), 1) if not done), STEPS + 1)


def _values(question: Setup) -> bool:
    names = ("zone", "units", "parts", "target", "rate", "rules", "room", "quiet", "tap")
    return any(getattr(question, name) for name in names)


def _chosen(question: Setup, book: Book) -> tuple[tuple[Change, ...], Book]:
    """The changes of what was chosen, and the Book as it will be."""
    changes: list[Change] = []
    today = book.local(book.now)
    place, policy, feeds = book.community, dict(book.policy), list(book.feeds)

    def set_place(**facts: str | int | bool | None) -> None:
        nonlocal place
        place = replace(place, **facts)  # type: ignore[arg-type]  # names of its own fields
        changes.extend(SetCommunity(setting=k, value=v) for k, v in facts.items())

    def set_rule(key: str, value: float) -> None:
        policy[key] = PolicyValue(value=value, set_on=today, by=book.member.name)
        changes.append(SetPolicy(key=key, value=value, set_on=today))

    if question.zone or question.units:
        set_place(**_zone(question, place), zone_set=True)
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
    if question.quiet:
        quiet = read_quiet(question.quiet)
        set_place(quiet_from=quiet[0] if quiet else None, quiet_to=quiet[1] if quiet else None)
    after = replace(book, community=place, policy=policy, feeds=tuple(feeds))
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
    gallon = "us" if book.community.units in ("us", "both") else None
    reader = book if book.member.gallon or gallon is None else book.believing(gallon=gallon)
    return read_feed(name, question.parts or "", question.gain, reader)


def _overview(book: Book) -> Answer:
    """Where the set-up stands, and one button to go on."""
    done = _done(book)
    first = next((n for n, one in enumerate(done, 1) if not one), None)
    rows = tuple(
        line("setup.row_done" if one else "setup.row_open", step=n, what=(line(f"setup.name_{n}"),))
        for n, one in enumerate(done, 1)
    )
    offers = [
        Offer(
            label=line("button.setup_start" if first in (1, None) else "button.go_on"),
            question=Setup(step=str(first or 1)),
        ),
        Offer(label=line("button.try_member"), question=Start()),
    ]
    if first is None:
        offers[0:1] = [
            Offer(label=line("button.setup_step", step=n), question=Setup(step=str(n)))
            for n in range(1, STEPS + 1)
        ]
    head = line(
        "setup.head", community=book.community.name or (book.place.community if book.place else "")
    )
    return Answer(
        outcome="answer",
        intent="setup",
        do=(head, *rows),
        expect=_missing(book),
        offers=tuple(offers),
    )


def _missing(book: Book) -> tuple[Line, ...]:
    """The permissions that the bot lacks in this room, by name."""
    missing = [name for name in (book.place.missing if book.place else ()) if name in NEEDED]
    if not missing:
        return ()
    return (line("setup.missing", names=tuple(line(f"permission.{name}") for name in missing)),)


def _asked(step: int, book: Book) -> Answer:
    asks: dict[int, Callable[[Book], Answer]] = {
        1: _ask_zone, 2: _ask_feed, 3: _ask_target, 4: _ask_rules, 5: _ask_room, 6: _ask_welcome,
    }  # fmt: skip
    return asks.get(step, _finished)(book)


def _ask_zone(book: Book) -> Answer:
    offers = [
        Offer(
            label=line("button.zone_units", zone=zone.rsplit("/", 1)[1].replace("_", " "),
                       units=(line(f"units.{units}"),)),
            question=Setup(step="1", zone=zone, units=units),
        )
        for zone, units in _QUICK
    ]  # fmt: skip
    offers.append(Offer(label=line("button.other_zone"), question=Setup(step="1"), form="zone"))
    return clarify("setup", line("setup.zone"), offers=offers)


def _ask_feed(book: Book) -> Answer:
    offers = [Offer(label=line("button.write_down"), question=Setup(step="2"), form="setup_feed")]
    return clarify("setup", line("setup.feed"), offers=offers)


def _gain(book: Book) -> float | None:
    return next((f.ec_gain_ms_per_cm for f in book.feeds if not f.own), None)


def _ask_target(book: Book) -> Answer:
    target = book.rule("target_ec")
    if target.set_on is None or book.rule("no_meter_topup_strength").set_on or not _gain(book):
        offers = [
            Offer(label=line("button.text", text=t), question=Setup(step="3", target=t))
            for t in _TARGETS
        ]
        other = Offer(label=line("button.other"), question=Setup(step="3"), form="target")
        return clarify("setup", line("setup.target"), offers=[*offers, other])
    return _ask_rate(book)


def _ask_rate(book: Book) -> Answer:
    """Label rate, or the rate that meets the target; both with what they read."""
    told = next(f for f in book.feeds if not f.own)
    gain, tap, target = _gain(book) or 1.0, book.number("tap_ec"), book.number("target_ec")
    makes = mixed_ec(water_ec_ms_per_cm=tap, gain_ms_per_cm=gain, strength_fraction=1.0)
    share = (target - tap) / gain
    label = Offer(
        label=line("button.rate_label", rates=rates_of(told)), question=Setup(step="3", rate="1")
    )
    if not 0.1 <= share <= 1.5:
        return clarify("setup", line("setup.rate_far", makes=Measure(makes, "ec_about"),
                                     target=Measure(target, "ec")), offers=[label])  # fmt: skip
    part = told.parts[0]
    fit = Measure(part.rate_per_l * share, "rate_g" if part.dry else "rate_ml")
    meets = Offer(
        label=line("button.rate_meets", rate=fit, share=Measure(share, "percent")),
        question=Setup(step="3", rate=f"{share:.4f}"),
    )
    asked = line(
        "setup.rate",
        makes=Measure(makes, "ec_about"),
        target=Measure(target, "ec"),
        rate=fit,
        share=Measure(share, "percent"),
    )
    return clarify("setup", asked, offers=[meets, label])


def _ask_rules(book: Book) -> Answer:
    rows = tuple(rule_line(key, book) for key in _RULES)
    offers = [
        Offer(label=line("button.use_these"), question=Setup(step="4", rules="ok")),
        Offer(label=line("button.change_one"), question=Policy(), form="rule"),
    ]
    found = clarify("setup", line("setup.rules"), offers=offers)
    return replace(found, do=(*found.do, *rows))


def _ask_room(book: Book) -> Answer:
    room = book.place.room if book.place else ""
    use = Setup(step="5", room="here", quiet=f"{_QUIET[0]} - {_QUIET[1]}")
    offers = [
        Offer(label=line("button.room", room=room), question=use),
        Offer(
            label=line("button.other_hours"), question=Setup(step="5", room="here"), form="quiet"
        ),
    ]
    found = clarify("setup", line("setup.room", room=room), offers=offers)
    return replace(found, expect=_missing(book))


def _ask_welcome(book: Book) -> Answer:
    offers = [
        Offer(label=line("button.post_pin"), question=Setup(step="6", welcome="post")),
        Offer(label=line("button.not_now"), question=Said(word="setup.later")),
    ]
    asked = line("setup.welcome", post=(line("welcome.post"),), button=(line("button.start"),))
    return replace(clarify("setup", asked, offers=offers), expect=_missing(book))


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
    return replace(_finished(book), post=post, changes=changes)


def _finished(book: Book) -> Answer:
    teach = Offer(label=line("button.teach"), question=Teach(about=None), form="note")
    again = Offer(label=line("button.look_again"), question=Setup())
    members = max((book.place.members if book.place else 0) - 1, 0)
    return Answer(
        outcome="answer",
        intent="setup",
        do=(
            line("setup.done", count=book.community.set_up, members=members)
            if members > 0
            else line("setup.done_count", count=book.community.set_up),
        ),
        expect=(line("setup.second_coach"),),
        check=(line("setup.try_it"),),
        offers=(teach, again),
    )
