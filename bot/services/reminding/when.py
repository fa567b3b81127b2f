"""When a reminder comes, as people say it -> a pattern of ours.

The text is taken apart from its ends: how long it goes on, the time of day; what is left must be
one of the forms below, whole. A word that finds no place is refused, never dropped.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

from bot.clock import instant, recurring, wall_key, zone_of
from bot.errors import Refusal
from bot.records.book import Book
from bot.records.reminders import LEAST_PRIVATE, LEAST_ROOM, MOST_TIMES, Pattern
from bot.services.moments import read_clock, read_day
from bot.services.reminding.dates import NO_SUCH_DAY, next_date
from calc.errors import OutOfRange, Unreadable

_DAY = r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?s?"
_AND = r"(?: (?:and|&))?"
_DAYS = rf"{_DAY}(?:{_AND} {_DAY})*"
_N = r"\d{1,4}|a|an|one|two|three|four|five|six|seven|eight|nine|ten|twelve|other|second|third|" \
     r"fourth|\d{1,2}(?:st|nd|rd|th)"  # fmt: skip
_EVERY = rf"(?:every|each)(?: (?P<n>{_N}))?"
_NTH = r"(?:the )?(?P<nth>1st|first|2nd|second|3rd|third|4th|fourth|5th|fifth|last)"
_COUNTS: Final = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "twelve": 12, "other": 2, "second": 2, "third": 3,
    "fourth": 4,
}  # fmt: skip
_NTHS: Final = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "last": -1}
_WEEK: Final = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_BEGINS: Final = {"mon": 0, "tue": 1, "wed": 2, "thu": 3, "fri": 4, "sat": 5, "sun": 6}
_CLOCK: Final = re.compile(
    r"\b(?:at )?(?P<clock>\d{1,2}(?:[:.]\d{2})? ?(?:am|pm)|\d{1,2}:\d{2}|noon|midnight)\b|"
    r"\bat (?P<hour>\d{1,2})(?! ?(?:h|hours?|min|days?|weeks?))\b|"
    r"\b(?:in the |at )?(?P<named>mornings?|evenings?|nights?|tonight|lunchtime|afternoons?)\b"
)
_NAMED: Final = {"noon": "12:00", "midnight": "00:00", "night": "21:00", "tonight": "21:00",
                 "lunchtime": "12:00", "afternoon": "15:00"}  # fmt: skip
_UNTIL: Final = re.compile(r"(?:^| )(?:until|till|ending|up to) (?:the )?(?P<day>.+)$")
_TIMES: Final = re.compile(r" (?:for )?(?:(?P<times>\d{1,10}) ?(?:times|x)|(?P<word>twice|once))$")
_FOR: Final = re.compile(r" for (?P<n>\d{1,3}) (?P<unit>days?|weeks?|months?)$")
_FROM: Final = re.compile(r" (?:from|starting(?: on)?|beginning) (?P<day>.+)$")
_AHEAD: Final = re.compile(
    rf"in (?P<n>{_N}|half an) ?(?P<unit>minutes?|mins?|hours?|hrs?|h|days?|weeks?)"
)
_FARTHEST_D = 5 * 366
_FORMS: Final = tuple(
    (name, re.compile(form))
    for name, form in (
        ("elapsed", rf"hourly|{_EVERY} ?(?P<unit>minutes?|mins?|hours?|hrs?|h)"),
        ("daily", rf"daily|nightly|{_EVERY} days?|every|each"),
        ("workdays", r"(?:on |every |each )?(?:weekdays?|work(?:ing)? ?days?)"),
        ("weekend", r"(?:on |at |every |each )?weekends?"),
        ("weekly", rf"(?:weekly|{_EVERY} weeks?)(?: (?:on )?(?P<days>{_DAYS}))?"),
        ("nth_of", rf"(?:monthly |{_EVERY} months? |(?:every|each) (?=.*month))?(?:on )?"
                   rf"{_NTH} (?P<day>{_DAY})"
                   r"(?: (?:of|in) (?:the|every|each|a) month| monthly| (?:every|each) month)?"),
        ("days", rf"(?:on )?{_EVERY} (?P<days>{_DAYS})|(?:on )?(?P<plural>{_DAY[:-2]}s"
                 rf"(?:{_AND} {_DAY})*|{_DAY}(?:{_AND} {_DAY})+)"),
        ("last_day", rf"(?:monthly |{_EVERY} months? )?(?:on )?(?:the )?last day"
                     r"(?: of (?:the|every|each|a) month)?|(?:the )?(?:month ?end|"
                     r"end of (?:the|every|each) month)"),
        ("monthly", rf"(?:monthly|{_EVERY} months?)(?: on)?(?: the)?"
                    r"(?: (?P<d>\d{1,2})(?:st|nd|rd|th)?)?"),
        ("day_of", r"(?:on )?(?:every |each )?(?:the )?(?P<d>\d{1,2})(?:st|nd|rd|th)"
                   r"(?: (?:of|in) (?:the|every|each|a) month| monthly| (?:every|each) month)"),
        ("every_nth", r"(?:every|each) (?P<d>\d{1,2})(?:st|nd|rd|th)"),
        ("yearly", rf"(?:yearly|annually|{_EVERY} years?)(?: on)?(?: the)?(?: (?P<date>.+))?|"
                   r"(?:every|each) (?P<date2>\d{1,2} [a-z]{3,9}|[a-z]{3,9} \d{1,2})"),
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """A pattern, and whether it falls on days that some months have not: then one must choose.

    second: "every 2nd sunday" was said, which others mean as the 2nd of the month.
    """

    pattern: Pattern
    short_months: bool = False
    second: bool = False


@dataclass(slots=True)
class _Said:
    """What is left of the text, and what was taken from it."""

    rest: str
    clock: str | None = None
    named: bool = False
    until: date | None = None
    times: int | None = None
    start: date | None = None


def read_when(text: str, book: Book, *, zone: str, room: bool = False) -> When:
    """ "every 2nd sunday 7:30 pm", "tomorrow evening", "last day of the month", "every 6 hours".

    Raises
    ------
    Unreadable, OutOfRange, Refusal
    """
    said = _apart(text, book, zone)
    if found := _AHEAD.fullmatch(said.rest):
        return _after(found, said, book, zone)
    for name, form in _FORMS:
        found = form.fullmatch(said.rest)
        if found is not None and not (name == "daily" and said.rest in ("every", "each")
                                      and not said.named):  # fmt: skip
            return _recurring(name, found, said, book, zone, room=room)
    return _once(said, text, book, zone)


def _apart(text: str, book: Book, zone: str) -> _Said:
    words = " ".join(text.casefold().replace(",", " ").replace(".", ":", 0).split()).strip(" .!")
    said = _Said(words)
    if found := _UNTIL.search(said.rest):
        if _CLOCK.search(found["day"]):
            raise Unreadable(text=found["day"][:60], wanted="end")
        said.until = _near(_day(found["day"], book, zone), book, zone)
        said.rest = said.rest[: found.start()]
    elif found := _FOR.search(said.rest):
        days = {"d": 1, "w": 7, "m": 30}[found["unit"][0]] * int(found["n"])
        said.until = book.now.astimezone(zone_of(zone)).date() + timedelta(days=days)
        said.rest = said.rest[: found.start()]
    elif found := _TIMES.search(said.rest):
        said.times = int(found["times"] or {"twice": 2, "once": 1}[found["word"]])
        said.rest = said.rest[: found.start()]
    _take_clock(said, book)
    if found := _FROM.search(said.rest):
        said.start = _near(_day(found["day"], book, zone), book, zone)
        said.rest = said.rest[: found.start()]
    said.rest = (
        " ".join(said.rest.split())
        .removesuffix(" at")
        .removesuffix(" on")
        .removeprefix("on ")
        .removeprefix("this ")
        .strip()
    )
    return said


def _take_clock(said: _Said, book: Book) -> None:
    found = _CLOCK.search(said.rest)
    if found is None:
        return
    word = (found["named"] or "").rstrip("s")
    own = {"morning": book.member.morning, "evening": book.member.evening}
    said.named = bool(word)
    typed = found["clock"] or (f"{found['hour']}:00" if found["hour"] else "")
    said.clock = own.get(word) or _NAMED.get(word or typed) or read_clock(typed)
    today = "today " if word == "tonight" else " "
    said.rest = f"{said.rest[: found.start()]}{today}{said.rest[found.end() :]}"


def _day(text: str, book: Book, zone: str) -> date:
    """A day to come, far ahead if it is a date; refused where no calendar has it."""
    now = book.now.astimezone(zone_of(zone))
    found = next_date(text, now.date())
    if found is NO_SUCH_DAY:
        raise Refusal("bad.no_such_day", text=text[:40])
    if isinstance(found, date):
        return found
    return read_day(text, now=book.now, zone=zone, month_first=book.member.units == "us")


def _near(day: date, book: Book, zone: str) -> date:
    """A day within five years."""
    if (day - book.now.astimezone(zone_of(zone)).date()).days > _FARTHEST_D:
        raise Refusal("bad.when_far", text=day.isoformat())
    return day


def _count(word: str | None) -> int:
    if not word:
        return 1
    return _COUNTS.get(word) or int(re.sub(r"\D", "", word))


def _after(found: re.Match[str], said: _Said, book: Book, zone: str) -> When:
    """ "in 2 hours": so much real time from now; "in 3 days" keeps the wall time."""
    count = 0.5 if found["n"] == "half an" else _count(found["n"])
    unit = found["unit"][0]
    if unit in "dw":
        here = book.now.astimezone(zone_of(zone))
        day = here.date() + timedelta(days=count * (7 if unit == "w" else 1))
        _near(day, book, zone)
        return _at(day, said.clock or here.strftime("%H:%M"), zone)
    if said.clock is not None:
        raise Unreadable(text=said.rest[:60], wanted="when")
    minutes = count * (60 if unit == "h" else 1)
    at = book.now + timedelta(minutes=minutes)
    _within("in", minutes, 1, 60 * 24 * 366)
    return When(pattern=Pattern(start_local=wall_key(at.astimezone(UTC)), zone="UTC",
                                kind="elapsed"))  # fmt: skip


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise OutOfRange(name=name, value=value, low=low, high=high, unit="")


def _once(said: _Said, text: str, book: Book, zone: str) -> When:
    """One day, one time; a bare time is the next one of the clock."""
    if said.until or said.times not in (None, 1):
        raise Unreadable(text=text[:60], wanted="when")
    here = book.now.astimezone(zone_of(zone))
    if not said.rest:
        if said.clock is None:
            raise Unreadable(text=text[:60], wanted="when")
        found = _at(here.date(), said.clock, zone)
        ahead = instant(datetime.fromisoformat(found.pattern.start_local), zone) > book.now
        return found if ahead else _at(here.date() + timedelta(days=1), said.clock, zone)
    try:
        day = _day(said.rest, book, zone)
    except OutOfRange as error:
        if error.value < error.low:
            raise Refusal("bad.when_over", text=text[:60]) from None
        raise Refusal("bad.when_far", text=text[:60]) from None
    except Unreadable:
        raise Unreadable(text=text[:60], wanted="when") from None
    if (day - here.date()).days > _FARTHEST_D:
        raise Refusal("bad.when_far", text=text[:60])
    found = _at(day, said.clock or book.member.morning, zone)
    if instant(datetime.fromisoformat(found.pattern.start_local), zone) <= book.now:
        weekday = re.fullmatch(_DAY, said.rest) is not None
        if not weekday:
            raise Refusal("bad.when_over", text=text[:60])
        return _at(day + timedelta(days=7), said.clock or book.member.morning, zone)
    return found


def _at(day: date, clock: str, zone: str) -> When:
    local = datetime.combine(day, time.fromisoformat(clock))
    return When(pattern=Pattern(start_local=wall_key(local), zone=zone))


def _recurring(
    name: str, found: re.Match[str], said: _Said, book: Book, zone: str, *, room: bool
) -> When:
    if name == "elapsed":
        return _elapsed(found, said, book, zone, room=room)
    here = book.now.astimezone(zone_of(zone))
    start = said.start or here.date()
    parts = _parts(name, found, book, start)
    interval = _count(found.groupdict().get("n")) if name != "every_nth" else 1
    _within("interval", interval, 1, 999)
    local = datetime.combine(start, time.fromisoformat(said.clock or book.member.morning))
    if instant(local, zone) <= book.now:
        local += timedelta(days=1)
    pattern = Pattern(start_local=wall_key(local), rrule=_rule(parts), zone=zone)
    first = next(recurring(start_local=local, rrule=pattern.rrule, zone=zone), None)
    if first is None:
        raise Refusal("bad.never", text=said.rest[:60])
    if interval > 1:
        parts.insert(1, ("INTERVAL", str(interval)))
    parts += _ends(said, datetime.fromisoformat(first[0]))
    pattern = replace(pattern, start_local=first[0], rrule=_rule(parts))
    if next(recurring(start_local=first[0], rrule=pattern.rrule, zone=zone), None) is None:
        raise Refusal("bad.never", text=said.rest[:60])
    day = dict(parts).get("BYMONTHDAY", "")
    short = day in ("29", "30", "31") or dict(parts).get("BYDAY", "").startswith("5")
    second = name == "days" and interval == 2
    return When(pattern=pattern, short_months=short, second=second)


def _rule(parts: list[tuple[str, str]]) -> str:
    return ";".join(f"{key}={value}" for key, value in parts)


def _ends(said: _Said, first: datetime) -> list[tuple[str, str]]:
    if said.until is not None:
        if said.until < first.date():
            raise Refusal("bad.ends_before", text=said.until.strftime("%d %b").lstrip("0"))
        return [("UNTIL", f"{said.until:%Y%m%d}T235959")]
    if said.times is not None:
        _within("times", said.times, 1, MOST_TIMES)
        return [("COUNT", str(said.times))]
    return []


def _elapsed(found: re.Match[str], said: _Said, book: Book, zone: str, *, room: bool) -> When:
    """Real time from now on."""
    unit = (found.groupdict().get("unit") or "h")[0]
    count = _count(found.groupdict().get("n"))
    step = timedelta(hours=count) if unit == "h" else timedelta(minutes=count)
    least = LEAST_ROOM if room else LEAST_PRIVATE
    if step < least:
        raise Refusal("bad.too_often", minutes=int(least.total_seconds() // 60))
    _within("interval", count, 1, 999)
    if said.clock is not None:
        raise Unreadable(text=found[0][:60], wanted="when")
    start = (book.now + step).astimezone(UTC).replace(tzinfo=None)
    parts = [("FREQ", "HOURLY" if unit == "h" else "MINUTELY"), ("INTERVAL", str(count))]
    if said.until is not None:
        last = instant(datetime.combine(said.until, time(23, 59, 59)), zone)
        parts.append(("UNTIL", f"{last:%Y%m%dT%H%M%S}Z"))
    else:
        parts += _ends(said, start)
    pattern = Pattern(start_local=wall_key(start), rrule=_rule(parts), zone="UTC", kind="elapsed")
    return When(pattern=pattern)


def _parts(name: str, found: re.Match[str], book: Book, start: date) -> list[tuple[str, str]]:
    """A form's own part of the rule."""
    groups = found.groupdict()
    match name:
        case "daily":
            return [("FREQ", "DAILY")]
        case "workdays":
            return [("FREQ", "WEEKLY"), ("BYDAY", "MO,TU,WE,TH,FR")]
        case "weekend":
            return [("FREQ", "WEEKLY"), ("BYDAY", "SA,SU")]
        case "weekly" | "days":
            named = groups.get("days") or (found[0] if groups.get("plural") else "")
            days = _weekdays(named) or [_WEEK[start.weekday()]]
            return [("FREQ", "WEEKLY"), ("BYDAY", ",".join(days))]
        case "nth_of":
            nth = _NTHS.get(groups["nth"]) or int(groups["nth"][0])
            (day,) = _weekdays(groups["day"])
            return [("FREQ", "MONTHLY"), ("BYDAY", f"{nth}{day}")]
        case "last_day":
            return [("FREQ", "MONTHLY"), ("BYMONTHDAY", "-1")]
        case "yearly":
            return _yearly(groups.get("date") or groups.get("date2") or "", start)
        case _:
            number = int(groups.get("d") or start.day)
            if not 1 <= number <= 31:
                raise Refusal("bad.no_such_day", text=found[0][:40])
            return [("FREQ", "MONTHLY"), ("BYMONTHDAY", str(number))]


