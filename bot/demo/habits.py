"""How people read a tank, what they pour, and what of it reaches the log.

Readings are of the true tank but coarse, biased and rounded; pours follow the label or the pen;
logging is late, partial or forgotten, each as the person is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from random import Random
from typing import Final

from bot.demo.feeds import feeds, salts_of
from bot.demo.physics import FRESH_PH, TAP_C, Water, corrected, poured
from bot.demo.plans import FILLED, Visit, is_awake
from bot.demo.plots import Pen, Plot
from bot.records.facts import Entry

_STEPS: Final = {"eighths": 1 / 8, "quarters": 1 / 4}
_WEAK: Final = 0.95  # of the target: those with a pen then feed between fills
_HIGH_PH: Final = 6.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One visit to one tank. `day` counts from the season's start; `harvest`: something is ripe."""

    plot: Plot
    visit: Visit
    rng: Random
    day: int
    late: timedelta
    harvest: bool

    def entry(self, minute: int, kind: str) -> Entry:
        return Entry(
            tower=self.plot.tower.name,
            at=self.visit.at + self.late + timedelta(minutes=minute),
            kind=kind,
            by=self.visit.by,
        )

    def slips(self, share: float) -> bool:
        """Whether sloppiness strikes; what the town's story rests on is always logged."""
        struck = self.rng.random() < share * self.plot.habit.sloppy
        return struck and not self.visit.arranged


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What they believe of the tank: L, mS/cm or None, C or None."""

    level_l: float
    ec: float | None
    water_c: float | None


def attend(scene: Scene, water: Water) -> tuple[Water, tuple[Entry, ...]]:
    """The tank after the visit, and what was logged of it."""
    seen = _look(scene, water)
    made: list[Entry] = []
    if not scene.slips(0.8) or not _wants_water(scene, seen):
        kind = "level" if seen.ec is None else "ec"
        made.append(
            replace(scene.entry(0, kind), level_l=seen.level_l, ec=seen.ec, water_c=seen.water_c)
        )
    if scene.visit.change:
        water, new = _change(scene)
    elif _wants_water(scene, seen):
        water, new = _top_up(scene, water, seen)
    else:
        water, new = _strengthen(scene, water, seen)
    made += new
    if scene.plot.habit.ph and scene.rng.random() < 0.4:
        water, new = _mind_ph(scene, water)
        made += new
    if scene.harvest and not scene.slips(1.0) and scene.rng.random() < 0.7:
        made.append(scene.entry(38, "harvest"))
    return water, tuple(made)


def lateness(plot: Plot, visit: Visit, rng: Random, until: datetime) -> timedelta:
    """How long after the visit it is logged: mostly at once, the sloppy sometimes that evening."""
    late = timedelta(minutes=rng.randrange(60, 420))
    if visit.arranged or rng.random() >= 0.6 * plot.habit.sloppy:
        return timedelta()
    last = visit.at + late + timedelta(minutes=45)
    same_day = is_awake(last, plot.zone) and last < until
    return late if same_day else timedelta()


def _look(scene: Scene, water: Water) -> Seen:
    pen, rng = scene.plot.habit.pen, scene.rng
    ec = None
    if pen is not None and not scene.slips(1.0):
        ec = _shown(pen, water.ec, scene.day, rng)
    with_heat = ec is not None and rng.random() < 0.35
    return Seen(
        level_l=_level_l(scene, water),
        ec=ec,
        water_c=round(water.water_c * 2) / 2 if with_heat else None,
    )


def _level_l(scene: Scene, water: Water) -> float:
    """By eye to a quarter or an eighth, or to the nearest mark."""
    plot, rng = scene.plot, scene.rng
    tower = plot.tower
    share = water.level_l / tower.tank_l
    step = _STEPS.get(plot.habit.reads)
    if step is None:
        if tower.full_depth_cm is None:
            raise ValueError("marks need a depth")
        step = plot.habit.mark_cm / tower.full_depth_cm
        share += rng.gauss(0, 0.3) / tower.full_depth_cm
    else:
        share += rng.gauss(0, 0.03)
    return min(tower.tank_l, round(tower.tank_l * max(step, step * round(share / step)), 3))


def _shown(pen: Pen, ec: float, day: int, rng: Random) -> float:
    """What the pen's display means in mS/cm; calibrated monthly, it drifts between."""
    reads = ec * (1 + pen.bias + pen.drift_per_day * (day % 30)) + rng.gauss(0, 0.01)
    if pen.scale is not None:
        return round(round(reads * pen.scale, -1) / pen.scale, 3)
    return round(pen.step * round(reads / pen.step), 3)


def _wants_water(scene: Scene, seen: Seen) -> bool:
    if scene.visit.change or scene.visit.fill is not None:
        return scene.visit.fill is True
    return seen.level_l < scene.plot.habit.fill_below * scene.plot.tower.tank_l


