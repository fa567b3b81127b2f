"""The steps of the coach's set-up: where it stands, each step's question, and the end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from bot.records.answer import Answer, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.questions import Policy, Said, Setup, Start, Teach
from bot.services.asking import clarify
from bot.services.coach.rules import rule_line
from bot.services.moments import clock_minutes
from bot.services.own.zones import city
from bot.services.pouring import rates_of
from calc.dose import mixed_ec

STEPS: Final = 6
_QUIET: Final = ("21:00", "08:00")
_QUICK: Final = (
    ("America/New_York", "us"), ("America/Los_Angeles", "us"), ("Europe/London", "uk"),
    ("Europe/Lisbon", "metric"),
)  # fmt: skip
_TARGETS: Final = ("1.4", "1.6", "1.7", "1.8")
_RULES: Final = (
    "seedling_strength", "change_every_days", "change_after_tanks", "ph_low", "ph_high",
    "refill_mark_fraction", "hot_from_c", "hot_thirst", "bleach_ml_per_l",
)  # fmt: skip


def steps_done(book: Book) -> tuple[bool, ...]:
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


def overview(book: Book) -> Answer:
    """Where the set-up stands, and one button to go on."""
    done = steps_done(book)
    first = next((n for n, one in enumerate(done, 1) if not one), None)
    rows = tuple(
        line("setup.row_done", step=n, what=(line(f"setup.name_{n}"),), value=(value_of(n, book),))
        if one
        else line("setup.row_open", step=n, what=(line(f"setup.name_{n}"),))
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
            Offer(label=line("button.change_step", step=n), question=Setup(step=str(n)))
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


def value_of(step: int, book: Book) -> Line:
    """What a step that is done has set, in a few words."""
    place = book.community
    match step:
        case 1:
            return line(
                "setup.value_1", zone=city(place.time_zone), units=(line(f"units.{place.units}"),)
            )
        case 2:
            names = tuple(line("button.tower", name=f.name) for f in book.feeds if not f.own)
            return line("setup.value_2", names=names)
        case 3:
            return line("setup.value_3", target=Measure(book.number("target_ec"), "ec"))
        case 5 if place.quiet_from and place.quiet_to:
            return line(
                "setup.value_5",
                start=clock_minutes(place.quiet_from),
                end=clock_minutes(place.quiet_to),
            )
        case _:
            return line("setup.value_other")


def _missing(book: Book) -> tuple[Line, ...]:
    """The permissions that the bot lacks in this room, by name."""
    missing = book.place.missing if book.place else ()
    if not missing:
        return ()
    return (line("setup.missing", names=tuple(line(f"permission.{name}") for name in missing)),)


def asked(step: int, book: Book) -> Answer:
    asks: dict[int, Callable[[Book], Answer]] = {
        1: _ask_zone, 2: _ask_feed, 3: _ask_target, 4: _ask_rules, 5: _ask_room, 6: _ask_welcome,
    }  # fmt: skip
    return asks.get(step, finished)(book)


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


def ec_gain(book: Book) -> float | None:
    return next((f.ec_gain_ms_per_cm for f in book.feeds if not f.own), None)


def _ask_target(book: Book) -> Answer:
    target = book.rule("target_ec")
    if target.set_on is None or book.rule("no_meter_topup_strength").set_on or not ec_gain(book):
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
    gain, tap, target = ec_gain(book) or 1.0, book.number("tap_ec"), book.number("target_ec")
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
    start, end = (clock_minutes(hour) for hour in _QUIET)
    offers = [
        Offer(label=line("button.room", room=room, start=start, end=end), question=use),
        Offer(
            label=line("button.other_hours"), question=Setup(step="5", room="here"), form="quiet"
        ),
    ]
    found = clarify("setup", line("setup.room", room=room, start=start, end=end), offers=offers)
    return replace(found, expect=_missing(book))


def _ask_welcome(book: Book) -> Answer:
    offers = [
        Offer(label=line("button.post_pin"), question=Setup(step="6", welcome="post")),
        Offer(label=line("button.not_now"), question=Said(word="setup.later")),
    ]
    asked = line("setup.welcome", post=(line("welcome.post"),), button=(line("button.start"),))
    return replace(clarify("setup", asked, offers=offers), expect=_missing(book))


def finished(book: Book) -> Answer:
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
