"""A tank's log as pictures: its level with what is expected, EC and pH, use a day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from bot.records.answer import Answer, Line, Measure, Offer, Weekday, line
from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.records.pictures import Across, Aim, Course, Expected, Plot, Spell
from bot.records.questions import Log, Picture
from bot.services.asking import Ask, clarify
from bot.services.facts import towers_target
from bot.services.log.entries import of_this_tank
from bot.services.log.learning import by_eye
from bot.services.log.use import Use, between, pump_line_l, reaches, refill_mark_l, use_of

_DAY: Final = timedelta(days=1)
_LEVEL_DAYS, _READING_DAYS, _USE_DAYS = 14, 30, 42
_AHEAD: Final = timedelta(days=10)
_STEP: Final = timedelta(hours=12)
_SHORTEST: Final = timedelta(hours=10)  # a night alone says nothing of a day
_WEEK: Final = timedelta(days=7)
_RISES: Final = 0.15  # from one week to the next: more than a hot day or a slip


def level_plot(tower: Tower, book: Book) -> Answer:
    """Two weeks of levels up to the last one, and what is expected until the pump line.

    Raises
    ------
    Ask
        No level was read in this tank.
    """
    every = [e for e in of_this_tank(book.entries(tower.name)) if e.level_l is not None]
    if not every:
        raise Ask(_nothing(tower))
    since = every[-1].at - _LEVEL_DAYS * _DAY
    lines = [e for e in every if e.at >= since]
    use = use_of(tower, book)
    expected = tuple(_expected(use, tower, book)) if use else ()
    dots, guessed = _dots(lines, tower)
    marks = (
        Across(at=tower.tank_l, label=line("plot.full", at=Measure(tower.tank_l, "bare_water"))),
        Across(at=refill_mark_l(tower, book),
               label=line("plot.refill", at=Measure(refill_mark_l(tower, book), "bare_water"))),
        Across(at=pump_line_l(tower, book), alarm=True,
               label=line("plot.pump", at=Measure(pump_line_l(tower, book), "bare_water"))),
    )  # fmt: skip
    said = _level_said(use, tower, book)
    key = [("dot", line("plot.read"))] if dots else []
    key += [("guessed", line("plot.by_eye"))] if guessed else []
    key += [("likely", line("plot.likely")), ("between", line("plot.between"))] if expected else []
    plot = Plot(
        name="level",
        title=line("plot.level", tower=tower.name),
        courses=(
            Course(of="water", path=tuple(_path(lines)), dots=dots, guessed=guessed,
                   expected=expected, across=marks),
        ),
        begins=book.local(lines[0].at),
        ends=book.local(expected[-1].at if expected else book.now),
        now=book.now,
        key=tuple(key),  # type: ignore[arg-type]  # the names of marks
        foot=said,
        alt=(*_last(lines), *said),
    )  # fmt: skip
    return Answer(outcome="answer", intent="picture", do=said, pictures=(plot,))


def _last(lines: list[Entry]) -> tuple[Line, ...]:
    last = lines[-1].level_l or 0.0
    return (line("plot.last_level", level=Measure(last, "water"), count=len(lines)),)


def _level_said(use: Use | None, tower: Tower, book: Book) -> tuple[Line, ...]:
    """The picture in words."""
    if use is None:
        return (line("plot.blind", tower=tower.name),)
    likely, early, late = (max(at, book.now) for at in reaches(use, refill_mark_l(tower, book)))
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    if likely <= book.now:
        return (line("plot.below", tower=tower.name, dry=Weekday(book.local(max(dry, book.now)))),)
    return (
        line(
            "plot.ahead",
            tower=tower.name,
            day=Weekday(book.local(likely)),
            early=Weekday(book.local(early)),
            late=Weekday(book.local(late)),
            dry=Weekday(book.local(dry)),
        ),
    )


def _path(lines: list[Entry]) -> Iterator[tuple[datetime, float]]:
    """A fill is a step upwards."""
    for entry in lines:
        level = entry.level_l or 0.0
        if entry.water_added_l:
            yield entry.at, max(0.0, level - entry.water_added_l)
        yield entry.at, level


def _dots(
    lines: list[Entry], tower: Tower
) -> tuple[tuple[tuple[datetime, float], ...], tuple[tuple[datetime, float], ...]]:
    """Measured, and by eye; a fill to the line was no reading."""
    read = [(e.at, e.level_l or 0.0) for e in lines if not e.water_added_l]
    return (
        tuple(one for one in read if not by_eye(one[1], tower.tank_l)),
        tuple(one for one in read if by_eye(one[1], tower.tank_l)),
    )


def _expected(use: Use, tower: Tower, book: Book) -> Iterator[Expected]:
    """Every half day from the last reading until a day after the pump line."""
    dry, _, _ = reaches(use, pump_line_l(tower, book))
    ends = min(max(dry, book.now) + _DAY, book.now + _AHEAD)
    at = max(use.at, book.now - _AHEAD)
    while at <= ends:
        yield _at(use, at, tower.tank_l)
        at += _STEP


def _at(use: Use, at: datetime, tank_l: float) -> Expected:
    low, likely, high = (min(one, tank_l) for one in between(use, at))
    return Expected(at=at, low=low, likely=likely, high=high)


def readings_plot(tower: Tower, book: Book) -> Answer:
    """A month of EC and pH against where they should lie.

    Raises
    ------
    Ask
        Neither was read in that time.
    """
    since = book.now - _READING_DAYS * _DAY
    lines = [e for e in book.entries(tower.name) if e.at >= since]
    ec = tuple((e.at, e.ec) for e in lines if e.ec is not None)
    ph = tuple((e.at, e.ph) for e in lines if e.ph is not None)
    if not ec and not ph:
        raise Ask(_nothing(tower))
    target = towers_target(tower, book).value
    low, high = (book.number(key) * target for key in ("ec_ok_low", "ec_ok_high"))
    courses = []
    if ec:
        aim = Aim(low=low, high=high, label=line("plot.aim", aim=Measure(target, "ec")))
        courses.append(Course(of="ec", path=ec, dots=ec, aim=aim))
    if ph:
        band = (book.number("ph_low"), book.number("ph_high"))
        label = line("plot.band", low=Measure(band[0], "ph"), high=Measure(band[1], "ph"))
        courses.append(Course(of="ph", path=ph, dots=ph,
                              aim=Aim(low=band[0], high=band[1], label=label)))  # fmt: skip
    said = _readings_said(ec, ph, (low, high), book)
    plot = Plot(
        name="readings",
        title=line("plot.readings", tower=tower.name),
        courses=tuple(courses),
        begins=book.local(min(at for at, _ in (*ec, *ph))),
        ends=book.local(book.now),
        foot=said,
        alt=said,
    )
    return Answer(outcome="answer", intent="picture", do=said, pictures=(plot,))


def _readings_said(
    ec: tuple[tuple[datetime, float], ...],
    ph: tuple[tuple[datetime, float], ...],
    band: tuple[float, float],
    book: Book,
) -> tuple[Line, ...]:
    """How many lay where they should."""
    found = []
    if ec:
        good = sum(band[0] <= value <= band[1] for _, value in ec)
        found.append(line("plot.ec_said", good=good, count=len(ec), last=Measure(ec[-1][1], "ec")))
    if ph:
        low, high = book.number("ph_low"), book.number("ph_high")
        good = sum(low <= value <= high for _, value in ph)
        found.append(line("plot.ph_said", good=good, count=len(ph), last=Measure(ph[-1][1], "ph")))
    return tuple(found)


def use_plot(tower: Tower, book: Book) -> Answer:
    """Six weeks of use a day between readings, and how it goes from week to week.

    Raises
    ------
    Ask
        Nothing to tell a day's use by.
    """
    spells = spells_of(tower, book)
    if not spells:
        raise Ask(_nothing(tower))
    said = _trend(spells, tower, book)
    hot = any(one.hot for one in spells)
    key = [("bar", line("plot.use_bar")), *([("hot", line("plot.hot_bar"))] if hot else [])]
    plot = Plot(
        name="use",
        title=line("plot.use", tower=tower.name),
        courses=(Course(of="water", a_day=True, spells=spells),),
        begins=book.local(spells[0].begins),
        ends=book.local(spells[-1].ends),
        key=tuple(key),  # type: ignore[arg-type]  # the names of marks
        foot=said,
        alt=said,
    )
    return Answer(outcome="answer", intent="picture", do=said, pictures=(plot,))


def spells_of(tower: Tower, book: Book) -> tuple[Spell, ...]:
    """Use a day [L] between each two levels, fills added back; a rise nobody logged is none."""
    since = book.now - _USE_DAYS * _DAY
    lines = [e for e in of_this_tank(book.entries(tower.name)) if e.at >= since]
    levels = [n for n, e in enumerate(lines) if e.level_l is not None]
    warm = book.number("water_warm_c")
    found: list[Spell] = []
    begin: int | None = None
    for one, other in pairwise(levels):
        begin = one if begin is None else begin
        between = lines[begin + 1 : other + 1]
        first, last = lines[begin], lines[other]
        if any(e.kind == "change" for e in between):
            begin = None
            continue
        if last.at - first.at < _SHORTEST:
            continue
        added = sum(e.water_added_l or 0.0 for e in between)
        used = (first.level_l or 0.0) + added - (last.level_l or 0.0)
        begin = None
        if used >= 0:
            hot = any(e.water_c is not None and e.water_c > warm for e in (first, *between))
            found.append(Spell(begins=first.at, ends=last.at, hot=hot,
                               value=used / ((last.at - first.at) / _DAY)))  # fmt: skip
    return tuple(found)


def _trend(spells: tuple[Spell, ...], tower: Tower, book: Book) -> tuple[Line, ...]:
    """The last weeks' means, oldest first, and what a rise may mean."""
    ends = spells[-1].ends
    weeks: list[float] = []
    for back in (0, 1, 2):  # a week with nothing read ends it: only neighbours are compared
        some = [s for s in spells if back * _WEEK <= ends - s.ends < (back + 1) * _WEEK]
        days = sum(((s.ends - s.begins) / _DAY for s in some), 0.0)
        if not days:
            break
        weeks.insert(0, sum(s.value * ((s.ends - s.begins) / _DAY) for s in some) / days)
    shown = tuple(line("plot.a_week", use=Measure(one, "water_plain")) for one in weeks)
    change = weeks[-1] / weeks[-2] - 1 if len(weeks) > 1 and weeks[-2] > 0 else 0.0
    word = "plot.steady" if abs(change) <= _RISES else "plot.rising" if change > 0 else "plot.falls"
    told = line("plot.weeks", tower=tower.name, weeks=shown)
    if len(weeks) < 2:
        return (told,)
    return (told, line(word, change=Measure(abs(change), "percent_whole")))


def _nothing(tower: Tower) -> Answer:
    offer = Offer(label=line("button.write_down"), question=Log(tower=tower.name), form="log")
    return clarify("picture", line("plot.nothing", tower=tower.name), offers=[offer])


def picture_offer(tower: Tower, what: str) -> Offer:
    """The same as a picture."""
    return Offer(
        label=line(f"button.picture_{what}"), question=Picture(tower=tower.name, what=what)
    )
