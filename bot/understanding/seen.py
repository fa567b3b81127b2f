"""Sentences about a tower's record: pictures of it, its shape, weather that comes, what if."""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.questions import (
    Away,
    Heat,
    Log,
    Notice,
    Picture,
    Question,
    SettingsEdit,
    TopUp,
    TowerEdit,
)
from bot.understanding.naming import only_tower

_LID: Final = re.compile(r"\b(lid table|table for (the|my) lid|table (to|i can) tape)\b")
_DRAWN: Final = re.compile(r"\b(pictures?|charts?|graphs?|diagram|draw (me|my|the))\b")
_SHOW: Final = re.compile(r"\bshow me (my |the )?(water )?(levels?|readings|use|thirst)\b")
_ABOUT: Final = re.compile(
    r"\b(levels?|water|tank|use|usage|thirst\w*|drink\w*|ec|ph|readings?|tower|refill\w*)\b"
)
_NOT_DRAWN: Final = re.compile(r"\b(port|plant|leaf|leaves|photo|of the tower)\b")
_USE: Final = re.compile(r"\b(use|usage|thirst\w*|drinks?|drinking|consumption)\b")
_READINGS: Final = re.compile(r"\b(ec|ph|readings)\b")
_CHANGED: Final = re.compile(
    r"\bhow (has|have|did) (my |the )?(water )?(use|usage|thirst) (changed|gone|grown)\b|"
    r"\bhow thirsty (has|have|was|were)\b"
)
_DEGREES: Final = r"(-?\d{1,3}(?:\.\d)?)\s*(?:°|deg(?:rees?)?)?\s*([fc])?\b"
_WEATHER: Final = re.compile(
    r"\b(heat ?wave|hot spell|hot week(end)?|heat|outside|outdoors|forecast (says|is)|scorcher|"
    r"(going to|will|gonna) (be|hit|reach))\b"
)
_WARM: Final = re.compile(r"\b(heat\w*|hot|scorcher|degrees?|deg)\b|°")
_WATER: Final = re.compile(r"\b(water|tank|solution|roots?|level|full|ec|ph)\b")
_NOTICE: Final = re.compile(r"\b(heat|frost|wind)\s*(?:wave\s*)?(?:notice|warning|alert)\b")
_UNTIL: Final = re.compile(r"\b(?:until|till|til|through|thru)\s+([\w ]{2,20})$")
_PEN: Final = re.compile(
    r"(?:done,? )?(?:i(?:'ve)? )?(?:have )?(?:just )?(?:re)?calibrated (?:my|the|both) "
    r"(?:ec |ph )?(?:pens?|meters?|probes?)(?: (?:today|just now|now))?|"
    r"(?:done,? )?(?:the |my )?(?:pen|meter) (?:is |was )?(?:just )?(?:re)?calibrated(?: today)?"
)
_FINGER: Final = re.compile(r"\bmy (?:index )?finger (?:is|=|measures) ([\d.]+ ?(?:mm|cm|in\w*))\b")
_MUG: Final = re.compile(
    r"\bmy (?:mug|cup|jug|can|pitcher|bucket) (?:is|holds|takes|=) ([\d.]+ ?(?:ml|l|lit\w+|oz|cups?))\b"
)
_MARK: Final = re.compile(
    r"(\d[\d.]*\s*(?:gal\w*|l|lit\w+)?)\s*(?:is|at|=|@)\s*(\d[\d.]*\s*(?:in(?:ch(?:es)?)?|cm|mm)?)(?=\W|$)"
)
_LEAST_MARKS: Final = 2
_VOLUME: Final = r"\d[\d.,]*\s?(?:us |uk )?(?:gal\w*|l|lit\w+|quarts?|qt)\b"
_ONLY: Final = re.compile(  # nothing was poured yet
    r"\b(?:what(?: happens)? if|if) i (?:only |just )?(?:add|put in|pour(?: in)?) (?:only |just )?"
    rf"({_VOLUME})|\b(?:what(?: happens)? if )?only ({_VOLUME}) (?:goes|go|went|will go) in\b"
)
_LEVEL: Final = re.compile(
    rf"{_VOLUME}|\b(?:half|a quarter|three quarters|[13]/4|a third|two thirds)\b|"
    r"\b[\d.]+ ?(?:in(?:ches)?|cm) (?:deep|down|below full)"
)
_EC: Final = re.compile(r"\b(?:at|ec|reads?|reading|says|is)\s+(\d(?:\.\d+)?)\b(?! ?[/a-z])")
_MISSED: Final = re.compile(
    r"(?:(?:it|ec|the (?:ec|reading|pen|tank)) )?(?:came|comes|ended|landed) (?:out |up )?"
    r"(?:to|at|as) (?:ec )?(\d\.\d+)"
    r"(?:,? (?:and )?(?:not|instead of) (?:ec |the )?(\d\.\d+)(?: (?:as )?you (?:said|told me))?)?"
)
_SHEET: Final = re.compile(r"\b(helper'?s? (sheet|page|list)|sheet for (my|the|a) \w+)\b")
_DAYS: Final = re.compile(r"\b(\d{1,3} ?(?:days?|weeks?|wks?))\b")


