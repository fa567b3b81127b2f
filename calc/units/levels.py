"""How full a tank is, in any of the trade's words.

"At a third" is a third left; "down a third" is a third missing; a depth counts from the full line
when the words say so and from the bottom when they say that; a depth that says neither has two
readings. Fingers are laid down from the full line unless a mark is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from calc.errors import Ambiguous, Unreadable, within
from calc.units.factors import FINGER_CM
from calc.units.reading import FILLER, Measures, depth_cm, only, volume
from calc.units.scanning import Item, Quantity, Word, scan

_SKIP = FILLER | {"by", "tank", "tank's", "level", "water", "full-line", "mark", "still", "way"}
_MISSING = frozenset(
    "down missing gone empty low short lost dropped fell used drained drank".split()
)
_LEFT = frozenset("left full remaining deep up high".split())
_BELOW = frozenset("below under beneath down short shy off from".split())
_ABOVE = frozenset("above over past".split())
_LINE = frozenset("full line top brim rim mark".split())
_OTHER_LINES = frozenset(("pump", "refill", "pump's", "of"))
_LINKS = frozenset(("and", "plus", "+", "minus", "less"))
_SIDES = frozenset(("more", "less", "above", "over", "under", "below"))
_BOTTOM = frozenset({"bottom", "floor"})
_NEUTRAL = frozenset(
    "to i have we there there's my our in the is at of full left gal gallon".split()
)
_NOT_A_LEVEL = frozenset("strength label rate dose feed feeding ratio power".split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A level as told. of: "fraction" of the tank, "volume" [L] or "depth" [cm].

    missing: counted down from the full line instead of up from the bottom.
    offset_cm: that far above (+) or below (-) the level named.
    guessed: by eye or by hand (fractions, fingers); a ruler or a jug is a measurement.
    unit: the unit typed, for the echo.
    """

    of: str
    value: float
    missing: bool = False
    offset_cm: float = 0.0
    guessed: bool = False
    unit: str = ""
    start: int = 0
    end: int = 0


def read_level(text: str, *, measures: Measures) -> Level:
    """The level that one option's text names.

    Raises
    ------
    Unreadable, OutOfRange
    Ambiguous
        A depth without "below full" or "deep"; a gallon or jug nobody gave the size of.
    """
    found = find_level(text, measures=measures, alone=True)
    if found is not None:
        return found
    single = only(text, "level")  # raises for anything that is not one quantity
    if single.kind == "number" and 0 < single.number < 1:
        return Level(of="fraction", value=single.number, guessed=True, unit="fraction")
    raise Unreadable(text=text[:60], wanted="level")


def find_level(
    text: str, *, measures: Measures, alone: bool = False, items: Sequence[Item] | None = None
) -> Level | None:
    """The first level in a sentence, or None.

    alone: the whole text is the level, so "4 gal" and "full" need no further words.
    items: what `scan(text)` gave, where that is known already.
    """
    items = scan(text) if items is None else items
    kept = [
        item
        for at, item in enumerate(items)
        if not (isinstance(item, Word) and item.text in _SKIP) or _holds_a_volume(items, at)
    ]
    for at in range(len(kept)):
        found = _at(kept, at, measures, alone, text)
        if found is not None:
            level, last = found
            first = at - (level.missing and _word(kept, at - 1) in _MISSING)
            if alone and not _nothing_else(kept[:first] + kept[last + 1 :]):
                raise Unreadable(text=text[:60], wanted="level")
            return replace(level, start=kept[first].start, end=kept[last].end)
    return None


def _holds_a_volume(items: Sequence[Item], at: int) -> bool:
    """ "it's at 6 gal", "at about 6 gal": there the "at" makes a level of the volume."""
    here = items[at]
    if not isinstance(here, Word) or here.text != "at":
        return False
    behind = next((i for i in items[at + 1 :] if not _is_filler(i)), None)
    return isinstance(behind, Quantity) and behind.kind == "volume"


def _is_filler(item: Item) -> bool:
    return isinstance(item, Word) and item.text in FILLER


def _nothing_else(rest: list[Item]) -> bool:
    """Only words that leave a level as it is may stand around it: "almost full" is not full."""
    return all(isinstance(i, Word) and i.text in _NEUTRAL for i in rest)


def _word(kept: list[Item], at: int) -> str:
    item = kept[at] if 0 <= at < len(kept) else None
    return item.text if isinstance(item, Word) else ""


def _at(
    kept: list[Item], at: int, measures: Measures, alone: bool, text: str
) -> tuple[Level, int] | None:
    here = kept[at]
    if isinstance(here, Word):
        return _named(kept, at, alone)
    if here.kind == "fraction" or (here.kind == "number" and here.unit == "percent"):
        return _fraction(kept, at)
    if here.kind == "length":
        return _depth(kept, at, measures, alone, text)
    if here.kind == "volume" or (here.kind == "mass" and here.unit == "g"):
        return _volume(kept, at, measures, alone)
    return None


