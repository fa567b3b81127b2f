"""How long a tank lasts, a leak, the next full change, days away, the pump and the lamp."""

from __future__ import annotations

import re
from typing import Final

from bot.records.questions import (
    Away,
    ChangeDue,
    Forecast,
    Lamp,
    Leak,
    MoveIn,
    Question,
    Timer,
)
from bot.understanding.asks.intent import Intent, words
from bot.understanding.sentence import DAY_NAME, DAYS, Mention, Sentence

_LINE: Final = frozenset("pump needs need minimum min line sucks suction least below under".split())
_MONTHS: Final = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec)[a-z]*"
DATE: Final = (
    rf"{_MONTHS}\.? \d{{1,2}}(?:st|nd|rd|th)?(?: \d{{4}})?|"
    rf"\d{{1,2}}(?:st|nd|rd|th)?(?: of)? {_MONTHS}(?: \d{{4}})?|\d{{1,2}}/\d{{1,2}}(?:/\d{{2,4}})?|"
    r"\d{4}-\d{2}-\d{2}|(?:\d+|an?|a couple of) (?:days?|weeks?|months?) ago|yesterday|today"
)
_CLOCK: Final = {"morning": 8.0, "noon": 12.0, "midday": 12.0, "lunch": 12.0, "afternoon": 15.0,
                 "evening": 19.0, "night": 21.0, "tonight": 21.0}  # fmt: skip
_WHEN: Final = re.compile(
    rf"\b(?P<name>{DAY_NAME}|today(?! the)|now|yesterday|(?P<ago>\d+|an?) days? ago|(?:the )?(?P<date>\d{{1,2}})(?:st|nd|rd|th))\b"
    r"(?: (?:at |in the )?(?P<part>morning|noon|midday|lunch|afternoon|evening|night))?"
)
_TWO = 2
_ADDED: Final = frozenset("added add adding poured put topped".split())


# ---- when next


def forecast(s: Sentence) -> Question | None:
    """Two levels and when, or one level and the pace, down to a mark."""
    use = s.a_day()
    mark = _mark(s)
    levels = [
        m
        for m in s.liquids()
        if s.water(m) not in (use,)
        and m is not mark
        and not m.follows(_ADDED, 3)
        and m.text != "one"
        and not m.precedes(("st", "nd", "rd", "th"), 1)
        and s.text[m.end : m.end + 2] not in ("st", "nd", "rd", "th")
    ]
    added = next((s.water(m) for m in s.liquids() if m.follows(_ADDED, 3)), None)
    days = _days_between(s) or s.duration(r"days?|weeks?|hours?|hrs?")
    told = s.water(mark)
    if len(levels) >= 2 and days:
        before, last = levels[0], levels[1]
        if before.number < last.number and not added:
            before, last = last, before
        return Forecast(tower=s.tower_name, before=s.water(before), after=s.water(last), days=days,
                        added=added, mark=told)  # fmt: skip
    after = levels[-1] if levels else None
    return Forecast(tower=s.tower_name, after=s.water(after), mark=told, use=use)


def _mark(s: Sentence) -> Mention | None:
    """ "when do i hit 5", "down to 20 l", "before the 4 gal line"."""
    marks = frozenset("hit reach reaches to at until till reaching hits when".split())
    asks = re.search(r"\b(when|how long|how many days|what day)\b", s.low)
    for one in s.liquids():
        behind = asks is not None and one.start > asks.start()
        if one.before[:1] and set(one.before[:2]) & marks and behind:
            return one
        if one.precedes(("line", "mark"), 2) or (behind and one.follows(_LINE, 3)):
            return one
    return None


def _days_between(s: Sentence) -> str | None:
    """The days between the two moments that are named."""
    found = [_moment(m) for m in _WHEN.finditer(s.low)]
    dates = [m for m in found if m[0] == "date"]
    found = dates if len(dates) > 1 else found
    if len(found) == 3 and {"back", "week"} == {found[1][0], found[2][0]}:
        found.pop()  # "today wednesday": one moment, said twice
    if len(found) < 2:
        return None
    first, last = found[0], found[1]
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


