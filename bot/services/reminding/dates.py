"""Dates by the name of their month: "29 feb", "march 3", "8 May 2027"."""

from __future__ import annotations

import re
from datetime import date
from typing import Final

_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov",
                  "dec")  # fmt: skip
_LONGEST: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_FORMS: Final = (
    re.compile(r"(?:the )?(?P<d>\d{1,2})(?:st|nd|rd|th)? (?:of )?(?P<m>[a-z]{3,9})\.?"
               r"(?: (?P<y>\d{4}))?"),
    re.compile(r"(?P<m>[a-z]{3,9})\.? (?:the )?(?P<d>\d{1,2})(?:st|nd|rd|th)?(?: (?P<y>\d{4}))?"),
)  # fmt: skip


class NoSuchDay:
    """A date that no year has."""


NO_SUCH_DAY: Final = NoSuchDay()


def next_date(text: str, today: date) -> date | NoSuchDay | None:
    """The date that `text` names, the next from today where it names no year; None: none named."""
    words = " ".join(text.casefold().replace(",", " ").split()).removeprefix("on ")
    for form in _FORMS:
        found = form.fullmatch(words)
        month = next((n for n, m in enumerate(_MONTHS, 1) if found and found["m"][:3] == m), 0)
        if found is None or not month:
            continue
        day, year = int(found["d"]), found["y"]
        if not 1 <= day <= _LONGEST[month - 1]:
            return NO_SUCH_DAY
        for candidate in [int(year)] if year else range(today.year, today.year + 9):
            try:
                at = date(candidate, month, day)
            except ValueError:
                continue
            if year or at >= today:
                return at
        return NO_SUCH_DAY
    return None