def _named(kept: list[Item], at: int, alone: bool) -> tuple[Level, int] | None:
    word = _word(kept, at)
    if word == "line" and _word(kept, at - 1) in _OTHER_LINES:
        return None
    if word in ("full", "brimming", "brim", "line") and _word(kept, at + 1) not in _NOT_A_LEVEL:
        if _word(kept, at - 1) in _BELOW | _ABOVE | {"to", "until", "when"} and not alone:
            return None
        if alone and len(kept) > 1 and any(isinstance(i, Quantity) for i in kept):
            return None
        return Level(of="fraction", value=1.0, unit="full"), at
    if word in ("empty", "dry") and (alone or _word(kept, at - 1) not in _MISSING):
        if len(kept) > 1 and alone:
            return None
        return (Level(of="fraction", value=0.0, unit="empty"), at) if alone else None
    return None


def _fraction(kept: list[Item], at: int) -> tuple[Level, int] | None:
    here = kept[at]
    assert isinstance(here, Quantity)
    if _word(kept, at + 1) in _NOT_A_LEVEL or here.number > 1.5:
        return None
    before, behind = _word(kept, at - 1), _word(kept, at + 1)
    told_before = before in _MISSING - {"low", "short"}
    missing = behind in _MISSING or (told_before and behind not in _LEFT)
    share = within(name="level", value=here.number, low=0, high=1, unit="of the tank")
    last = at + 1 if behind in _MISSING | _LEFT else at
    level = Level(of="fraction", value=share, missing=missing, guessed=True, unit="fraction")
    more = _and_more(kept, last + 1)
    if more is None or missing:
        return level, last
    offset, last = more
    return replace(level, offset_cm=offset, unit="finger"), last


def _and_more(kept: list[Item], at: int) -> tuple[float, int] | None:
    """ "half and a finger more", "a quarter plus 2 fingers": [cm], and where it ends."""
    link = _word(kept, at)
    item = kept[at + 1] if at + 1 < len(kept) else None
    if link not in _LINKS or not isinstance(item, Quantity) or item.unit != "finger":
        return None
    behind = _word(kept, at + 2)
    down = link in ("minus", "less") or behind in ("less", "under", "below")
    size = item.number * FINGER_CM
    return (-size if down else size), at + 1 + (behind in _SIDES)


def _depth(
    kept: list[Item], at: int, measures: Measures, alone: bool, text: str
) -> tuple[Level, int] | None:
    here = kept[at]
    assert isinstance(here, Quantity)
    size = within(
        name="depth", value=depth_cm(here, measures=measures), low=0, high=1000, unit="cm"
    )
    fingers = here.unit == "finger"
    side, mark = _side_and_mark(kept, at + 1)
    if mark is not None and side:
        base = kept[mark]
        if isinstance(base, Quantity):
            level = Level(
                of="fraction",
                value=base.number,
                offset_cm=side * size,
                guessed=True,
                unit=here.unit,
            )
            return level, mark
        if side < 0:
            return _missing_depth(size, fingers, here.unit), mark
        if _word(kept, mark) in _BOTTOM:
            return Level(of="depth", value=size, guessed=fingers, unit=here.unit), mark
        raise Unreadable(text=text[:60], wanted="level")
    if side < 0 and not alone:  # "six inches below the fill line": below what else than full
        return _missing_depth(size, fingers, here.unit), at + 1
    behind = _word(kept, at + 1)
    if behind in _MISSING or _word(kept, at - 1) in _MISSING:
        return _missing_depth(size, fingers, here.unit), at + (behind in _MISSING)
    if behind in _LEFT or behind in _BOTTOM or _word(kept, at + 2) in _BOTTOM:
        return Level(of="depth", value=size, guessed=fingers, unit=here.unit), at + 1
    if fingers:
        return _missing_depth(size, fingers, here.unit), at
    if alone:
        raise Ambiguous(text=text[:60].strip(), about="depth", choices=("deep", "below full"))
    return None


def _missing_depth(size: float, fingers: bool, unit: str) -> Level:
    return Level(of="depth", value=size, missing=True, guessed=fingers, unit=unit)


def _side_and_mark(kept: list[Item], at: int) -> tuple[int, int | None]:
    """-1 or +1 and the place of the mark, from "below half", "down from full line", "off top"."""
    side = 0
    while _word(kept, at) in _BELOW | _ABOVE:
        if side == 0 and _word(kept, at) in _ABOVE:
            side = 1
        elif side == 0:
            side = -1
        at += 1
    if side == 0:
        return 0, None
    if _word(kept, at) in _BOTTOM:
        return 1, at
    if _word(kept, at) in _LINE:
        while _word(kept, at + 1) in _LINE:
            at += 1
        return side, at
    item = kept[at] if at < len(kept) else None
    if isinstance(item, Quantity) and item.kind == "fraction":
        return side, at
    return side, None


def _volume(kept: list[Item], at: int, measures: Measures, alone: bool) -> tuple[Level, int] | None:
    here = kept[at]
    assert isinstance(here, Quantity)
    before, behind = _word(kept, at - 1), _word(kept, at + 1)
    missing = behind in _MISSING or before in _MISSING or behind == "below"
    if before == "to" and _word(kept, at - 2) in _MISSING:  # "down to 4 gal" is what is left
        missing, before = False, "at"
    left = not missing and (behind in ("left", "remaining", "in", "inside") or before == "at")
    if not (missing or left or alone):
        return None
    if here.number == 0:
        return Level(of="volume", value=0.0, unit=here.unit), at
    told = volume(here, measures=measures)
    rough = here.unit == "jug"
    level = Level(of="volume", value=told.litres, missing=missing, guessed=rough, unit=told.unit)
    return level, at + (behind in _MISSING | {"below", "left", "remaining", "in", "inside"})