# ---- lost water


def leak(s: Sentence) -> Question | None:
    """What was lost, over how long, against the normal day."""
    daily = [m for m in s.liquids() if "day" in m.after[:3]]
    if len(daily) == _TWO:  # so much a day now, so much before
        usual = next(
            (m for m in daily if m.follows(("before", "was", "usually", "normally", "more"), 4)),
            daily[1],
        )
        now = daily[0] if usual is daily[1] else daily[1]
        return Leak(tower=s.tower_name, lost=s.water(now), hours="24 h", use=s.water(usual))
    use = s.a_day()
    lost = next(
        (
            m
            for m in s.liquids()
            if s.water(m) != use
            and (m.follows(("lost", "down", "dropped", "missing", "fell", "drop", "loses", "losing", "by", "disappeared", "went"), 3)
                 or m.precedes(("gone", "missing", "lost", "lower", "less", "short", "down", "disappeared", "vanished", "overnight"), 2))
        ),
        None,
    )  # fmt: skip
    if lost is None and any(m.kind == "length" for m in s.mentions):
        return _by_depth(s)
    if lost is None:
        rest = [
            m for m in s.liquids() if s.water(m) != use and not m.follows(("ec", "meter", "ph"), 2)
        ]
        if len(rest) >= 2 and rest[0].kind == "volume":
            return _from_to(s, rest, use)
        lost = rest[0] if rest else None
    return Leak(tower=s.tower_name, lost=s.water(lost), hours=_over(s), use=use)


def _by_depth(s: Sentence) -> Question | None:
    """In inches or cm, where the sides are straight: the ratio is the same in any unit."""
    lengths = [m for m in s.mentions if m.kind == "length"]
    usual = next((m for m in lengths if m.follows(_USUALLY) or set(m.after[:3]) & {"day"}), None)
    lost = next((m for m in lengths if m is not usual), None)
    if lost is None or usual is None:
        return Leak(tower=s.tower_name)
    return Leak(tower=s.tower_name, lost=lost.text, hours=_over(s), use=usual.text)


_USUALLY: Final = frozenset("usually normally normal usual always it's".split())


def _from_to(s: Sentence, rest: list[Mention], use: str | None) -> Question | None:
    """ "was 14 last night, 8 now": what is lost is the difference, which the service takes."""
    first, second = rest[:2]
    drop = first.number - second.number
    if drop <= 0:
        return None
    return Leak(tower=s.tower_name, lost=f"{drop:g} {s.unit}", hours=_over(s), use=use)


def _over(s: Sentence) -> str | None:
    if s.found(r"\b(overnight|last night|since yesterday|this morning)\b"):
        return "24 h"
    found = s.found(
        r"\b(?:in|over|within|past|last)(?: the)?(?: last| past)? (\d+ (?:hours?|hrs?|h|days?))\b"
    )
    return found or s.duration(r"hours?|hrs?")


# ---- full change


def change_due(s: Sentence) -> Question | None:
    """Since when, and with how much topped up."""
    topped = frozenset("topped added top put refilled refills".split())
    added = [
        m
        for m in s.volumes
        if set(m.before[:5]) & topped or m.precedes(("since", "topped", "of"), 3)
    ]
    tank = next(
        (
            m
            for m in s.volumes
            if m not in added and m.precedes(("tank", "res", "reservoir", "tower"), 1)
        ),
        None,
    )
    added = [m for m in added if m is not tank]
    since = s.found(rf"(?:\b(?:last|since|on|was|changed|dumped|did)\b.{{0,30}}?)?\b({DATE})\b")
    return ChangeDue(
        tower=s.tower_name,
        since=since,
        added=added[0].text if added else None,
        tank=tank.text if tank else None,
    )


# ---- away


