"""Times as people say them -> aware UTC, in the person's own zone."""

from __future__ import annotations

import re
import warnings
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

from dateutil.parser import ParserError, UnknownTimezoneWarning, parse

from bot.clock import zone_of
from bot.records.answer import Measure
from calc.errors import OutOfRange, Unreadable

_DAYS: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_AGO: Final = re.compile(
    r"(?P<n>\d{1,4}|an?|one|two|three|half an?)\s*"
    r"(?P<unit>h|hr|hrs|hours?|min|mins|minutes?|d|days?|weeks?)\s*(ago|back)?"
)
_AHEAD: Final = re.compile(
    r"(?:in (?P<n>\d{1,3}|an?|one|two|three)|(?P<next>next)) (?P<unit>days?|weeks?)"
)
_CLOCK: Final = re.compile(r"(?P<h>\d{1,2})(?:[:.h](?P<m>\d{2}))?\s*(?P<half>am|pm|a|p)?")
_WORDS: Final = {"a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "half a": 0.5,
                 "half an": 0.5}  # fmt: skip
_DATE: Final = re.compile(
    r"\d[/.-]\d|\d.*(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)|"
    r"(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec).*\d"
)
_NAMED: Final = {"morning": time(8), "noon": time(12), "lunchtime": time(12), "evening": time(19),
                 "night": time(21), "tonight": time(21)}  # fmt: skip
_TO_COME: Final = re.compile(r"\b(?:next|tomorrow|in \d)")
_OLDEST_D = 400
_HALF_YEAR_D = 183
_FARTHEST_D = 370
_SLACK = timedelta(minutes=10)  # clocks differ; "now" is not in the future


def read_past(text: str, *, now: datetime, zone: str, month_first: bool = True) -> datetime:
    """ "7:30", "yesterday 7 pm", "2 h ago", "sat", "3 May 18:00": a moment that is over.

    Raises
    ------
    Unreadable
    OutOfRange
        In the future, or more than 400 days back.
    """
    if _TO_COME.search(text.casefold()):
        raise OutOfRange(name="moment", value=1, low=-_OLDEST_D, high=0, unit="d")
    at = _ago(text, now) or _said(text, now, zone, past=True, month_first=month_first)
    days = (now - at) / timedelta(days=1)
    if at > now + _SLACK or days > _OLDEST_D:
        raise OutOfRange(name="moment", value=-days, low=-_OLDEST_D, high=0, unit="d")
    return min(at, now)


def read_day(text: str, *, now: datetime, zone: str, month_first: bool = True) -> date:
    """ "friday", "tomorrow", "8 May", "in 2 weeks": a day from today on.

    Raises
    ------
    Unreadable
    OutOfRange
        Over, or more than a year ahead.
    """
    today = now.astimezone(zone_of(zone)).date()
    ahead = _AHEAD.fullmatch(_plain(text))
    if ahead:
        days = _count(ahead["n"] or "one") * (7 if ahead["unit"].startswith("w") else 1)
        found = today + timedelta(days=days)
    else:
        try:
            said = _said(text, now, zone, past=False, month_first=month_first)
        except Unreadable:
            raise Unreadable(text=text[:60], wanted="day") from None
        found = said.astimezone(zone_of(zone)).date()
    if not 0 <= (found - today).days <= _FARTHEST_D:
        raise OutOfRange(name="day", value=(found - today).days, low=0, high=_FARTHEST_D, unit="d")
    return found


def read_clock(text: str) -> str:
    """ "7:30 pm", "19:30", "8 am" -> "19:30"

    Raises
    ------
    Unreadable
    """
    words = text.casefold().strip()
    named = _NAMED.get(words)
    found = named or _clock(words)
    if found is None:
        raise Unreadable(text=text[:60], wanted="clock")
    return found.strftime("%H:%M")


def clock_minutes(text: str) -> Measure:
    """ "19:30" as a time of day to be said."""
    hour, minute = text.split(":")
    return Measure(int(hour) * 60 + int(minute), "clock")


def read_quiet(text: str) -> tuple[str, str] | None:
    """ "9 pm - 8 am", "21-8", "none" -> from and to; None for no quiet hours.

    Raises
    ------
    Unreadable
    """
    words = text.casefold().strip()
    if words in ("none", "off", "no", "never"):
        return None
    cut = re.split(r"\s*(?:-|–|—|\bto\b|\btill?\b|\buntil\b)\s*", words, maxsplit=1)
    if len(cut) != 2:
        raise Unreadable(text=text[:60], wanted="quiet hours")
    start, end = (_clock(part) for part in cut)
    if start is None or end is None or start == end:
        raise Unreadable(text=text[:60], wanted="quiet hours")
    return start.strftime("%H:%M"), end.strftime("%H:%M")


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace(",", " ").split())


def _count(word: str) -> float:
    return _WORDS[word] if word in _WORDS else float(word)


