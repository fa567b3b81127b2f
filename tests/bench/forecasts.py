"""Forecasts beside a plain Kalman loop: a fleet with a year of logs; one more reading; pictures."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from bot.pictures import draw
from bot.records.book import Book
from bot.records.facts import Entry, Planting
from bot.records.questions import Picture
from bot.render import card
from bot.services import answer
from bot.services.log.forecast import outlook
from calc.refill.watching import Look, looked
from tests.bench.rows import Row, row
from tests.bot.books import KITCHEN, book

_MOST_MS = 5.0
_READING_MS = 1.0
_PICTURE_MS = 300.0
_READINGS = 500
NOW = datetime(2026, 5, 11, 18, 0, tzinfo=UTC)


def fleet(count: int) -> list[Book]:
    """Towers with 30 grown plants, read three times a week for a year, filled when at half."""
    found = []
    for number in range(count):
        chance = random.Random(number)
        use, level = chance.uniform(2.0, 6.0), 60.0
        lines: list[Entry] = []
        for n in range(156):
            at = NOW - timedelta(days=365 - 7 * n / 3)
            level -= use * 7 / 3 * chance.uniform(0.7, 1.3)
            added = 60.0 - level if level < 30 else None
            level = 60.0 if added else level
            kind = "topup" if added else "level"
            lines.append(Entry(tower="kitchen", id=n + 1, at=at, kind=kind, level_l=level,
                               water_added_l=added))  # fmt: skip
        bed = tuple(
            Planting(tower="kitchen", level=n // 6 + 1, port=n % 6 + 1, crop="lettuce",
                     planted=date(2026, 3, 20))
            for n in range(30)
        )  # fmt: skip
        facts = book(KITCHEN)
        found.append(Book(now=NOW, member=facts.member, feeds=facts.feeds, towers=facts.towers,
                          log=tuple(lines), plantings=bed))  # fmt: skip
    return found


@dataclass(slots=True)
class Kalman:
    """Level and use a day, the plainest way: two states, in Python alone."""

    level: float = 45.0
    use: float = 3.0
    p_ll: float = 400.0
    p_lu: float = 0.0
    p_uu: float = 4.0

    def step(self, days: float, added: float, read: float | None) -> None:
        self.level += added - self.use * days
        self.p_ll += days * (days * self.p_uu - 2 * self.p_lu) + 1.0 * days
        self.p_lu -= days * self.p_uu
        self.p_uu += 0.02 * days
        if read is None:
            return
        total = self.p_ll + 2.0
        gain_l, gain_u = self.p_ll / total, self.p_lu / total
        off = read - self.level
        self.level += gain_l * off
        self.use = max(0.05, self.use + gain_u * off)
        self.p_uu -= gain_u * self.p_lu
        self.p_lu -= gain_l * self.p_lu
        self.p_ll -= gain_l * self.p_ll


def kalman_days(lines: Sequence[Entry], mark_l: float) -> float:
    filter_, before = Kalman(), lines[0].at
    for entry in lines:
        filter_.step((entry.at - before) / timedelta(days=1), entry.water_added_l or 0.0,
                     entry.level_l)  # fmt: skip
        before = entry.at
    return max(0.0, (filter_.level - mark_l) / filter_.use)


def forecasts(quick: bool) -> Iterator[Row]:
    """Goals are absolute: 5 ms a tower, 1 ms for a reading more; a picture 300 ms."""
    count = 50 if quick else 1000
    towers = fleet(count)
    mark_l = 30.0
    first = outlook(towers[0].towers[0], towers[0])
    assert first is not None
    first.reaches(mark_l)
    started = time.perf_counter()
    for facts in towers[1:]:
        seen = outlook(facts.towers[0], facts)
        assert seen is not None
        seen.reaches(mark_l)
    took = 1000 * (time.perf_counter() - started) / (count - 1)
    started = time.perf_counter()
    for facts in towers[1:]:
        kalman_days(facts.log, mark_l)
    plain = 1000 * (time.perf_counter() - started) / (count - 1)
    name = f"forecast of a tower with a year of logs, {count} of them"
    yield row(name, took, _MOST_MS, 1.0, "ms", less=True)
    yield row(f"{name}, beside a plain Kalman loop", took, plain, 0.0, "ms", less=True)
    belief, last = first.belief, first.belief.at_d or 0.0
    started = time.perf_counter()
    for number in range(_READINGS):
        look = Look(at_d=last + number, level_l=0.7 * KITCHEN.tank_l, off_l=1.0)
        belief = looked(belief_any=belief, look_any=look, bed_any=first.bed, tank_l=KITCHEN.tank_l)
    took = 1000 * (time.perf_counter() - started) / _READINGS
    yield row("a reading more", took, _READING_MS, 1.0, "ms", less=True)
    for what in ("level", "use", "lid"):
        ((_, drawing),) = card(answer(Picture(what=what), towers[0]), towers[0]).drawings
        draw(drawing)
        started = time.perf_counter()
        draw(drawing)
        yield row(f"picture: {what}", 1000 * (time.perf_counter() - started), _PICTURE_MS, 1.0,
                  "ms", less=True)  # fmt: skip
