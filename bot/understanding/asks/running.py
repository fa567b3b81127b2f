"""The pump's timer, the lamp, and a tower brought inside."""

from __future__ import annotations

import re
from typing import Final

from bot.records.questions import Lamp, MoveIn, Question, Timer
from bot.understanding.sentence import Numbers, Sentence


def timer(s: Sentence, n: Numbers) -> Question | None:
    """On and off, and the hours of the day that it keeps to."""
    dial = s.found(r"\b(dial|digital|mechanical|segment)\b")
    kind = {"mechanical": "dial", "segment": "dial"}.get((dial or "").casefold(), dial)
    price = s.found(r"(\d+(?:\.\d+)?) ?(?:cents|c|p|pence|ct) ?(?:a|per|/|each) ?(?:kwh|unit)")
    price = f"{float(price) / 100:g}" if price else n.text("price")
    price = price or s.found(r"(\d+\.\d+)(?: \w+)? ?(?:a|per|/|each|for one) ?kwh")
    return Timer(tower=s.tower_name, timer=_on_off(s, n), dial=kind, watts=_watts(s), price=price)


_LASTS: Final = r"(\d+(?:\.\d+)?) ?(min\w*|m|hours?|hrs?|h)?"
_ON: Final = r"(?:on|running|runs?|working|works|pumping|pumps|spray\w*)"
_OFF: Final = r"(?:off|resting|rests?|stopping|stopped|stops?|pause[sd]?|idle|waiting|break)"
_ON_OFF: Final = (
    rf"{_LASTS} ?{_ON}\b.{{0,20}}?{_LASTS} ?{_OFF}\b",
    rf"\b{_ON} (?:for )?{_LASTS}.{{0,35}}?\b{_OFF} (?:for )?{_LASTS}",
    rf"\b{_ON} (?:for )?{_LASTS}.{{0,20}}?{_LASTS} ?{_OFF}\b",
    rf"{_LASTS} ?(?:min\w* )?(?:and|then|,) {_LASTS} ?{_OFF}",
    r"(\d+)() ?/ ?(\d+)()",
)


def _on_off(s: Sentence, n: Numbers) -> str | None:
    """ "15 on 30 off", whichever way it was said; the last word on it."""
    on, off, every = (n.all(role)[-1:] for role in ("on", "off", "every"))
    if on and off:
        unit, rest = (re.match(r" ?(h|s|m)", s.low[m.end : m.end + 2]) for m in (on[0], off[0]))
        first = unit[1] if unit else rest[1] if rest else ""
        return f"{on[0].number:g}{first} on {off[0].number:g}{rest[1] if rest else first} off"
    if on and every and every[0].number > on[0].number:
        return f"{on[0].number:g} on {every[0].number - on[0].number:g} off"
    for rule in _ON_OFF:
        found = next(iter([*re.finditer(rule, s.low)][-1:]), None)
        if found:
            said = "h" if (found[2] or found[4] or "").startswith("h") else ""
            return f"{found[1]}{said} on {found[3]}{said} off"
    part = re.search(rf"{_LASTS} (?:out )?of every {_LASTS}", s.low)
    if part:  # so many of so many: the rest of them it stands still
        return f"{part[1]} on {float(part[3]) - float(part[1]):g} off"
    return None


def _watts(s: Sentence) -> str | None:
    return s.found(r"(\d+(?:\.\d+)?)[ -]?(?:w|watts?)\b")


def lamp(s: Sentence, n: Numbers) -> Question | None:
    """PPFD, hours, DLI: two of them make the third."""
    lux = s.found(r"(\d[\d,.]*) ?lux\b")
    hours = n.text("hours") or _clock_span(s)
    ppfd = n.all("ppfd")
    return Lamp(
        tower=s.tower_name,
        ppfd=ppfd[-1].text if ppfd else None,
        hours=hours,
        dli=n.text("dli"),
        lux=lux,
        watts=_watts(s),
    )


def _clock_span(s: Sentence) -> str | None:
    """ "on at 5:30 am, off at 9 pm": the hours between."""
    found = re.findall(
        r"(\d{1,2})(?::(\d\d))?(?: o'?clock)? ?(?:(am|pm)|in the (morning|evening|afternoon)|at (night))",
        s.low,
    )
    if len(found) != 2:
        return None
    one, two = (
        int(h) % 12 + (0 if half == "am" or part == "morning" else 12) + int(m or 0) / 60
        for h, m, half, part, _ in found
    )
    return f"{(two - one) % 24:g}"


def move_in(s: Sentence, n: Numbers) -> Question | None:
    """Inside for the winter: what to do first, and the lamp's hours."""
    if _watts(s) and not n.one("ppfd"):
        return Lamp(tower=s.tower_name, dli=None, watts=_watts(s))  # watts tell nothing of light
    ppfd = n.all("ppfd")
    return MoveIn(
        tower=s.tower_name,
        ppfd=ppfd[-1].text if ppfd else None,
        dli=n.text("dli"),
        hours=n.text("hours"),
        tank=n.water("tank"),
        level=n.water("level") if n.one("level") and n.one("level").kind == "volume"  # type: ignore[union-attr]
        else s.level_text,
    )  # fmt: skip