def away(s: Sentence) -> Question | None:
    """Days, what it drinks, how full, and the pump's line."""
    if not s.found(r"\b(away|vacation|holidays?|trip|travel\w*|out of town|gone|leave|leaving)\b"):
        return None
    if s.duration() is None and not s.found(r"\b(going|go|will be|leaving|we're|i'm|im)\b"):
        return None
    use = s.a_day()
    pump = next((m for m in s.liquids() if m.follows(_LINE, 3) and s.water(m) != use), None)
    rest = [m for m in s.volumes if m.text != use and m is not pump and s.water(m) != use]
    tank = rest[0] if rest else None
    level = s.level_text
    if level and re.search(r"half|quarter|third", level):
        return Away(
            tower=s.tower_name,
            days=_away_days(s),
            use=use,
            tank=tank.text if tank else None,
            level=level,
            pump_line=s.water(pump),
        )
    full = s.found(r"\bfull\b") or (tank is not None and tank.precedes(("full", "tank"), 2))
    return Away(
        tower=s.tower_name,
        days=_away_days(s),
        use=use,
        tank=tank.text if tank and full else None,
        level=tank.text if tank and not full else None,
        pump_line=s.water(pump),
    )


def _away_days(s: Sentence) -> str | None:
    return s.duration(r"days?|weeks?|wks?|months?|nights?")


# ---- pump and lamp


def timer(s: Sentence) -> Question | None:
    """On and off."""
    dial = s.found(r"\b(dial|digital|mechanical|segment)\b")
    kind = {"mechanical": "dial", "segment": "dial"}.get((dial or "").casefold(), dial)
    price = s.found(r"(\d+(?:\.\d+)?) ?(?:cents|c|p|pence|ct) ?(?:a|per|/|each) ?(?:kwh|unit)")
    price = (
        f"{float(price) / 100:g}"
        if price
        else s.found(r"(\d+\.\d+)(?: \w+)? ?(?:a|per|/|each) ?kwh")
    )
    return Timer(tower=s.tower_name, timer=_on_off(s), dial=kind, watts=_watts(s), price=price)


_LASTS: Final = r"(\d+(?:\.\d+)?) ?(min\w*|m|hours?|hrs?|h)?"
_ON: Final = r"(?:on|running|runs?|working|works|pumping|pumps)"
_OFF: Final = r"(?:off|resting|rests?|stopping|stopped|stops?|pause[sd]?|idle|waiting)"
_ON_OFF: Final = (
    rf"{_LASTS} ?{_ON}\b.{{0,20}}?{_LASTS} ?{_OFF}\b",
    rf"\b{_ON} (?:for )?{_LASTS}.{{0,35}}?\b{_OFF} (?:for )?{_LASTS}",
    rf"\b{_ON} (?:for )?{_LASTS}.{{0,20}}?{_LASTS} ?{_OFF}\b",
    rf"{_LASTS} ?(?:min\w* )?(?:and|then|,) {_LASTS} ?{_OFF}",
    r"(\d+)() ?/ ?(\d+)()",
)


def _on_off(s: Sentence) -> str | None:
    """ "15 on 30 off", whichever way it was said."""
    for rule in _ON_OFF:
        found = next(iter([*re.finditer(rule, s.low)][-1:]), None)  # the last word on it
        if found:
            unit = "h" if (found[2] or found[4] or "").startswith("h") else ""
            return f"{found[1]}{unit} on {found[3]}{unit} off"
    part = re.search(rf"{_LASTS} (?:out )?of every {_LASTS}", s.low)
    if part:  # so many of so many: the rest of them it stands still
        return f"{part[1]} on {float(part[3]) - float(part[1]):g} off"
    return None


def _watts(s: Sentence) -> str | None:
    return s.found(r"(\d+(?:\.\d+)?) ?(?:w|watts?)\b")


