"""Groups, money, who did what, what time it is elsewhere, and beginning."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Final

from bot.records import zones
from bot.records.questions import (
    Cost,
    DoseAll,
    Elsewhere,
    LastFed,
    Plugs,
    Question,
    Quiet,
    Shares,
    Start,
    Waiting,
)
from bot.understanding.asks.intent import Intent, words
from bot.understanding.asks.tank import DATE
from bot.understanding.sentence import DAY_NAME, Sentence

_CLOCK: Final = r"\d{1,2}(?::\d\d| \d\d)? ?(?:am|pm|a\.m\.|p\.m\.)|\d{1,2}:\d\d|noon|midday|midnight|\d{1,2} ?o'?clock"
_ZONE: Final = re.compile(
    rf"\b({'|'.join(sorted(map(re.escape, zones.called()), key=len, reverse=True))})\b"
)
_MONEY: Final = (
    r"[$€£]? ?\d+(?:[.,]\d{1,2})?(?: ?(?:bucks|dollars|usd|eur|euros?|pounds|quid|cents))?"
)


def plugs(s: Sentence) -> Question | None:
    """People, plugs each, seeds a plug, and some to spare."""
    people = s.found(
        r"(\d+) (?:ppl|people|persons?|kids|children|students|members|folks|growers|persons|families|of us|adults|pupils|neighbou?rs|guests|attend\w*)"
    )
    each = s.found(
        r"(\d+) (?:plugs?|pods|cubes)(?: each| a person| per person| apiece| per head| per kid)?"
    ) or s.found(r"(\d+) (?:each|apiece|a person|per person)")
    seeds = s.found(r"(\d+) seeds? ?(?:a|per|each|/|in|for|to)") or s.found(
        r"seeds? (?:per|a) plug(?: is|:)? ?(\d+)"
    )
    spare = s.found(r"(\d+ ?(?:%|percent|per cent)) ?(?:extra|spare|over|more|buffer)?")
    each = each or s.found(r"every ?(?:one|body) (?:does|gets|plants|takes) (\d+)")
    return Plugs(people=people, each=each, seeds=seeds, spare=spare)


def shares(s: Sentence) -> Question | None:
    """A bill in shares, and one's own."""
    shipping = s.found(rf"({_MONEY}) (?:for )?(?:shipping|postage|delivery)") or s.found(
        rf"(?:shipping|postage|delivery)(?: is| was|:)? ({_MONEY})"
    )
    parts = s.found(
        r"(\d+) (?:shares|of us|ways|people|ppl|members|units|bottles|packs|bags)"
    ) or s.found(r"(?:by|into|between|among) (\d+)")
    mine = s.found(r"(?:takes|taking|has) (\d+) (?:of|shares)") or s.found(
        r"(?:i (?:have|took|take|want|get|got|ordered)|mine is|my) (\d+)(?: shares?)?\b"
    )
    money = [m for m in re.findall(_MONEY, s.text) if m.strip() not in (shipping, parts, mine)]
    money = [m.strip() for m in money]
    return Shares(total=money[0] if money else None, shipping=shipping, shares=parts, mine=mine)


_SPENT: Final = re.compile(
    rf"(?:(?P<name>[a-z+& ]+?) (?:was |is |cost |at |about |for )?(?P<sum>{_MONEY}))|(?P<sum2>{_MONEY}) (?:on|for|of|in) (?P<name2>[a-z+&]+)"
)
_SUM_FIRST: Final = re.compile(rf"({_MONEY}) (?:on|for|of|in|worth of) (?:the )?([a-z+&]+)")


