"""One tank in front of one person, and what every top-up says of it."""

from __future__ import annotations

from dataclasses import dataclass

from bot.records.answer import (
    Amount,
    Fact,
    Line,
    Measure,
    Value,
    line,
)
from bot.records.book import Book
from bot.records.facts import Feed, Tower
from bot.records.questions import TopUp
from bot.services.facts import (
    assumed,
    computed,
)
from bot.services.levels import Told

_A_DROP_L = 0.05  # less than this to the line is a full tank


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """One tank in front of one person: everything the arithmetic needs."""

    question: TopUp
    book: Book
    tower: Tower | None
    feed: Feed
    tank: Fact
    told: Told
    tap: Fact
    target: Fact

    @property
    def now_l(self) -> float:
        return self.told.litres.value

    @property
    def added_l(self) -> float:
        return max(0.0, self.tank.value - self.now_l)

    @property
    def full(self) -> bool:
        return self.added_l < _A_DROP_L

    def say(self, word: str, **values: Value) -> Line:
        """A line with the tower's name, or its form without one."""
        if self.tower is None:
            return line(f"{word}_unnamed", **values)
        return line(word, tower=self.tower.name, **values)

    def water(self) -> Amount:
        """Water to the line, as sure as the level is."""
        return Amount(
            name="water",
            value=0.0 if self.full else self.added_l,
            unit="L",
            origin=computed(self.tank, self.told.litres),
            tolerance=self.told.tolerance_l or None,
        )

    def left(self) -> Amount:
        """What is in the tank now."""
        return Amount(
            name="left",
            value=self.now_l,
            unit="L",
            origin=self.told.litres.origin,
            tolerance=self.told.tolerance_l or None,
        )


def no_parts(case: Tank) -> tuple[Amount, ...]:
    """Each part as an explicit 0: plain water is an answer, not a gap."""
    origin = computed(case.tank, case.told.litres, case.target)
    return tuple(
        Amount(name=p.name, value=0.0, unit="g" if p.dry else "mL", origin=origin)
        for p in case.feed.parts
    )


def assumptions(case: Tank) -> tuple[Line, ...]:
    """Target and tap EC, where either is a guess or the coach's."""
    tap, target = assumed(case.tap), assumed(case.target)
    if tap and target and tap[0].word.rsplit("_", 1)[1] == target[0].word.rsplit("_", 1)[1]:
        who = tap[0].word.rsplit("_", 1)[1]
        both = line(
            f"check.both_{who}",
            tap=Measure(case.tap.value, "ec"),
            target=Measure(case.target.value, "ec"),
        )
        return (both,)
    return (*tap, *target)


def parts_caution(case: Tank) -> tuple[Line, ...]:
    """Undiluted parts never meet."""
    return (line("caution.parts"),) if len(case.feed.parts) > 1 else ()


def intent_of(case: Tank, otherwise: str) -> str:
    """The kind of top-up, by how its level was told."""
    if case.told.level.unit == "finger":
        return "topup_fingers"
    return "topup_depth" if case.told.level.of == "depth" else otherwise