def _ago(text: str, now: datetime) -> datetime | None:
    words = _plain(text)
    if words in ("now", "just now", "today"):
        return now
    found = _AGO.fullmatch(words)
    if found is None:
        return None
    unit = {"h": "hours", "m": "minutes", "d": "days", "w": "weeks"}[found["unit"][0]]
    return now - timedelta(**{unit: _count(found["n"])})


def _said(text: str, now: datetime, zone: str, *, past: bool, month_first: bool) -> datetime:
    """A day, a clock time, or both, the nearest that fits."""
    here = now.astimezone(zone_of(zone))
    words = _plain(text).removeprefix("on ").removeprefix("at ")
    rest, day = _day(words, here.date(), past=past)
    rest = rest.removeprefix("at ").removeprefix("in the ").strip()
    if day is not None or not rest:
        at = _time_of(rest) if rest else time(12)
    else:
        day, at = here.date(), _clock(rest) or _NAMED.get(rest)
        if (
            at is not None
            and past
            and datetime.combine(day, at) > here.replace(tzinfo=None) + timedelta(minutes=10)
        ):
            day -= timedelta(days=1)  # "7 pm" said in the morning was yesterday's
    if at is None or day is None:
        return _dated(text, here, past=past, month_first=month_first)
    named_day = any(len(w) >= 3 and n.startswith(w) for w in words.split() for n in _DAYS)
    moment = datetime.combine(day, at, zone_of(zone))
    if past and rest == "" and day == here.date() and moment > here:
        moment = here  # "today", before noon
    if past and moment > here and named_day and (moment - here) < timedelta(days=1):
        moment -= timedelta(days=7)  # "sat 7pm", said on Saturday morning
    return moment.astimezone(UTC)


def _time_of(words: str) -> time | None:
    return _NAMED.get(words) or _clock(words)


def _clock(words: str) -> time | None:
    found = _CLOCK.fullmatch(words.replace(" ", "") if words else "")
    if found is None:
        return None
    hour, minute, half = int(found["h"]), int(found["m"] or 0), found["half"]
    if half is not None and not 1 <= hour <= 12:
        return None
    if half is not None:
        hour = hour % 12 + (12 if half.startswith("p") else 0)
    return time(hour, minute) if hour < 24 and minute < 60 else None


def _day(words: str, today: date, *, past: bool) -> tuple[str, date | None]:
    """A day named at the beginning or the end, and what is left of the words."""
    near = {"today": 0, "yesterday": -1, "tomorrow": 1, "last night": -1, "this morning": 0}
    for name, step in near.items():
        if words.startswith(name) or words.endswith(name):
            rest = words.replace(name, "", 1).strip()
            clock = {"last night": "21:00", "this morning": "8:00"}.get(name, "")
            return rest or clock, today + timedelta(days=step)
    for word in words.split():
        for index, name in enumerate(_DAYS):
            if len(word) >= 3 and name.startswith(word.rstrip(".")):
                back = (today.weekday() - index) % 7
                step = -back if past else (7 - back) % 7
                rest = words.replace(word, "", 1).replace("last", "").replace("next", "").strip()
                return rest, today + timedelta(days=step)
    return words, None


def _dated(text: str, here: datetime, *, past: bool, month_first: bool) -> datetime:
    """A date in figures or with its month's name; a year left out is the nearest that fits."""
    if not _DATE.search(text.casefold()) or len(text) > 40:
        raise Unreadable(text=text[:60], wanted="moment")
    noon = here.replace(hour=12, minute=0, second=0, microsecond=0, tzinfo=None)
    try:
        if re.match(r"\d{4}-\d{2}-\d{2}", text.strip()):  # dateutil would read day before month
            found = datetime.fromisoformat(text.strip())
            found = found if len(text.strip()) > 10 else found.replace(hour=12)
        else:
            with warnings.catch_warnings():
                warnings.simplefilter("error")  # a zone's letters that it does not know
                found = parse(text, default=noon, dayfirst=not month_first)
    except (ParserError, OverflowError, ValueError, UnknownTimezoneWarning):
        raise Unreadable(text=text[:60], wanted="moment") from None
    try:
        aware = found if found.tzinfo else found.replace(tzinfo=here.tzinfo)
        return _near_year(aware, text, here, past=past).astimezone(UTC)
    except (ValueError, OverflowError):  # an offset or a year that no clock has
        raise Unreadable(text=text[:60], wanted="moment") from None


def _near_year(found: datetime, text: str, here: datetime, *, past: bool) -> datetime:
    """ "28 dec" said on 3 January was last year's; "2 jan" said in December is next year's."""
    if re.search(r"\d{4}|[/.-]\d{1,2}[/.-]\d", text):
        return found
    step = (
        -1
        if past and found > here + _SLACK
        else 1
        if not past and found.date() < here.date()
        else 0
    )
    far = abs((found - here) / timedelta(days=1)) > _HALF_YEAR_D
    try:
        return found.replace(year=found.year + step) if step and far else found
    except ValueError:
        raise Unreadable(text=text[:60], wanted="moment") from None