def cost(s: Sentence) -> Question | None:
    """What was spent, and on how many heads; a shop's price and the tower's own are none of it."""
    crop = r"(?:good |nice |big |full |decent )?(?:heads?|lettuces?|salads?|plants|bunches|total heads)"
    heads = s.found(rf"(\d+) {crop}\b(?! costs?)") or s.found(
        r"(?:got|grown?|harvested|picked|made|cut) (\d+)\b"
    )
    if heads == "1" and (more := s.found(r"(?:got|grown?|harvested|picked|made|cut) (\d+)\b")):
        heads = more
    text = re.sub(rf"\b{heads} ?{crop}", " ", s.low) if heads else s.low
    text = _NOT_SPENT.sub(" ", text)
    sums = [m.strip() for m in re.findall(_MONEY, text)]
    sums = [one for one in sums if re.sub(r"\D", "", one) != heads]
    marked = [one for one in sums if re.search(r"[$€£a-z]", one)]
    told = " + ".join(
        re.sub(r"[^\d.,]", "", one) for one in (marked if len(marked) == len(sums) else sums)
    )
    return Cost(costs=told or None, heads=heads)


_NOT_SPENT: Final = re.compile(
    rf"\b(?:tower|shop|store|supermarket|grocer\w*|greengrocer)\b[^.;,\d]{{0,25}}{_MONEY}[^.,;]{{0,20}}"
)


def last_fed(s: Sentence) -> Question | None:
    """Who fed it last."""
    return LastFed(tower=s.tower_name, days=_window(s))


def _window(s: Sentence) -> str | None:
    if s.found(r"\b(?:this|in the last|past|last) (?:wk|week)\b|\bthis week\b"):
        return "7"
    if s.found(r"\btoday\b"):
        return "1"
    return s.found(r"(?:last|past) (\d+) days")


def quiet(s: Sentence) -> Question | None:
    """Who has not been heard of, not changed the water, or runs dry."""
    about = (
        "change"
        if s.found(r"\bchang")
        else "dry"
        if s.found(r"\b(dry|pump line|run out|empty)\b")
        else "log"
    )
    named = next(
        (
            p.name
            for p in s.book.people
            if re.search(rf"\b{re.escape(p.name.split()[0].casefold())}\b", s.low)
        ),
        None,
    )
    if s.found(r"\b(?:which|who all|anybody|anyone|members|everyone|all)\b"):
        named = None
    since = s.found(rf"since ({DATE})")
    days = s.duration(r"days?|weeks?|wks?|months?") or ("30 days" if "a month" in s.low else None)
    if about == "change" and not s.found(r"(?:in|over|for|than|least) \d+"):
        days = None
    return Quiet(days=days, about=about, since=since, who=named)


def elsewhere(s: Sentence) -> Question | None:
    """A moment in one zone, told in another."""
    clock = s.found(rf"\b({_CLOCK})(?!\w)")
    if clock is None:
        loose = s.found(r"\bat (\d{1,2})\b(?! ?(?:gal|l\b|ppm|%))")
        return Elsewhere(at=None) if loose and s.found(r"time|zone") else None
    day = s.found(rf"\b({DATE})\b") or s.found(rf"\b({DAY_NAME}|tomorrow|tonight)\b")
    zone = there = None
    for found in _ZONE.finditer(s.low):
        name = found[1]
        if re.search(
            rf"(?:{_CLOCK})(?: on \w+| tomorrow| {DAY_NAME})?,? (?:in )?$", s.low[: found.start()]
        ):
            zone = zone or name
        elif re.search(r"\b(?:in|to|from|at|for|me|here)(?: the)? $", s.low[: found.start()]):
            there = there or name
        else:
            zone = zone or name
    if zone is None and there is None:
        return Elsewhere(at=clock)
    return Elsewhere(at=f"{_on(day, s)} {clock}".strip(), zone=zone, there=there)


def _on(day: str | None, s: Sentence) -> str:
    """A day as the calendar writes it, where it is told from today."""
    if day is None:
        return ""
    today = s.book.local(s.book.now)
    ahead = {"today": 0, "tonight": 0, "tomorrow": 1}.get(day.casefold())
    return day if ahead is None else (today + timedelta(days=ahead)).isoformat()


_MOST_TANKS = 20


