"""Random towers on the demo's plants and weather: what was logged, and what really came.

The tank is stepped six hours at a time. A tenth of the fills are never logged, levels are read by
eye or by marks, some tanks are not as big as they are said to be, some leak.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bot.demo.crops import CROPS, stage
from bot.demo.weather import CLIMATES, weather

Floats = NDArray[np.float64]
STEP_H = 6
A_DAY = 24 // STEP_H
DAYS, AHEAD = 120, 30
LONGEST_D = float(AHEAD)
_OPEN_LOSS_L, _CATCH_L_PER_MM = 0.33, 0.02
_UNLOGGED = 0.1
_EYES = {"marks": (0.012, 0.025), "eighths": (0.03, 1 / 8), "quarters": (0.04, 1 / 4),
         "guess": (0.05, 0.05)}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A moment at which somebody asks. lines: of the log by then; truth_d: until the mark, 30 at
    most; lost_fraction: of the tank, since the reading before; read: the last line is a reading."""

    lines: int
    now: datetime
    mark_l: float
    truth_d: float
    lost_fraction: float
    read: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A tower, its log, and the moments at which somebody asks."""

    tank_l: float
    outdoor: bool
    every_d: float
    planted: bool
    batches: list[tuple[str, int, int]]
    start: date
    records: dict[str, Any]
    log: list[dict[str, Any]]
    asked: list[Asked]


def stands(count: int, first: int = 0) -> Iterator[Stand]:
    """So many towers; the same ones for the same numbers."""
    for number in range(first, first + count):
        yield _stand(Random(f"tower {number}"), number)


def _stand(rng: Random, number: int) -> Stand:
    outdoor = rng.random() < 0.6
    tank_l = float(rng.choice((20, 30, 40, 50, 60, 76, 90)))
    start = date(2026, rng.randint(1, 12), rng.randint(1, 28))
    batches = _batches(rng)
    net, leak = _net(rng, number, batches, start, outdoor=outdoor, tank_l=tank_l)
    said_l = round(tank_l * (rng.uniform(0.87, 1.13) if rng.random() < 0.3 else 1.0), 1)
    every = rng.uniform(1.2, 6.0)
    log, asked = _lived(rng, net, leak, tank_l=tank_l, said_l=said_l, every=every, start=start)
    planted = rng.random() < 0.7
    tower = {"name": "t", "tank_l": said_l, "place": "outdoor" if outdoor else "indoor"}
    if Random(f"ports {number}").random() < 0.5:  # half have told how many ports there are
        ports = sum(plants * CROPS[name].ports for name, plants, _ in batches)
        tower |= {"levels": -(-ports // 5), "ports_per_level": 5}
    return Stand(
        tank_l=tank_l,
        outdoor=outdoor,
        every_d=every,
        planted=planted,
        batches=batches if planted else [],
        start=start,
        records={
            "towers": [tower],
        },
        log=log,
        asked=asked,
    )


def _batches(rng: Random) -> list[tuple[str, int, int]]:
    """Crop, plants, and their age on the first day; some move in later."""
    names = ["lettuce", "basil", "strawberry"]
    names += ["pepper", "tomato", "cucumber"] if rng.random() < 0.4 else []
    left = rng.randint(12, 36)
    made = []
    while left > 0:
        name = rng.choice(names)
        ports = CROPS[name].ports
        plants = min(left // ports, rng.randint(3, 8) if ports == 1 else rng.randint(1, 2))
        if plants == 0:
            name, ports, plants = "lettuce", 1, left
        age = rng.randint(0, 60) if rng.random() < 0.7 else -rng.randint(0, 20)
        made.append((name, plants, age))
        left -= plants * ports
    return made


def _net(
    rng: Random, number: int, batches: list[tuple[str, int, int]], start: date, *,
    outdoor: bool, tank_l: float,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Litres gone in each step, and of these what leaked."""
    climate = CLIMATES[rng.choice(sorted(CLIMATES))]
    last = start + timedelta(days=DAYS + AHEAD + 12)
    hot = start + timedelta(days=rng.randint(10, 110))
    days = weather(climate, Random(f"sky {number}"), start - timedelta(days=1), last, hot)
    thirst = rng.lognormvariate(0, 0.3)
    steps = (DAYS + AHEAD + 10) * A_DAY
    net, mood = np.zeros(steps), 0.0
    for at in range(steps):
        day = days[start + timedelta(days=at // A_DAY)]
        hours = range(at * STEP_H % 24, at * STEP_H % 24 + STEP_H)
        base = thirst * sum(
            plants * _norm(name, outdoor=outdoor) * stage(CROPS[name], age + at // A_DAY)
            for name, plants, age in batches
            if age + at // A_DAY >= 0
        )
        mood = 0.8 * mood + rng.gauss(0, 0.07)
        if outdoor:
            share = sum(day.hours[hour] for hour in hours) * day.thirst
            net[at] = (base + _OPEN_LOSS_L) * share * np.exp(mood)
            net[at] -= day.rain_mm * _CATCH_L_PER_MM / A_DAY
        else:
            lit = sum(1 / 144 + (5 / 96 if 6 <= hour < 22 else 0) for hour in hours)
            warm = 1 + 0.01 * max(-8.0, min(12.0, day.mean_c - 15))
            net[at] = base * lit * warm * np.exp(mood)
    leak = _leak(rng, steps, tank_l)
    return net + leak, leak


def _norm(name: str, *, outdoor: bool) -> float:
    return CROPS[name].outdoor_l if outdoor else CROPS[name].indoor_l


def _leak(rng: Random, steps: int, tank_l: float) -> Floats:
    """In a tenth of the towers, over hours or over days."""
    leak = np.zeros(steps)
    if rng.random() < 0.1:
        at = rng.randint(20 * A_DAY, 115 * A_DAY)
        long = 2 if rng.random() < 0.6 else 12 * A_DAY
        leak[at : at + long] = rng.uniform(0.25, 0.7) * tank_l / long
    return leak


def plantings(stand: Stand, on: date) -> list[dict[str, Any]]:
    """Port by port, as a member's records say on a day: what grows, and what was taken before."""
    found, port = [], 0
    day = (on - stand.start).days
    for name, plants, age in stand.batches:
        for planted, over in _plugs(name, age, day):
            for number in range(plants):
                found.append(
                    {"tower": "t", "level": 1, "port": port + number + 1, "crop": name,
                     "planted": (stand.start + timedelta(days=planted)).isoformat(),
                     "status": "harvested" if over else "growing"}
                )  # fmt: skip
        port += plants
    return found


def _plugs(name: str, age: int, day: int) -> Iterator[tuple[int, bool]]:
    """The day each plug of a port moved in, and whether it was taken since."""
    taken = CROPS[name].taken_after_days
    planted = -age if taken is None or age < 0 else -(age % taken)
    while planted <= day:
        over = taken is not None and planted + taken <= day
        yield planted, over
        if not over or taken is None:
            return
        planted += taken


def _lived(
    rng: Random, net: Floats, leak: Floats, *, tank_l: float, said_l: float, every: float,
    start: date,
) -> tuple[list[dict[str, Any]], list[Asked]]:  # fmt: skip
    """Visits, what they logged, and the truth after each."""
    begins = datetime(start.year, start.month, start.day, tzinfo=UTC)
    eye = rng.choice(sorted(_EYES))
    off, step = _EYES[eye]
    bias = rng.gauss(0, 0.04) if eye == "guess" else 0.0
    fill_below = rng.uniform(0.35, 0.65)
    level = tank_l * rng.uniform(0.6, 0.98)
    log: list[dict[str, Any]] = []
    found: list[tuple[int, int, float, float, bool]] = []
    last, at = 0, rng.randint(2, 12)
    while at < DAYS * A_DAY:
        whole = _later(level, (net - leak)[last:at], tank_l)
        level = _later(level, net[last:at], tank_l)
        share = level / tank_l
        seen = min(1.0, max(step / 2, round((share + bias + rng.gauss(0, off)) / step) * step))
        now = begins + timedelta(hours=at * STEP_H)
        log.append({"tower": "t", "at": now.isoformat(), "kind": "level",
                    "level_l": round(seen * said_l, 2), "by": "a"})  # fmt: skip
        found.append((len(log), at, level, (whole - level) / tank_l, True))
        if share < fill_below or rng.random() < 0.1:
            added = max(0.0, 0.985 * tank_l - level)
            level += added
            if rng.random() > _UNLOGGED:
                log.append(_top_up(rng, now, added, said_l))
            found.append((len(log), at, level, 0.0, False))
        last = at
        long_away = rng.random() < 0.05
        gap = rng.randint(28, 80) if long_away else max(2, int(rng.expovariate(1 / (every * 4))))
        at += min(gap, 84)
    return log, _asked(rng, found, net, said_l, begins)


def _later(level: float, net: Floats, tank_l: float) -> float:
    for gone in net:
        level = min(tank_l, max(0.04 * tank_l, level - float(gone)))
    return level


def _top_up(rng: Random, now: datetime, added: float, said_l: float) -> dict[str, Any]:
    full = round(said_l, 2) if rng.random() < 0.6 else None
    said = max(0.5, float(round(added * rng.gauss(1, 0.04))))
    return {
        "tower": "t",
        "at": now.isoformat(),
        "kind": "topup",
        "level_l": full,
        "water_added_l": said,
        "by": "a",
    }


def _asked(
    rng: Random, found: list[tuple[int, int, float, float, bool]], net: Floats, said_l: float,
    begins: datetime,
) -> list[Asked]:  # fmt: skip
    """At each visit, or up to two days after it, before the next."""
    made = []
    for number, (lines, at, level, lost, read) in enumerate(found):
        following = found[number + 1][1] if number + 1 < len(found) else DAYS * A_DAY
        when = min(at + rng.choice((0, 0, 1, 2, 4, 8)), max(at, following - 1))
        mark = 0.5 * said_l * rng.choice((1.0, 1.0, 0.5))
        left = level - np.cumsum(net[at:])
        hit = int(np.argmax(left <= mark)) if (left <= mark).any() else left.size
        truth = min(LONGEST_D, max(0.0, (at + hit + 1 - when) / A_DAY))
        if level > mark:
            made.append(
                Asked(lines=lines, now=begins + timedelta(hours=when * STEP_H), mark_l=mark,
                      truth_d=truth, lost_fraction=lost, read=read)
            )  # fmt: skip
        elif read:
            made.append(
                Asked(lines=lines, now=begins + timedelta(hours=at * STEP_H), mark_l=mark,
                      truth_d=0.0, lost_fraction=lost, read=read)
            )  # fmt: skip
    return made
