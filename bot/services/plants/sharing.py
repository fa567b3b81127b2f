"""Who can live in one tank: working ranges of pH and EC, and which crop gives way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from bot.records.answer import Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Planting, Tower
from bot.services.plants.crops import known_crop
from calc.growing import Shared, shared_range
from calc.tables import Crop

_GAP: Final = 0.5  # in pH and in EC: common practice, no source


def verdict(one: Crop, other: Crop) -> tuple[Shared, Shared]:
    """How two crops share a tank, by pH and by EC."""
    ph, ec = (
        shared_range(
            first_low_any=a[0],
            first_high_any=a[1],
            second_low_any=b[0],
            second_high_any=b[1],
            gap_allowed_any=_GAP,
        )
        for a, b in ((one.ph, other.ph), (one.ec, other.ec))
    )
    return ph, ec


def share_line(one: Crop, other: Crop) -> Line | None:
    """What is to be said of two crops in one tank; None where they simply share it."""
    ph, ec = verdict(one, other)
    if "separate" in (ph.verdict, ec.verdict):
        return line("share.separate", one=one.called, other=other.called)
    if ec.verdict == "compromise":
        # The one that wants more gets less than it wants: too strong harms sooner than too weak.
        gives = one if one.ec[0] > other.ec[0] else other
        stays = other if gives is one else one
        middle = Measure((ec.low + ec.high) / 2, "ec_about")
        return line("share.ec", one=stays.called, other=gives.called, ec=middle)
    if ph.verdict == "compromise":
        return line("share.ph", one=one.called, other=other.called)
    return None


def neighbours(
    row: Crop | None, leaving: Sequence[Planting], tower: Tower, book: Book
) -> tuple[Line, ...]:
    """What a crop has to settle with those that grow in the tower: the worst of each kind."""
    if row is None:
        return ()
    gone = {p.id for p in leaving}
    names = dict.fromkeys(p.crop for p in book.growing(tower.name) if p.id not in gone)
    rows = [other for name in names if (other := known_crop(name)) and other.id != row.id]
    said = [told for other in rows if (told := share_line(row, other)) is not None]
    worst = sorted(said, key=lambda one: one.word != "share.separate")
    return tuple(worst[:1])
