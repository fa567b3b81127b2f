"""Groups, money, who did what, what time it is elsewhere, and beginning."""

from __future__ import annotations

import re
from typing import Final

from bot.records import zones
from bot.records.questions import (
    ChangeDue,
    Cost,
    Elsewhere,
    LastFed,
    Plugs,
    Question,
    Quiet,
    Shares,
    Start,
    Unsure,
    Waiting,
)
from bot.understanding.asks.dates import DATE, from_today
from bot.understanding.asks.feeding import fed
from bot.understanding.sentence import DAY_NAME, Mention, Numbers, Sentence

_CLOCK: Final = r"\d{1,2}(?::\d\d| \d\d)? ?(?:am|pm|a\.m\.|p\.m\.)|\d{1,2}:\d\d|noon|midday|midnight|\d{1,2} ?o'?clock"
_ZONE: Final = re.compile(
    rf"\b({'|'.join(sorted(map(re.escape, zones.called()), key=len, reverse=True))})\b"
)
_MONEY: Final = (
    r"[$€£]? ?\d+(?:[.,]\d{1,2})?(?: ?(?:bucks|dollars|usd|eur|euros?|pounds|quid|cents))?"
)


def plugs(s: Sentence, n: Numbers) -> Question | None:
    """People, plugs each, seeds a plug, and some to spare."""
    spare = n.one("spare")
    told = (
        None if spare is None else f"{spare.number * 100:g} %" if spare.number < 1 else spare.text
    )
    return Plugs(people=_people(s, n), each=n.text("each"), seeds=n.text("seeds"), spare=told)


def _people(s: Sentence, n: Numbers) -> str | None:
    """How many; "two tables of eight" as well."""
    tables = re.search(r"(\d+) \w+ of (\d+)\b", s.low)
    if tables and n.one("people") and n.one("people").text in tables[0]:  # type: ignore[union-attr]
        return f"{tables[1]} x {tables[2]}"
    told = n.all("people")
    return told[-1].text if told else None


def shares(s: Sentence, n: Numbers) -> Question | None:
    """A bill in shares, and one's own."""
    bill = [m.text for m in n.all("total", "cost")]
    return Shares(
        total=" + ".join(bill) or None,
        shipping=n.text("shipping"),
        shares=n.text("shares", "people"),
        mine=n.text("mine"),
    )


def cost(s: Sentence, n: Numbers) -> Question | None:
    """What was spent, and on how many heads; a shop's price and the tower's own are none of it."""
    if power := s.found(r"\b(\d+(?:\.\d+)?[ -]?(?:w|watts?|kwh))\b"):
        return Unsure(read="", rest=power)  # what it comes to is a sum of its own
    sums = [_spent(s, n, m) for m in n.all("cost")]
    heads = n.all("heads")
    return Cost(
        costs=" + ".join(sums) or None,
        heads=heads[-1].text if heads else n.text("count"),
        shop=n.text("shop"),
    )


def _spent(s: Sentence, n: Numbers, one: Mention) -> str:
    """A sum; so much a month over the months; so many at so much each."""
    behind = s.low[one.end : one.end + 22]
    if re.match(r" ?(?:\w+ )?(?:a|per|each|/) ?(?:month|mo)\b", behind) and n.one("months"):
        return f"{one.text} x {n.text('months')}"
    many = re.search(
        r"\b(\d+) (?:bottles?|packs?|bags?|packets?)[^.,;\d]{0,20}$", s.low[: one.start]
    )
    if many and re.match(r" ?(?:\w+ )?(?:each|apiece|a piece)\b", behind):
        return f"{one.text} x {many[1]}"
    whole = re.search(r"\b(\d+) (?:quid|bucks|dollars|pounds|euros?) $", s.low[: one.start])
    return f"{whole[1]}.{one.text}" if whole and one.number < 100 else f"{one.number:g}"


_LAST: Final = (
    r"\b(who|whose|which of|when|did|does|do|has|have|had|is|was|were|any\w*|some\w+|last|been|already|"
    r"ok|okay|can i|may i|about to|going to|gonna|must|should|yet|how much|how many|total|turn)\b"
)


def last_fed(s: Sentence, _: Numbers) -> Question | None:
    """Who fed it last; never where nothing is asked of it."""
    if s.found(_LAST) is None:
        return None
    if s.found(
        r"\b(?:total|in all|altogether|all together|all of us|add up|since the (?:full )?change)\b"
    ):
        return ChangeDue(tower=s.tower_name)
    what = next((kind for kind, rule in _ENTRIES if s.found(rule)), None)
    plans = "yes" if s.found(_ABOUT_TO) else None
    return LastFed(tower=s.tower_name, days=_window(s), what=what, plans=plans)


_ENTRIES: Final = (
    ("change", r"\bfull change\b|\bchanged (?:the )?(?:water|tank)"),
    ("ph", r"\bph\b"),
    ("ec", r"\b(?:ec|meter reading)\b"),
)
_ABOUT_TO: Final = (
    r"\b(?:about to|going to|gonna|can i|may i|shall i|should i|ok to|okay to|my turn)\b"
)


def _window(s: Sentence) -> str | None:
    if s.found(r"\b(?:this|in the last|past|last) (?:wk|week)\b|\bthis week\b"):
        return "7"
    if s.found(r"\btoday\b"):
        return "1"
    return s.found(r"(?:last|past) (\d+) days")


def quiet(s: Sentence, n: Numbers) -> Question | None:
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


def elsewhere(s: Sentence, _: Numbers) -> Question | None:
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
    return Elsewhere(at=f"{from_today(day, s)} {clock}".strip(), zone=zone, there=there)


_NEW: Final = (
    r"\b(?:new|newbie|noob|first|begin\w*|start\w*|arriv\w*|com(?:es?|ing)|came|deliver\w*|ship\w*|box|"
    r"built|assembl\w*|put together|set ?up|just (?:got|bought|ordered)|got|joined|never|unpack\w*|gift|present)\b"
)


def newcomer(s: Sentence, n: Numbers) -> Question | None:
    """The set-up, from the start; or the dose, where the tank and plants are told."""
    if n.one("tank") and s.found(r"\b(how much|measure|dose|nutrients?|feed|each)\b"):
        return fed(s, "newcomer")
    if s.found(_NEW) is None:
        return None
    return Start()


def group(s: Sentence, n: Numbers) -> Question | None:
    """Plugs for people, or a bill in shares."""
    bill = n.one("total", "shipping") is not None or s.found(r"\bowes?\b|split|share of|bill")
    return shares(s, n) if bill and n.one("each", "seeds") is None else plugs(s, n)


def waiting(_: Sentence, __: Numbers) -> Question | None:
    """What nobody has answered."""
    return Waiting()
