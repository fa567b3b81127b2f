"""What a tank's own fills tell: how much its feed adds here, against the label."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from bot.records.answer import Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import EditTower
from bot.records.facts import Entry, Feed, Tower
from bot.records.questions import TowerEdit
from bot.services.facts import feed_for, towers_tap
from bot.services.log.entries import fed
from calc.errors import CalcError
from calc.learning import gain_after_fills
from calc.topup import filled_ec

LABEL: Final = "label"  # said instead of a gain: what the label says
_LOOK_BACK: Final = timedelta(days=90)
_BESIDE: Final = timedelta(hours=2)  # a level read before a fill belongs to it
_MIXED: Final = timedelta(minutes=15)
_READ_WITHIN: Final = timedelta(hours=24)  # later, plants have drunk of it
_PEN_GOOD: Final = timedelta(days=30)
_BY_EYE: Final = 0.004  # of the tank: a level so near a quarter is a glance, not a measure
_QUARTERS: Final = 4
_AT_LINE: Final = 0.97
_LEAST_MOVE: Final = 0.01  # less is no news
_LEAST_FEED: Final = 0.1  # of the label's amount for a tank: less tells nothing over a pen's step


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What label strength adds here [mS/cm], by so many fills; before: what was reckoned with."""

    gain: float
    fills: int
    before: float


def lesson(tower: Tower, newest: Entry, book: Book) -> Lesson | None:
    """What a reading just taken teaches, with the fills before it; None: nothing new."""
    feed = feed_for(tower, None, book) if tower.feed else None
    pen = book.member.calibrated_on
    if feed is None or not feed.ec_gain_ms_per_cm or newest.ec is None or pen is None:
        return None
    if book.local(newest.at) - pen > _PEN_GOOD:
        return None
    lines = sorted((*book.entries(tower.name), newest), key=lambda one: one.at)
    fresh = [e for e in lines if book.now - e.at <= _LOOK_BACK]
    # One a day: three readings of one afternoon are one.
    seen = list({book.local(e.at): (e, gain) for e, gain in
                 _seen(fresh, tower, feed, pen, book)}.values())  # fmt: skip
    if not seen or seen[-1][0] is not newest:
        return None  # it is not the reading after a fill
    before = feed.ec_gain_ms_per_cm
    try:
        gain, fills = gain_after_fills(
            gain_ms_per_cm=before,
            label_ms_per_cm=before / (tower.gain_factor or 1.0),
            seen_ms_per_cm=[gain for _, gain in seen],
        )
    except CalcError:
        return None
    if not fills or abs(gain / before - 1) < _LEAST_MOVE:
        return None
    return Lesson(gain=gain, fills=fills, before=before)


def _seen(
    lines: Sequence[Entry], tower: Tower, feed: Feed, pen: date, book: Book
) -> Iterator[tuple[Entry, float]]:
    """Each reading after a fill, and what label strength would have added by it [mS/cm]."""
    for number, fill in enumerate(lines):
        if not fed(fill) or not feed.parts:
            continue
        if tower.learned_on is not None and book.local(fill.at) <= tower.learned_on:
            continue  # it has taught what it can
        after = _after(lines[number:], fill)
        gain = None if after is None else _gain(lines[:number], fill, after, tower, feed, book)
        # Somebody else's pen, and what was read before it was calibrated, teach nothing.
        sure = after is not None and after.mine and book.local(after.at) >= pen
        if after is not None and gain is not None and sure:
            yield after, gain


def _after(lines: Sequence[Entry], fill: Entry) -> Entry | None:
    """The first reading of the mixed tank, before anything else went in."""
    for entry in lines:
        if entry is not fill and (fed(entry) or entry.water_added_l or entry.kind == "change"):
            return None
        if entry.at - fill.at > _READ_WITHIN:
            return None
        if entry.ec is not None and (entry is fill or entry.at - fill.at >= _MIXED):
            return entry
    return None