def lamp(s: Sentence) -> Question | None:
    """PPFD, hours, DLI: two of them make the third."""
    ppfd = s.found(r"(\d+(?:\.\d+)?) ?(?:ppfd(?! on)|umol|µmol|micromol\w*|par)\b") or s.found(
        r"\b(?:ppfd|umol|par)(?: meter)?(?: (?:is|of|reading|says|reads|at|around|about|now|only|shows))*[:= ]*(\d+(?:\.\d+)?)"
    )
    dli = s.found(
        r"\bdli(?: target| goal)?(?: (?:is|of|to|about|around|at|target|be))*[:= ]*(\d+(?:\.\d+)?)"
    ) or s.found(r"(\d+(?:\.\d+)?) ?(?:mols?\b|moles?\b|dli)")
    hours = s.found(r"(\d+(?:\.\d+)?) ?(?:h|hrs?|hours?)\b") or _clock_span(s)
    lux = s.found(r"(\d[\d,.]*) ?lux\b")
    if ppfd is None and (dli or hours):
        loose = s.found(
            r"(?:meter|reads?|reading|lamp|light|shows)(?: \w+){0,2} (\d{2,4})\b(?![.\d] ?|\.\d| ?(?:h|hours|hrs|w\b|watts|mol))"
        )
        ppfd = loose
    if ppfd is None and lux is None and hours is None and dli is None:
        return None if _watts(s) is None else Lamp(tower=s.tower_name, watts=_watts(s))
    return Lamp(tower=s.tower_name, ppfd=ppfd, hours=hours, dli=dli, lux=lux, watts=_watts(s))


def _clock_span(s: Sentence) -> str | None:
    """ "on at 5:30 am, off at 9 pm": the hours between."""
    found = re.findall(r"(\d{1,2})(?::(\d\d))? ?(am|pm)", s.low)
    if len(found) != 2:
        return None
    one, two = (
        int(h) % 12 + (12 if half == "pm" else 0) + int(m or 0) / 60 for h, m, half in found
    )
    return f"{(two - one) % 24:g}"


def move_in(s: Sentence) -> Question | None:
    """Inside for the winter: what to do first, and the lamp's hours."""
    if _watts(s) and not s.found(r"ppfd|umol|µmol"):
        return Lamp(tower=s.tower_name, dli=None, watts=_watts(s))  # watts tell nothing of light
    found = lamp(s)
    light = found if isinstance(found, Lamp) else Lamp()
    return MoveIn(tower=s.tower_name, ppfd=light.ppfd, dli=light.dli, hours=light.hours)


