"""A picture in the words, the units and the days of one reader, ready to be drawn."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import Final

from bot.clock import instant
from bot.records.answer import Line, Measure, Pours
from bot.records.book import Book
from bot.records.drawings import Ahead, Bar, Chart, Drawing, Panel, Ruled, Sheet, Stripe
from bot.records.facts import Member
from bot.records.pictures import Course, Page, Picture, Plot, Text
from bot.render.numbers import measure, number, shown_water, unit_of_water, weekday
from bot.render.pours import said
from bot.render.voice import Voice
from bot.words import sentence

_MOST_TICKS: Final = 6
_LONGEST_ALT: Final = 1000  # the platform takes 1024 characters
_MOST_DAYS: Final = 40


def drawing(picture: Picture, book: Book) -> Drawing:
    """The picture as this member reads it."""
    voice = Voice(book.member, marked=False)
    if isinstance(picture, Plot):
        return _chart(picture, voice, book)
    return _sheet(picture, voice, book)


def _chart(plot: Plot, voice: Voice, book: Book) -> Chart:
    return Chart(
        title=voice.line(plot.title),
        panels=tuple(_panel(course, voice, book.member) for course in plot.courses),
        ticks=_ticks(plot.begins, plot.ends, book.member.time_zone),
        now=(plot.now, sentence("plot.now")) if plot.now else None,
        key=tuple((mark, voice.line(one)) for mark, one in plot.key),
        foot=voice.lines(plot.foot),
        alt=_alt(plot, voice),
    )


def _alt(picture: Picture, voice: Voice) -> str:
    """The picture in words, for who does not see it."""
    return f"{voice.line(picture.title)}. {voice.lines(picture.alt)}"[:_LONGEST_ALT]


def _panel(course: Course, voice: Voice, member: Member) -> Panel:
    shown = _scale(course.of, member)

    def points(some: tuple[tuple[datetime, float], ...]) -> tuple[tuple[datetime, float], ...]:
        return tuple((at, shown(value)) for at, value in some)

    unit = unit_of_water(member) if course.of == "water" else sentence(f"plot.unit_{course.of}")
    if course.a_day:
        unit = sentence("plot.unit_a_day").format(unit=unit)
    tank = course.of == "water"
    return Panel(
        unit=unit,
        path=points(course.path),
        dots=points(course.dots),
        guessed=points(course.guessed),
        ahead=tuple(
            Ahead(at=one.at, low=shown(one.low), likely=shown(one.likely), high=shown(one.high))
            for one in course.expected
        ),
        bars=tuple(
            Bar(begins=one.begins, ends=one.ends, value=shown(one.value), hot=one.hot,
                label=number(round(shown(one.value), 1 if shown(one.value) >= 3 else 2)))
            for one in course.spells
        ),
        stripe=Stripe(low=shown(course.aim.low), high=shown(course.aim.high),
                      label=voice.line(course.aim.label)) if course.aim else None,
        ruled=tuple(
            Ruled(at=shown(one.at), label=voice.line(one.label), alarm=one.alarm)
            for one in course.across
        ),
        floor=0.0 if tank else None,
    )  # fmt: skip


def _scale(of: str, member: Member) -> Callable[[float], float]:
    """From SI to the reader's axis."""
    return (lambda litres: shown_water(litres, member)) if of == "water" else (lambda value: value)


def _ticks(begins: date, ends: date, zone: str) -> tuple[tuple[datetime, str], ...]:
    """Midnights, each so many days; their days."""
    days = (ends - begins).days + 1
    every = max(1, -(-days // _MOST_TICKS))
    found = [begins + timedelta(days=n) for n in range(0, days + 1, every)]
    return tuple(
        (instant(datetime.combine(day, time()), zone), " ".join(weekday(day).split()[:2]))
        for day in found
    )


def _sheet(page: Page, voice: Voice, book: Book) -> Sheet:
    def text(one: Text) -> str:
        match one:
            case Line():
                return voice.line(one)
            case Measure():
                return measure(one, book.member)
            case Pours():
                return said(one, book.member, voice.name).strip()
            case str():
                return voice.name(one)

    return Sheet(
        title=voice.line(page.title),
        intro=voice.lines(page.intro),
        bottles=tuple((voice.name(name), text(amount)) for name, amount in page.bottles),
        steps=tuple(voice.line(one) for one in page.steps),
        days=tuple((weekday(day), voice.lines(done)) for day, done in page.days[:_MOST_DAYS]),
        head=tuple(text(one) for one in page.head),
        rows=tuple(tuple(text(one) for one in row) for row in page.rows),
        foot=tuple(voice.line(one) for one in page.foot),
        alt=_alt(page, voice),
    )