def dose_all(s: Sentence) -> Question | None:
    """Several tanks at once."""
    sizes = [m for m in s.mentions if m.kind == "volume" or (m.kind == "number" and not m.unit)]
    sizes = [
        m
        for m in sizes
        if not m.precedes(("towers", "tanks", "tower", "of", "plants"), 1) or m.kind == "volume"
    ]
    sizes = [m for m in sizes if not m.precedes(("strength",), 1)]
    tanks = ", ".join(s.water(m) or "" for m in sizes) if len(sizes) > 1 else None
    alike = re.search(
        r"(\d+) (?:towers?|tanks?),? (?:all |of )?(\d+(?:\.\d+)? ?(?:gal\w*|l\b|lit\w+))(?: each)?",
        s.low,
    )
    if alike and 1 < int(alike[1]) <= _MOST_TANKS:
        tanks = ", ".join([alike[2]] * int(alike[1]))
    half = s.found(r"\b(half|quarter|three quarter|full)[ -](?:label |rate |strength)")
    return DoseAll(tanks=tanks, strength=s.per_cent() or half)


def newcomer(s: Sentence) -> Question | None:
    """The set-up, from the start."""
    return Start()


def _group(s: Sentence) -> Question | None:
    """Plugs for people, or a bill in shares."""
    if s.found(r"\bplugs?\b") and not s.found(r"owe|split|bill|shar"):
        return plugs(s)
    if s.found(r"owe it\b") or not s.found(r"split|owe|shar|buy|order|bill"):
        return None
    return shares(s)