def heard_seen(text: str, book: Book) -> Question | None:
    """A question about the record itself; None where it is none of these."""
    low = " ".join(text.casefold().strip(" .!?").split())
    tower = only_tower(text, book)
    return (
        _picture(low, tower)
        or _notice(low, book)
        or _heat(low)
        or _habits(low)
        or _calibrated(low)
        or _marks(low, tower)
        or _sheet(low, tower)
        or _what_if(low, tower)
        or _missed(low, tower)
    )


def _picture(low: str, tower: str | None) -> Picture | None:
    if _LID.search(low):
        return Picture(tower=tower, what="lid")
    if _CHANGED.search(low):
        return Picture(tower=tower, what="use")
    drawn = _SHOW.search(low) or (_DRAWN.search(low) and _ABOUT.search(low))
    if not drawn or _NOT_DRAWN.search(low):
        return None
    what = "use" if _USE.search(low) else "readings" if _READINGS.search(low) else "level"
    return Picture(tower=tower, what=what)


def _notice(low: str, book: Book) -> Notice | None:
    found = _NOTICE.search(low)
    if found is None or not book.member.coach:
        return None
    rest = low.replace(found[0], " ")
    until, degrees = _UNTIL.search(rest), re.search(_DEGREES, rest)
    return Notice(
        about=found[1],
        temp=_said(degrees) if degrees else None,
        until=until[1].strip() if until else None,
    )


def _heat(low: str) -> Heat | None:
    """The air's heat, where it is plainly not the water's."""
    degrees = re.search(_DEGREES, low)
    if degrees is None or not _WEATHER.search(low) or _WATER.search(low):
        return None
    if degrees[2] is None and not _WARM.search(low):
        return None  # a number of something else
    hot = float(degrees[1]) >= (_HOT_F if degrees[2] == "f" else _HOT_C)
    return Heat(air=_said(degrees)) if hot else None


_HOT_C, _HOT_F = 27.0, 80.0


def _said(degrees: re.Match[str]) -> str:
    return f"{degrees[1]} {degrees[2].upper()}" if degrees[2] else degrees[1]


def _calibrated(low: str) -> SettingsEdit | None:
    return SettingsEdit(calibrated="today") if _PEN.fullmatch(low) else None


def _habits(low: str) -> SettingsEdit | None:
    """A measure of one's own, and nothing else."""
    if finger := _FINGER.fullmatch(low):
        return SettingsEdit(finger=finger[1])
    if mug := _MUG.fullmatch(low):
        return SettingsEdit(jug=mug[1])
    return None


def _marks(low: str, tower: str | None) -> TowerEdit | None:
    """ "2.5 gal at 3.3 in, 5 at 6.2": what a jug has told, twice at least."""
    pairs = [(volume.strip(), depth.strip()) for volume, depth in _MARK.findall(low)]
    told = pairs and pairs[0][0][-1].isalpha() and pairs[0][1][-1].isalpha()
    if len(pairs) < _LEAST_MARKS or not told:
        return None
    return TowerEdit(tower=tower, marks="; ".join(f"{v} at {d}" for v, d in pairs))


def _sheet(low: str, tower: str | None) -> Away | None:
    if not _SHEET.search(low):
        return None
    days = _DAYS.search(low)
    return Away(tower=tower, days=days[1] if days else None, sheet="yes")


def _what_if(low: str, tower: str | None) -> TopUp | None:
    """Only so much goes in; what stands there now, and what the pen says, beside it."""
    only = _ONLY.search(low)
    if only is None:
        return None
    rest = low[: only.start()] + " " + low[only.end() :]
    level, ec = _LEVEL.search(rest), _EC.search(rest)
    return TopUp(tower=tower, level=level[0] if level else None, ec=ec[1] if ec else None,
                 only=only[1] or only[2])  # fmt: skip


def _missed(low: str, tower: str | None) -> Log | None:
    """ "it came to 1.85 not 1.7": what the pen says after an answer of ours."""
    found = _MISSED.fullmatch(low)
    return Log(tower=tower, ec=found[1], expected=found[2]) if found else None
