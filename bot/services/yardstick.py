"""Several amounts of one sentence on one measure: litres, or centimetres where all are depths.

With straight sides a depth goes with the water, so a time or a ratio is the same in either.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bot.records.book import Book
from bot.records.facts import Tower
from bot.services.facts import measures
from bot.services.shape import full_depth_of, litres_at
from calc.errors import CalcError
from calc.units import Level, read_depth_cm, read_level, read_volume


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """values: by name; unit: "L", or "cm" of depth."""

    values: Mapping[str, float]
    unit: str = "L"

    @property
    def kind(self) -> str:
        """How such an amount is shown."""
        return "water" if self.unit == "L" else "depth_cm"


def measured(
    told: Mapping[str, str | None],
    tank_l: float | None,
    depth_cm: float | None,
    book: Book,
    tower: Tower | None = None,
) -> Measured:
    """Each text that is given: a volume, or a level or depth of a tank of that size and depth (and
    of the shape of `tower`).

    Raises
    ------
    CalcError
        One of them cannot be read, or is of another measure than the rest.
    """
    given = {name: text for name, text in told.items() if text}
    try:
        return Measured(
            values={n: _litres(t, tank_l, depth_cm, tower, book) for n, t in given.items()}
        )
    except CalcError:
        mine = measures(book)
        depths = {}
        for name, text in given.items():
            try:
                depths[name] = read_depth_cm(_bare(text), measures=mine)
            except CalcError:
                break
        if len(depths) < len(given):
            raise
        return Measured(values=depths, unit="cm")


def _litres(
    text: str, tank_l: float | None, depth_cm: float | None, tower: Tower | None, book: Book
) -> float:
    mine = measures(book)
    try:
        return read_volume(text, measures=mine).litres
    except CalcError:
        if tank_l is None:
            raise
        level = _level(text, book)
        if level.of == "volume":
            return tank_l - level.value if level.missing else level.value
        if level.of == "fraction" and not level.offset_cm:
            return tank_l * (1 - level.value if level.missing else level.value)
        if depth_cm is None:
            raise
        deep = depth_cm - level.value if level.missing else level.value
        return litres_at(deep, full_cm=depth_cm, tank_l=tank_l, tower=tower)


def _level(text: str, book: Book) -> Level:
    """A bare length counts from the bottom here: so much is drunk, so much has to stay."""
    mine = measures(book)
    try:
        return read_level(text, measures=mine)
    except CalcError:
        return Level(of="depth", value=read_depth_cm(text, measures=mine))


def _bare(text: str) -> str:
    return text.casefold().removesuffix("deep").strip()


def depth_of(tower: Tower | None, told: str | None, book: Book) -> float | None:
    """The depth at the full line [cm]: as told, else the tower's own."""
    if told:
        return read_depth_cm(told, measures=measures(book))
    return full_depth_of(tower)