def _top_up(scene: Scene, water: Water, seen: Seen) -> tuple[Water, list[Entry]]:
    tower, jug_l = scene.plot.tower, scene.plot.habit.jug_l
    added_l = max(0.0, (FILLED + scene.rng.uniform(-0.01, 0.01)) * tower.tank_l - water.level_l)
    said_l = min(tower.tank_l, round(jug_l * max(1, round(added_l / jug_l)), 3))
    by_meter = scene.plot.habit.by_meter and seen.ec is not None
    share = _by_pen(scene, seen, said_l) if by_meter else said_l * (tower.strength or 1.0)
    amounts = _amounts(scene, share)
    water = _poured(scene, water, added_l, amounts)
    if scene.slips(0.4):
        return water, []
    made = [
        replace(
            scene.entry(12, "topup"),
            level_l=None if scene.slips(0.6) else tower.tank_l,
            water_added_l=said_l,
            amounts=amounts,
        )
    ]
    pen = scene.plot.habit.pen
    if by_meter and pen is not None and scene.rng.random() < 0.4:
        ec = _shown(pen, water.ec, scene.day, scene.rng)
        made.append(replace(scene.entry(32, "ec"), level_l=tower.tank_l, ec=ec))
    return water, made


def _by_pen(scene: Scene, seen: Seen, added_l: float) -> float:
    """Litres' worth of label feed that bring the full tank to the target, by what they saw."""
    tower = scene.plot.tower
    feed = feeds()[tower.feed or ""]
    salts = seen.level_l * (seen.ec or 0.0) + added_l * (tower.water_ec or 0.0)
    short = (tower.target_ec or 0.0) * (seen.level_l + added_l) - salts
    return max(0.0, short / (feed.ec_gain_ms_per_cm or 1.0))


def _strengthen(scene: Scene, water: Water, seen: Seen) -> tuple[Water, list[Entry]]:
    """A dose between fills, by those with a pen, when it reads weak."""
    target = scene.plot.tower.target_ec or 0.0
    if scene.visit.fill is False or seen.ec is None or seen.ec >= _WEAK * target:
        return water, []
    amounts = _amounts(scene, _by_pen(scene, seen, 0.0))
    if not amounts:
        return water, []
    water = _poured(scene, water, 0.0, amounts)
    return water, [replace(scene.entry(12, "dose"), level_l=seen.level_l, amounts=amounts)]


def _change(scene: Scene) -> tuple[Water, list[Entry]]:
    """Emptied, sometimes scrubbed, filled anew at the label's rate or to the target."""
    tower, pen = scene.plot.tower, scene.plot.habit.pen
    feed = feeds()[tower.feed or ""]
    share = (tower.strength or 1.0) * tower.tank_l
    if scene.plot.habit.by_meter:
        wanted = (tower.target_ec or 0.0) - (tower.water_ec or 0.0)
        share = wanted / (feed.ec_gain_ms_per_cm or 1.0) * tower.tank_l
    amounts = _amounts(scene, share)
    empty = Water(level_l=0.0, salts=0.0, water_c=TAP_C)
    water = corrected(_poured(scene, empty, FILLED * tower.tank_l, amounts), FRESH_PH)
    made = [scene.entry(14, "clean")] if scene.rng.random() < 0.6 else []
    reads = None if pen is None else _shown(pen, water.ec, scene.day, scene.rng)
    made.append(replace(scene.entry(26, "change"), level_l=tower.tank_l, ec=reads, amounts=amounts))
    return water, made


def _mind_ph(scene: Scene, water: Water) -> tuple[Water, list[Entry]]:
    reads = round(water.ph + scene.rng.gauss(0, 0.05), 1)
    made = [replace(scene.entry(34, "ph"), ph=reads)]
    if reads <= _HIGH_PH or scene.visit.fill is False:
        return water, made
    return corrected(water, FRESH_PH + scene.rng.uniform(-0.1, 0.2)), made


def _amounts(scene: Scene, label_l: float) -> tuple[tuple[str, float], ...]:
    """Pours for `label_l` litres at the label's rate, as a syringe or spoon measures them."""
    feed = feeds()[scene.plot.tower.feed or ""]
    exact = [(part.name, part.rate_per_l * label_l) for part in feed.parts]
    if min(ml for _, ml in exact) < 2:
        return ()
    return tuple((name, float(round(ml) if ml < 50 else 5 * round(ml / 5))) for name, ml in exact)


def _poured(
    scene: Scene, water: Water, litres: float, amounts: tuple[tuple[str, float], ...]
) -> Water:
    """Into the tank, with a hand's error of a few per cent."""
    tower = scene.plot.tower
    salts = salts_of(feeds()[tower.feed or ""], amounts) * scene.rng.gauss(1.0, 0.02)
    return poured(water, litres=litres, water_ec=tower.water_ec or 0.0, salts=salts)