def _gain(
    before: Sequence[Entry], fill: Entry, after: Entry, tower: Tower, feed: Feed, book: Book
) -> float | None:
    """By the mass balance; None where the level was not measured, or a part left out."""
    tap = towers_tap(tower, book).value
    added = fill.water_added_l or 0.0
    if fill.kind == "change":
        volume, base = fill.level_l or tower.tank_l, tap
    else:
        last = next((e for e in reversed(before) if e.level_l is not None), None)
        if last is None or last.level_l is None or last.ec is None:
            return None
        if fill.at - last.at > _BESIDE or by_eye(last.level_l, tower.tank_l):
            return None
        volume = last.level_l + added
        base = filled_ec(
            level_l=last.level_l, ec_ms_per_cm=last.ec, added_l=added, added_ec_ms_per_cm=tap
        )
    told = dict(fill.amounts)
    shares = [told.get(p.name, 0.0) / (p.rate_per_l * volume) for p in feed.parts]
    if min(shares) <= 0 or max(shares) > 1.2 * min(shares) or sum(shares) < _LEAST_FEED:
        return None
    return ((after.ec or 0.0) - base) / (sum(shares) / len(shares))


def by_eye(level_l: float, tank_l: float) -> bool:
    """A glance says quarters; to the line is to the line."""
    if level_l >= _AT_LINE * tank_l:
        return False
    quarters = level_l / tank_l * _QUARTERS
    return abs(quarters - round(quarters)) < _BY_EYE * _QUARTERS


def taught(tower: Tower, found: Lesson, book: Book) -> EditTower:
    """The tower with what was learned; its fills count anew from tomorrow."""
    factor = (tower.gain_factor or 1.0) * found.gain / found.before
    facts = (
        ("gain_factor", factor),
        ("learned_fills", found.fills),
        ("learned_on", book.local(book.now)),
    )
    return EditTower(tower_id=tower.id, name=tower.name, facts=facts)


def untaught(tower: Tower, entry: Entry, book: Book) -> tuple[EditTower, ...]:
    """The reading that taught is taken back: the label's gain, until its fills tell once more."""
    if tower.gain_factor is None or entry.ec is None or tower.learned_on != book.local(entry.at):
        return ()
    facts = (("gain_factor", None), ("learned_fills", None), ("learned_on", None))
    return (EditTower(tower_id=tower.id, name=tower.name, facts=facts),)


def forgotten(tower: Tower, book: Book) -> Tower:
    """The label's gain again; what its fills have told so far is not told once more."""
    return replace(tower, gain_factor=None, learned_fills=None, learned_on=book.local(book.now))


def wants_pen(tower: Tower, newest: Entry, book: Book) -> tuple[Line, ...]:
    """A reading after a fill would teach, if it were known that the pen is right."""
    if newest.ec is None or book.member.calibrated_on is not None or not tower.feed:
        return ()
    lines = [*book.entries(tower.name), newest]
    fills = [n for n, one in enumerate(lines) if fed(one)]
    if not fills or _after(lines[fills[-1] :], lines[fills[-1]]) is not newest:
        return ()
    return (line("learned.no_pen"),)


def learned_said(tower: Tower, found: Lesson) -> Line:
    return line(
        "learned.gain",
        tower=tower.name,
        count=found.fills,
        gain=Measure(found.gain, "ec_fine"),
        before=Measure(found.before, "ec_fine"),
    )


def labels_offer(tower: Tower) -> Offer:
    """Back to the label's."""
    ask = TowerEdit(tower=tower.name, gain=LABEL)
    return Offer(label=line("button.use_label"), question=ask)


def gain_known(tower: Tower | None, book: Book) -> tuple[Line, ...]:
    """Said wherever a learned gain was reckoned with."""
    if tower is None or tower.gain_factor is None:
        return ()
    label = next((f.ec_gain_ms_per_cm for f in book.feeds if f.name == tower.feed), None)
    if label is None:
        return ()
    return (
        line(
            "check.gain_learned",
            gain=Measure(label * tower.gain_factor, "ec_fine"),
            count=tower.learned_fills or 0,
            label=Measure(label, "ec_fine"),
        ),
    )
