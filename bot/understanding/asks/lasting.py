"""How long a tank lasts, a leak, the next full change, days away."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.records.questions import Away, ChangeDue, Forecast, Leak, Question, Quiet
from bot.understanding.asks.dates import date_in, days_between
from bot.understanding.sentence import Mention, Numbers, Sentence

_LEVEL_WORDS = r"half|quarter|third|line"


def forecast(s: Sentence, n: Numbers) -> Question | None:
    """Two levels and when, or one level and the pace, down to a mark."""
    use = n.water("use") or s.a_day()
    lost = n.one("lost")
    days = (
        _stretch(s, n.one("over")) or days_between(s) or _stretch(s, n.one("days")) or s.duration()
    )
    mark = _mark(s, n)
    before, after = n.one("before"), n.one("level")
    if before is None and len(n.all("level")) > 1:
        before, after = n.all("level")[:2]
    added = n.water("added")
    if use is None and lost is not None and days:
        unit = "" if re.search(r"[a-z]", days) else " days"
        use = f"{s.water(lost)} in {days}{unit}"
    if before is not None and after is not None:
        if before.number < after.number and not added:
            if s.found(r"\bwas\b.*\bnow\b"):
                return Leak(tower=s.tower_name, rise="yes")
            before, after = after, before
        return Forecast(tower=s.tower_name, before=_told(s, before), after=_told(s, after),
                        days=days, added=added, mark=mark)  # fmt: skip
    now = _told(s, after) if after else None
    now = now or (s.level_text if s.level_text != mark else None) or n.water("tank")
    return Forecast(tower=s.tower_name, after=now, mark=mark, use=use)


def _stretch(s: Sentence, one: Mention | None) -> str | None:
    """A stretch of time with its unit."""
    unit = (
        re.match(r" ?(days?|weeks?|wks?|hours?|hrs?|h|months?|min\w*)\b", s.low[one.end :])
        if one
        else None
    )
    return f"{one.text} {unit[1]}" if one and unit else None


def _told(s: Sentence, one: Mention) -> str | None:
    return f"{one.text} deep" if one.kind == "length" else s.water(one)


def _mark(s: Sentence, n: Numbers) -> str | None:
    """ "when do i hit 5", "refill at half", "down to the pump line of 4"."""
    goal = n.one("goal", "pump_line")
    if goal is not None:
        return goal.text if goal.kind == "fraction" else _told(s, goal)
    if s.found(r"\b(pump line|(?:run|runs|go|goes|is|be) (?:bone )?dry|sucks? air)\b"):
        return "pump line"
    return s.found(
        rf"\b(?:hits?|at|to|reach(?:es)?|till|until|is it) (?:the |a )?({_LEVEL_WORDS})\b"
    )


def leak(s: Sentence, n: Numbers) -> Question | None:
    """What was lost, over how long, against the normal day."""
    if s.found(
        r"\b(?:went|gone|came|come|is|crept) up\b|\brose\b|\brisen\b|\bgained\b|\bhigher than\b"
    ):
        return Leak(tower=s.tower_name, rise="yes")
    use = n.one("use")
    lost = n.one("lost")
    levels = n.all("before", "level", "tank")
    if lost is None and len(n.all("use")) > 1:  # so much a day now, so much before
        both = n.all("use")
        usual = next((m for m in both if m.follows(("before", "was", "usually", "normally"), 5)),
                     both[1])  # fmt: skip
        today = both[0] if usual is both[1] else both[1]
        return Leak(tower=s.tower_name, lost=s.water(today), hours="24 h", use=s.water(usual))
    before, now = levels[:2] if len(levels) > 1 else (None, n.one("level"))
    if before is not None and now is not None and before.number <= now.number:
        before = None
    daily = _plus(s, use) or s.a_day()
    found = Leak(tower=s.tower_name, hours=_over(s, n), use=daily, tank=n.water("tank"))
    if lost is not None:
        return replace(found, lost=_plus(s, lost))
    if before is not None:
        return replace(found, before=s.water(before), level=s.water(now), tank=None)
    told = s.level_text
    if told and re.search(r"\d", told) and "down" in told.casefold():
        return replace(found, lost=re.sub(r"(?i)\bdown\b|\bby\b", "", told).strip())
    here = now if now is not None and now.kind == "volume" else None
    return replace(found, level=s.water(here))


def _plus(s: Sentence, one: Mention | None) -> str | None:
    """ "minus 13 litres" are 13 lost."""
    if one is None:
        return None
    told = one.text if one.kind in ("length", "fraction") else s.water(one)
    return (told or "").lstrip("-")


def _over(s: Sentence, n: Numbers) -> str | None:
    told = _stretch(s, n.one("over"))
    if told:
        return told
    if s.found(
        r"\b(overnight|last night|since (?:yesterday|last night|bedtime)|this morning|from yesterday|"
        r"yesterday)\b"
    ):
        return "24 h"
    return s.duration(r"hours?|hrs?")


def change_due(s: Sentence, n: Numbers) -> Question | None:
    """Since when, and with how much topped up; another interval than the house's, where told."""
    if s.book.people and s.found(r"\bwho(?:se)?\b|\bmembers?\b|\banybody\b"):
        return Quiet(about="change")
    added = n.water("added")
    tank = n.one("tank")
    since = date_in(s, r"(?:\b(?:last|since|on|was|changed|dumped|did|mine|change)\b.{0,30}?)?")
    when = n.text("when")
    since = since or (when if when and re.search(r"[a-z/]", when.casefold()) else None)
    return ChangeDue(
        tower=s.tower_name, since=since, added=added, tank=s.water(tank), every=_every(s, n)
    )


def _every(s: Sentence, n: Numbers) -> str | None:
    told = n.one("every")
    unit = re.match(r" ?(days?|weeks?|months?)\b", s.low[told.end :]) if told else None
    return f"{told.text} {unit[1]}" if told and unit else None


def away(s: Sentence, n: Numbers) -> Question | None:
    """Days, what it drinks, how full, and the pump's line."""
    days = s.duration(r"days?|weeks?|wks?|months?|nights?") or n.text("days")
    days = re.sub(r"nights?", "days", days) if days else None
    if days is None and s.found(r"\b(?:longest|how long|how many days|how far)\b"):
        days = "longest"
    use, pump = n.one("use"), n.one("pump_line")
    level, tank = n.one("level"), n.one("tank")
    told = s.level_text
    if told and pump is not None and pump.text in told:
        told = None
    if level is not None and (told is None or level.text not in told):
        told = _told(s, level) if level.kind != "fraction" else level.text
    if told and tank is None and re.fullmatch(r"(?i)full", told):
        told = None
    return Away(
        tower=s.tower_name,
        days=days,
        use=_told_use(s, use) or s.a_day(),
        tank=s.water(tank),
        level=told,
        pump_line=None
        if pump is None
        else pump.text
        if pump.kind == "fraction"
        else _told(s, pump),
        depth=n.text("depth"),
    )


def _told_use(s: Sentence, one: Mention | None) -> str | None:
    if one is None:
        return None
    return f"{one.text} deep" if one.kind == "length" else s.water(one)