INTENTS: Final = (
    Intent(
        name="vacation",
        told=words(
            r"away",
            r"leave (?:it|them|the tower|her)",
            r"(?:will|does|would).{0,30}last (?:\d|a |the )",
            r"make it (?:\d|a )",
            r"we'?re gone",
            r"vacation",
            r"holidays?",
            r"leaving(?! me)",
            r"gone for",
            r"(?:out of|leave) town",
            r"trip",
            r"travel\w*",
            r"be gone",
            r"off to (?!the)\w+",
            r"off for (?:a|the|\d|two)",
        ),
        hints=words(
            "drinks?",
            "uses?",
            "full",
            "days?",
            "weeks?",
            "last",
            "pump",
            "nights?",
            "make it",
            "survive",
        ),
        never=words(r"throw\w* away", r"right away", r"straight away", r"growing away"),
        make=away,
    ),
    Intent(
        name="leak",
        told=words(
            r"leak\w*",
            r"gone in \d+ \w+",
            r"lost",
            r"puddle",
            r"losing (?:water|\d)",
            r"(?:dropped|fell|went down|down) \d.{0,20}(?:overnight|since|in)",
            r"(?:dropped|down|fell|gone).{0,25}overnight",
            r"overnight",
            r"disappear\w*",
            r"vanished",
        ),
        hints=words("normally", "usually", "overnight", "floor", "night", "normal", "drinks"),
        never=words(
            r"for leaks",
            r"how much (?:do i|to|should i) (?:add|pour|put)",
            r"lost (?:count|track|the (?:label|cap|pen))",
            r"leak run",
        ),
        make=leak,
    ),
    Intent(
        name="tank_change",
        told=words(
            r"(?:full |water |tank |complete |solution |nutrient )+change",
            r"last (?:full )?change\w*",
            r"change (?:out|due|the (?:tank|water|solution|nutrients?))",
            r"due yet",
            r"days (?:late|overdue)",
            r"changed (?:on |it )?\d",
            r"(?:changed|dumped|swapped out) (?:it|the|all|everything|out)",
            r"(?:time|due|need) (?:to|for a) (?:change|dump)",
            r"last dumped",
            r"when.{0,20}\bchange",
        ),
        hints=words("topped", "since", "added", "due", "last", "overdue"),
        make=change_due,
    ),
    Intent(
        name="refill_forecast",
        told=words(
            r"when (?:do|will|does|is|should|am|would).{0,40}(?:hit|reach|down to|get to|drop to|run (?:dry|out|low)|refill|top ?up|need (?:water|filling|topping)|be (?:at|empty|down))",
            r"how (?:long|many days)(?: more)?(?: have i| do i have| is left| left| will| till| until| before| can| to| does| til).{0,40}",
            r"when \d+",
            r"days (?:till|until) \d+",
            r"how many days.{0,40}(?:need|next|until|til|line)",
            r"next (?:refill|top ?up|fill)",
            r"next need water",
            r"what day.{0,40}(?:hit|reach|run|refill|down)",
            r"when.{0,12}(?:next )?(?:refill|fill up|top up)",
            r"days (?:left|until|till|before)",
        ),
        hints=words(
            "was", "now", "hit", "reach", *DAYS, "refill", "empty", "dry", "drinks", "uses"
        ),
        never=words(
            r"ppfd",
            r"dli",
            r"lights?",
            r"lamp",
            r"bottle",
            r"of (?:a|b) left",
            r"timer",
            r"seeds?",
            r"sow\w*",
            r"harvest\w*",
        ),
        make=forecast,
    ),
    Intent(
        name="move_indoors",
        told=words(
            r"(?:bring\w*|moving|move|taking|take|carry\w*|coming|comes|haul\w*).{0,30}(?:\bin\b|inside|indoors?)(?! (?:level|port))",
            r"(?:back|in|inside|indoors) for (?:the )?winter",
            r"in the house.{0,30}tower",
            r"(?:come|bring|carry|take|move).{0,20}\bin (?:tonight|today|tomorrow|now)",
            r"how heavy.{0,40}",
        ),
        hints=words(
            "ppfd",
            "dli",
            "light",
            "lamp",
            "winter",
            "hours",
            "hrs",
            "timer",
            "frost",
            "weigh",
            "heavy",
        ),
        never=words(
            r"(?:seedlings?|lettuces?|plants|babies|starts|starters|lettuce|salad)\b.{0,30}(?:move|go|come|going|ready).{0,20}",
            r"first (?:time|fill)",
            r"plant them",
            r"plugs?",
            r"port",
            r"how much (?:a|feed|nutrients?)",
        ),
        make=move_in,
    ),
    Intent(
        name="light_dli",
        told=words(
            r"ppfd", r"dli", r"lux", r"umol", r"µmol", r"micromol\w*", r"grow ?lights?", r"lamp"
        ),
        hints=words("hours", "hrs", "light", "on", "day", "mol"),
        make=lamp,
    ),
    Intent(
        name="pump_timer",
        told=words(
            r"timer",
            r"\d+ ?(?:min\w*|m|h\w*)? on\b.{0,12}\d+ ?(?:min\w*|m|h\w*)? off",
            r"on (?:for )?\d+.{0,12}off (?:for )?\d+",
            r"(?:hours?|hrs?|long).{0,25}pump runs?",
            r"minutes? out of every",
            r"min\w* (?:on|working|running)",
            r"(?:pump|it) (?:goes|runs|is|comes) (?:on )?(?:for )?\d",
            r"pump (?:run\w*|cycles?)",
            r"cycles",
        ),
        hints=words("pump", "on", "off", "run", "hours", "hrs", "dial", "digital", "cycles"),
        make=timer,
    ),
)
