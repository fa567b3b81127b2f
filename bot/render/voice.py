"""Lines in the words and numbers of one reader."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from bot.clock import zone_of
from bot.records.answer import Line, Measure, Pours, Stamp, Value, Weekday
from bot.records.facts import Member
from bot.render.numbers import day, measure, moment, weekday
from bot.render.pours import said
from bot.text import visible
from bot.words import sentence

_MARKDOWN = str.maketrans({c: "\\" + c for c in "\\*_~`|>#[]()<@:/"})
_AS_IS = ("pH", "ppm")  # never begin with a capital


class Voice:
    """Says Lines to one reader; `marked`: for a chat that reads markdown."""

    def __init__(self, member: Member, *, marked: bool) -> None:
        self._member = member
        self._marked = marked

    def line(self, spoken: Line) -> str:
        values = {name: self._value(value) for name, value in spoken.values}
        text = sentence(spoken.word).format(**values)
        return text if text.startswith(_AS_IS) else text[:1].upper() + text[1:]

    def lines(self, spoken: Iterable[Line]) -> str:
        return " ".join(self.line(one) for one in spoken)

    def name(self, typed: str) -> str:
        """A person's own words: no question of theirs counts as ours, nothing in them formats."""
        shown = " ".join(visible(typed).replace("?", "").split())
        return shown.translate(_MARKDOWN) if self._marked else shown

    def _value(self, value: Value) -> str:
        match value:
            case Measure():
                return measure(value, self._member)
            case Pours():
                return said(value, self._member, self.name)
            case datetime():
                return moment(value, self._member.units)
            case Stamp():
                return self._stamp(value)
            case Weekday():
                return weekday(value.on)
            case date():
                return day(value)
            case tuple():
                return ", ".join(self._inner(one) for one in value)
            case int():
                return str(value)
            case str():
                return self.name(value)

    def _stamp(self, shown: Stamp) -> str:
        if self._marked:
            return f"<t:{int(shown.at.timestamp())}:{shown.style}>"
        return moment(shown.at.astimezone(zone_of(self._member.time_zone)), self._member.units)

    def _inner(self, spoken: Line) -> str:
        values = {name: self._value(value) for name, value in spoken.values}
        return sentence(spoken.word).format(**values)
