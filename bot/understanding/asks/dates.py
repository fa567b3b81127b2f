"""Days, clocks and stretches of time, as the services read them."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Final

from bot.understanding.sentence import DAY_NAME, DAYS, Sentence

_MONTHS: Final = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec)[a-z]*"
DATE: Final = (
    rf"{_MONTHS}\.? \d{{1,2}}(?:st|nd|rd|th)?(?!\d)(?:,? \d{{4}})?|"
    rf"\d{{1,2}}(?:st|nd|rd|th)?(?: of)?(?: the)? {_MONTHS}(?: \d{{4}})?|"
    rf"\d{{1,2}}/\d{{1,2}}(?:/\d{{2,4}})?|\d{{1,2}}\.\d{{1,2}}\.(?:\d{{2,4}})?|"
    r"\d{4}-\d{2}-\d{2}|(?:\d+|an?|a couple of) (?:days?|weeks?|months?) ago|yesterday|today"
)
FEASTS: Final = {
    r"(?:christmas|xmas) eve": "24 dec",
    r"christmas(?: day)?|xmas(?: day)?": "25 dec",
    r"new year'?s eve": "31 dec",
    r"hallowe'?en": "31 oct",
}
_CLOCK: Final = {"morning": 8.0, "noon": 12.0, "midday": 12.0, "lunch": 12.0, "afternoon": 15.0,
                 "evening": 19.0, "night": 21.0, "tonight": 21.0}  # fmt: skip
_WHEN: Final = re.compile(
    rf"\b(?P<name>{DAY_NAME}|today(?! the)|now|yesterday|(?P<ago>\d+|an?) days? ago|"
    r"(?:the )?(?P<date>\d{1,2})(?:st|nd|rd|th))\b"
    r"(?: (?:at |in the )?(?P<part>morning|noon|midday|lunch|afternoon|evening|night))?"
)


def date_in(s: Sentence, before: str = "") -> str | None:
    """A date that is named, after the words of a pattern; a feast by its date."""
    text = s.low
    for rule, day in FEASTS.items():
        if found := re.search(rf"{before}\b(?:{rule})\b", text):
            return day if found else None
    return s.found(rf"{before}\b({DATE})\b")


def from_today(day: str | None, s: Sentence) -> str:
    """A day as the calendar writes it, where it is told from today."""
    if day is None:
        return ""
    today = s.book.local(s.book.now)
    ahead = {"today": 0, "tonight": 0, "tomorrow": 1}.get(day.casefold())
    return day if ahead is None else (today + timedelta(days=ahead)).isoformat()


def days_between(s: Sentence) -> str | None:
    """The days between the two moments that are named."""
    found = [_moment(m) for m in _WHEN.finditer(s.low)]
    dates = [m for m in found if m[0] == "date"]
    found = dates if len(dates) > 1 else found
    if len(found) == 3 and {"back", "week"} == {found[1][0], found[2][0]}:
        found.pop()  # "today wednesday": one moment, said twice
    if len(found) < 2:
        return None
    first, last = found[0], found[-1] if dates else found[1]
    today = float(s.book.local(s.book.now).weekday())
    if first[0] == last[0] == "date":
        return f"{last[1] - first[1]:g} days" if last[1] > first[1] else None
    one, two = (today + t[1] if t[0] == "back" else t[1] for t in (first, last))
    days = two - one
    if days <= 0:
        days += 7
    clock = (last[2] - first[2]) / 24 if first[2] and last[2] else 0.0
    return f"{days + clock:.4g} days"


def _moment(found: re.Match[str]) -> tuple[str, float, float]:
    """A named day ("week", its number), or so many days from today ("back", minus days)."""
    part = _CLOCK.get(found["part"] or "", 0.0)
    name = found["name"]
    if found["date"]:
        return "date", float(found["date"]), part
    if name in DAYS:
        return "week", float(DAYS[name]), part
    if found["ago"]:
        return "back", -float(found["ago"]) if found["ago"].isdigit() else -1.0, part
    return "back", {"yesterday": -1.0}.get(name, 0.0), part