INTENTS: Final = (
    Intent(
        name="group_event",
        told=words(
            r"plugs? (?:each|a person|per person|apiece)",
            r"what every ?(?:one|body) owes?",
            r"each person owe",
            r"sharing",
            r"(?:bulk|plug|group) order",
            r"people at",
            r"everyone (?:does|gets|plants)",
            r"how many plugs",
            r"(?:seed|sowing|planting|start\w*) (?:day|party|event|workshop|session)",
            r"split",
            r"group (?:buy|order)",
            r"owe",
            r"my share",
            r"workshop",
        ),
        hints=words(
            "people",
            "ppl",
            "plugs?",
            "seeds?",
            "spare",
            "each",
            "extra",
            "kids",
            "shares",
            "shipping",
        ),
        make=_group,
    ),
    Intent(
        name="cost",
        told=words(
            r"cost\w*",
            r"per head",
            r"(?:a|each) head",
            r"bucks",
            r"how much (?:is|was|did) (?:each|a|one|1) (?:head|lettuce|salad)",
            r"price per head",
            r"how much is (?:that|it) each",
            r"quid",
            r"so how much.{0,20}each",
            r"worth it",
        ),
        hints=words(
            "heads?", "nutrients?", "electric\\w*", "seeds?", "plugs?", "spent", "per head"
        ),
        never=words(r"seeds? weekly", r"kwh", r"watts?"),
        make=cost,
    ),
    Intent(
        name="shared_tower",
        told=words(
            r"(?:did|has|have|had) (?:any ?one|some ?one|any ?body|some ?body|any of you|they|\w+) (?:already )?(?:fe?ed|topped?|fill\w*|water\w*|dosed?|done|top\w*|put|add\w*|do)",
            r"who (?:last )?(?:fed|filled|topped|did|watered|dosed|was (?:the )?last|put|added)",
            r"last (?:fed|feeding|filled|topped|dosed|top up|fill)",
            r"been (?:fed|filled|topped|dosed|watered)",
            r"when (?:was|did).{0,40}(?:fed|topped|filled|dosed|feed)",
        ),
        hints=words("library", "school", "shared", "week", "wk", "today", "anyone", "yet"),
        make=last_fed,
    ),
    Intent(
        name="coach_watch",
        told=words(
            r"who(?:se|s|'s)?\b.{0,40}\b(?:log\w*|post\w*|check\w* in|quiet|silent|heard|report\w*|written|writing|updated|active|missing|dry|overdue)",
            r"(?:not|n't|nt) heard (?:from|anything)",
            r"(?:any ?one|any ?body|members?|which members?)\b.{0,40}(?:quiet|silent|overdue|dry|pump line|log\w*|behind|missing)",
            r"gone quiet",
            r"been silent",
            r"when did \w+ last log",
            r"last logged",
            r"silent",
            r"(?:which|who)\b.{0,60}(?:nothing|never|not one|hasn'?t|haven'?t|not writing)",
            r"(?:which|who)\b.{0,40}gone quiet",
        ),
        hints=words(
            "weeks?",
            "days?",
            "month",
            "logged",
            "anything",
            "members?",
            "who",
            "overdue",
            "anybody",
            "which",
        ),
        make=quiet,
    ),
    Intent(
        name="time_zone",
        told=words(
            r"what time",
            r"my time",
            r"for me",
            r"in (?:my|our) (?:time|zone)",
            r"(?:pacific|eastern|central|mountain|gmt|utc|bst|est|pst|edt|pdt|cst|cet|london|lisbon|sydney|tokyo) time",
            r"time zone",
            r"when is that",
            r"how late is it",
            r"what.{0,10} time.{0,20}(?:for me|here|there)",
        ),
        hints=words(
            "live",
            "call",
            "session",
            "meeting",
            "pacific",
            "eastern",
            "central",
            "mountain",
            "pm",
            "am",
            "what time",
            "london",
            "time",
        ),
        never=words(r"timer", r"what time (?:of (?:day|year))"),
        make=lambda s: (
            elsewhere(s)
            if s.found(r"\d ?(?:am|pm|:\d\d)|\bnoon\b|o'?clock|midnight|\d{4}\b")
            else None
        ),
    ),
    Intent(
        name="many_towers",
        told=words(
            r"altogether",
            r"all together",
            r"in all",
            r"in total",
            r"total",
            r"combined",
            r"all (?:my |the |of my )?(?:towers|tanks|of them|three|two|four|3|2|4)",
            r"both (?:towers|tanks|of them)?",
            r"each (?:tower|tank)",
            r"everything",
        ),
        hints=words(
            "towers",
            "tanks",
            "gal",
            "full strength",
            "first fill",
            "premeasure",
            "how much",
            "fill all",
            "altogether",
        ),
        never=words(
            r"top(?:ping|ped)?[ -]?(?:it |them |both )?(?:up|off)",
            r"drops?",
            r"down",
            r"harvest\w*",
            r"picked",
            r"seeds?",
            r"plugs?",
            r"cost",
            r"oops",
            r"mistake",
            r"per head",
            r"level",
            r"half",
            r"premix",
            r"mix (?:a|both)",
        ),
        make=lambda s: dose_all(s) if s.found(r"towers|tanks|\d.{0,12}(?:and|&|,) ?\d") else None,
    ),
    Intent(
        name="waiting",
        told=words(
            r"unanswered",
            r"(?:open|waiting) questions?",
            r"questions? (?:that )?(?:are |is )?(?:open|waiting|unanswered)",
            r"what(?:'s| is) waiting(?: for me)?",
            r"(?:nobody|no one) (?:has )?answered",
        ),
        make=lambda _: Waiting(),
    ),
    Intent(
        name="newcomer",
        told=words(
            r"new here",
            r"i'?m new",
            r"newbie",
            r"beginner",
            r"i am new(?! at)",
            r"new (?:member|to this)",
            r"(?:newly|today|just) joined.*",
            r"joined your group",
            r"to be delivered",
            r"just (?:joined|ordered|bought|got (?:a|my|the|our))",
            r"(?:first|new) tower",
            r"tower (?:comes|arrives?|is coming|arriving|gets here|lands|will (?:come|arrive)|shows up|came|arrived|turns up)",
            r"where do i (?:start|begin)",
            r"what (?:do|should) i do first",
            r"never (?:done|grown)",
            r"getting started",
        ),
        hints=words("start", "first", "arrives?", "comes", "new", "tower"),
        never=words(
            r"leak\w*", r"how much", r"ec", r"ml", r"what quantity", r"how many ml", r"dose"
        ),
        make=newcomer,
    ),
)