def _weekdays(text: str) -> list[str]:
    found = {_BEGINS[word[:3]] for word in re.findall(_DAY, text)}
    return [_WEEK[number] for number in sorted(found)]


def _yearly(text: str, start: date) -> list[tuple[str, str]]:
    if not text:
        return [("FREQ", "YEARLY"), ("BYMONTH", str(start.month)), ("BYMONTHDAY", str(start.day))]
    found = next_date(text, start)
    if found is NO_SUCH_DAY:
        raise Refusal("bad.no_such_day", text=text[:40])
    if not isinstance(found, date):
        raise Unreadable(text=text[:60], wanted="when")
    return [("FREQ", "YEARLY"), ("BYMONTH", str(found.month)), ("BYMONTHDAY", str(found.day))]


_LEAD: Final = re.compile(rf"(?P<n>{_N}|half an) ?(?P<unit>minutes?|mins?|hours?|hrs?|h|m)"
                          r"(?: (?:ahead|before))?")  # fmt: skip


def read_ahead(text: str) -> int:
    """ "1 h", "30 min before" -> minutes.

    Raises
    ------
    Unreadable, OutOfRange
    """
    found = _LEAD.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        raise Unreadable(text=text[:60], wanted="ahead")
    count = 0.5 if found["n"] == "half an" else _count(found["n"])
    minutes = count * (60 if found["unit"].startswith("h") else 1)
    _within("ahead", minutes, 1, 60 * 24)
    return round(minutes)
