"""Sowing, dates, ports, harvest, stock."""

from __future__ import annotations

import re
from typing import Final

from bot.records.questions import (
    Harvest,
    Plan,
    PortClear,
    PortMove,
    PortPlant,
    Ports,
    Question,
    Stock,
    Unsure,
)
from bot.understanding.asks.intent import Intent, words
from bot.understanding.asks.tank import DATE
from bot.understanding.sentence import DAY_NAME, Mention, Sentence
from calc.tables import crops

_CROP_NAMES: Final = sorted(
    {crop.replace("_", " ") for crop in crops()}
    | {w for crop in crops() for w in crop.split("_") if len(w) > 3}
    | {"salad", "tomatoes", "peppers", "cucumbers", "greens", "romaine", "butterhead", "lettuces",
       "strawberries", "beans", "peas", "bok choy", "pak choi", "rocket", "coriander", "heads of lettuce"},
    key=len,
    reverse=True,
)  # fmt: skip
_CROP: Final = "|".join(re.escape(name) for name in _CROP_NAMES)
_SAME: Final = {"salad": "lettuce", "greens": "lettuce", "lettuces": "lettuce", "tomatoes": "tomato",
                "peppers": "pepper", "cucumbers": "cucumber", "strawberries": "strawberry",
                "rocket": "arugula", "coriander": "cilantro", "heads of lettuce": "lettuce"}  # fmt: skip
_AGO: Final = r"\d+ (?:days?|weeks?|months?) ago"
PORT: Final = (
    r"(?:l(?:evel|vl)?\.? ?\d{1,2}[ ,-]*(?:p(?:ort|ocket|lace|ot)?\.? ?\d{1,2})"
    r"|p(?:ort)? ?\d{1,2}(?: (?:on|of|in|at))?(?: the)? ?l(?:evel)? ?\d{1,2}|\b\d{1,2}-\d{1,2}\b)"
)


def crop_in(s: Sentence) -> str | None:
    """The crop that is named."""
    found = s.found(rf"\b({_CROP})\b")
    return None if found is None else _SAME.get(found.casefold(), found)


def _shared(s: Sentence) -> str | None:
    """The share that comes up: "75 %", "8 of 10", "3 out of 4"."""
    parts = s.found(r"(\d+ (?:out )?(?:of|in) (?:every )?\d+)\b(?! ?(?:ports|levels))")
    if parts and s.found(r"come|came|germinat|sprout|make it|viab|pop|surviv"):
        return re.sub(r"out of|in|of every|in every", "of", parts)
    if s.found(r"half (?:of )?(?:the|my|them)?.{0,12}(?:seeds?|duds?|come|sprout|germinat)"):
        return "50 %"
    return s.per_cent()


def succession(s: Sentence) -> Question | None:
    """So many a week, and how many come up."""
    each = s.found(r"(\d+ (?:heads?|bunch\w*|plants?)) (?:weekly|every week|each week)") or s.found(
        r"(\d+(?:\.\d+)? ?(?:heads?|plants?|bunch(?:es)?|lettuces?|of them)?)(?: of)?(?: [a-z]+){0,3}? (?:a|per|each|every|/) ?(?:week|wk)"
    )
    each = each or s.found(
        r"(?:weekly|every week|each week|a week|per week).{0,25}?(\d+(?: ?(?:heads?|plants?|bunch(?:es)?))?)"
    )
    each = each or s.found(
        r"(\d+ ?(?:heads?|plants?|bunch(?:es)?)?)\b[^%]{0,25}(?:weekly|each week|every week)"
    )
    each = each or s.found(r"(\d+ ?(?:heads?|bunch(?:es)?))")
    if each is None:
        return None
    return Plan(crop=crop_in(s), per_week=each, germination=_shared(s), tower=s.tower_name,
                days=s.found(r"(\d+ (?:days?|weeks?)) in (?:the )?(?:port|tower)"))  # fmt: skip


def dates(s: Sentence) -> Question | None:
    """When to sow for a day; or what comes after a sowing."""
    days = s.found(r"(\d+(?:(?: ?- ?| to )\d+)? ?(?:days?|d|weeks?|wks?))\b(?! (?:ago|before the))")
    sown = s.found(
        rf"\b(?:sowed|sown|seeded|planted seeds?|started|sow(?:ing)?)\b.{{0,30}}?\b({_AGO}|{DATE}|{DAY_NAME})\b"
    )
    by = s.found(
        rf"(?:\b(?:for|by|before|on|ready)\b.{{0,25}}?)\b({DATE}|(?:next |this )?(?:{DAY_NAME})\b)"
    ) or s.found(rf"\b({DATE})\b")
    if by is not None and re.search(r"ago$|yesterday", by):
        by = None
    if sown is not None and s.found(r"\b(?:sowed|sown|seeded|started)\b"):
        return Plan(crop=crop_in(s), sown=sown, days=days, tower=s.tower_name)
    return Plan(crop=crop_in(s), by=by, days=days, tower=s.tower_name) if by else None


def port(s: Sentence) -> Question | None:
    """What goes where, out, or elsewhere."""
    places = [s.text[m.start() : m.end()] for m in re.finditer(PORT, s.low)]
    places = [_level_first(p) for p in places]
    if s.found(r"\bwhere(?:'s| is| are| did)\b") and not places:
        return Ports(tower=s.tower_name)
    if s.found(r"\b(?:empty|free|open|vacant|available)\b") and not places:
        return Ports(tower=s.tower_name)
    asks = s.found(r"\b(?:what|whats|what's|when|which|how|where|who)\b")
    if places and asks and not s.found(r"\b(?:put|plant|stick|stuck|mov\w*|swap)\b"):
        return Ports(tower=s.tower_name)
    if not places:
        return (
            Ports(tower=s.tower_name)
            if s.found(r"\bwhat(?:'s| is)? (?:growing|in|where)|port map")
            else None
        )
    if len(places) == 2 and s.found(r"\b(?:mov\w*|swap\w*|from)\b"):
        return PortMove(
            port=places[0],
            to=places[1],
            tower=s.tower_name,
            swap="yes" if "swap" in s.low else None,
        )
    ended = s.found(
        r"\b(died|dead|failed|rotted|wilted|pulled|harvested|cleared?|remove\w*|took|bolted|empt\w+)\b"
    )
    crop = crop_in(s) or s.found(
        r"\b(?:put|plant(?:ed)?|stuck|stick|add(?:ed)?|set)(?: (?:a|an|the|my|new|some|one))* ([a-z]+(?: [a-z]+)?)(?: (?:plug|seedling|start))? (?:in|into|at|to)\b"
    )
    if ended and not s.found(r"\b(?:put|plant(?:ed)?|stick|stuck|add)\b"):
        how = (
            "harvested"
            if "harvest" in ended
            else "failed"
            if re.match(r"died|dead|fail|rot|wilt|bolt", ended)
            else "cleared"
        )
        return PortClear(ports=", ".join(places), how=how, why=None, tower=s.tower_name)
    crops_named = {m[1] for m in re.finditer(rf"\b({_CROP})\b", s.low)}
    if len(crops_named) > 1 and len(places) > 1:
        return Unsure(read="", rest=", ".join(sorted(crops_named)))  # which goes where
    return PortPlant(crop=crop, ports=", ".join(places), tower=s.tower_name)


def _level_first(text: str) -> str:
    """ "port 2 on level 3" -> "L3P2"; other forms as typed."""
    found = re.fullmatch(r"p(?:ort)? ?(\d{1,2}).*?l(?:evel)? ?(\d{1,2})", text.casefold())
    if found:
        return f"L{found[2]}P{found[1]}"
    numbers = re.findall(r"\d{1,2}", text)
    return f"L{numbers[0]}P{numbers[1]}" if len(numbers) == 2 else text


_NOT_TOLD: Final = re.compile(
    r"^(?:hey |hi |so )?(?:did|do|does|should|can|could|would|has|is|was) |\b(?:if|wish|do you think|should i|haven'?t|"
    r"hasn'?t|didn'?t|not|nobody|no one|neighbou?r\w*|her|his|their|best|ever|seedlings?|spots?|yet)\b|"
    r"\b(?:in (?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)\w*|last (?:week|month|year))\b"
)
_WEIGHT: Final = re.compile(
    r"(?P<amount>(?:\d+ \d/\d|\d/\d|\d+(?:[.,]\d+)?|an?|half an?)(?: and a half)? ?(?:g|gr|grams?|kg|kilos?|oz|ounces?|lbs?|pounds?)"
    r"(?: ?(?:and )?\d+ ?(?:oz|ounces?))?)(?: of)?(?: (?:the|fresh|my|some))? (?P<crop>[a-z]+(?: [a-z]+)?)",
)
_CROP_FIRST: Final = re.compile(
    r"(?P<crop>[a-z]+(?: [a-z]+)?)(?: was| is| came to|:| at|,)? (?P<amount>\d+(?:[.,]\d+)? ?(?:g|gr|grams?|kg|kilos?|oz|ounces?|lbs?|pounds?))\b"
)
_HEADS: Final = re.compile(r"(?P<amount>\d+) (?:heads? of |heads? )?(?P<crop>[a-z]+)")


def harvest(s: Sentence) -> Question | None:
    """Every crop with what was picked of it; only of one's own, and only what is told."""
    if _NOT_TOLD.search(s.low):
        return None
    parts = list(_WEIGHT.finditer(s.low))
    if not parts or any(_bad(m["crop"]) for m in parts):
        first = [m for m in _CROP_FIRST.finditer(s.low) if not _bad(m["crop"])]
        parts = first if len(first) >= len(parts) else parts
    if parts:
        told = ", ".join(f"{_amount(m['amount'])} {_name(m['crop'])}".strip() for m in parts)
        return Harvest(what=told, tower=s.tower_name)
    heads = [m for m in _HEADS.finditer(s.low) if m["crop"] in _CROP_NAMES]
    if heads:
        return Harvest(
            what=", ".join(f"{m['amount']} {m['crop']}" for m in heads), tower=s.tower_name
        )
    if not s.found(r"\blog\b|\bharvest(?:ed)?\b|\bpicked\b") or s.found(
        r"\bwill\b|how much have i|\?"
    ):
        return None
    weight = s.found(r"(\d+(?:[.,]\d+)? ?(?:g|grams?|kg|oz|ounces?|lbs?|pounds?))\b")
    crop = crop_in(s)
    return Harvest(what=f"{weight} {crop or ''}".strip() if weight else None, tower=s.tower_name)


_NOT_CROPS: Final = frozenset("and from of in today plus total the for each with then".split())


def _bad(name: str) -> bool:
    return name.split()[0] in _NOT_CROPS


def _name(crop: str) -> str:
    """The crop alone, without the word behind it."""
    kept = list(crop.split())
    for size in (2, 1):
        name = " ".join(kept[:size])
        if name in _CROP_NAMES:
            return _SAME.get(name, name)
    return kept[0] if kept and kept[0] not in _NOT_CROPS else ""


def _amount(text: str) -> str:
    return re.sub(r"^an? ", "1 ", text)


def stock(s: Sentence) -> Question | None:
    """What is left of a bottle, and what a week takes."""
    names = {p.name.casefold(): p.name for f in s.book.feeds for p in f.parts}
    of_bottle = r"(?:half|quarters?|thirds?)(?: of)?(?: an?| the)? (?:\w+ )?(?:bottle|lit\w+|l\b|cup)|bottle(?: is|'s)? (?:about )?(?:half|a)"
    if re.search(r"half|quarter|third", s.level_text or "") and not s.found(of_bottle):
        return None  # the tank stands there too
    if _NO_COUNT.search(s.low):
        return None
    item = _item(s, names)
    if item is None and not s.found(r"\b(bottles?|each|seeds?|pump|stock|suppl\w+|parts?)\b"):
        return None
    amounts = [
        m
        for m in s.mentions
        if (m.kind in ("volume", "mass") and m.unit != "gal") or _count(m, names)
    ]
    two = {w for w in re.findall(r"[^\W_]+", s.low) if w in names and w != "a"} | (
        {"a"} if "a" in names and re.search(r"\b(?:of|part) a\b", s.low) else set()
    )
    if (
        len(two) > 1
        and len([m for m in amounts if m.kind == "volume"]) > 1
        and not s.found(r"how long|until|till|each")
    ):
        return Unsure(read="", rest=", ".join(sorted(two)))  # one at a time
    use = next((m for m in amounts if _each_time(m) or m.follows(_TAKES, 2)), None)
    rest = [m for m in amounts if m is not use]
    size = (
        next((m for m in rest if m.precedes(("bottle", "jug", "bag"), 1)), None)
        if s.level
        else None
    )
    left = next((m for m in rest if m is not size), None)
    told = left.text if left else (s.level_text if s.level and size else None)
    lead = s.found(
        r"(\d+ (?:days?|weeks?)) (?:to (?:ship|arrive|get here|come|deliver)|shipping|delivery|lead)"
    ) or s.found(
        r"(?:ship\w*|deliver\w*|arriv\w*|order\w*|lead|takes?)(?: \w+){0,3} (\d+ (?:days?|weeks?))\b"
    )
    unit = " ml" if use is not None and use.kind == "number" else ""
    every = f"{use.text}{unit}{_period(s)}" if use else None
    planned = next((m for m in rest if m is not left and m.precedes(("change", "full"), 4)), None)
    if left is not None and left.kind == "number" and item in names.values():
        told = f"{left.text} ml"
    return Stock(
        item=item or _any_part(s),
        left=told,
        size=size.text if size else None,
        use=every,
        lead=lead,
        planned=planned.text if planned else None,
    )


_NO_COUNT: Final = re.compile(
    r"\b(?:do i have|don'?t have|haven'?t|what if|if i|had|there was|were|knocked|spilled|would)\b|^is \d"
)
_TAKES: Final = frozenset("use uses using takes take doing".split())


def _item(s: Sentence, names: dict[str, str]) -> str | None:
    """The part of the feed that is named: the last one before the question, "a" only as a letter."""
    found = [names[w] for w in re.findall(r"[^\W_]+", s.low) if w in names and w != "a"]
    letter = "a" in names and (
        s.found(r"\b(?:of|bottle|part|feed) (a)\b(?! (?:bottle|litre|liter|gal))")
        or s.found(r"\b(a)\b(?= (?:left|is|has|bottle))")
        or re.search(r"\bA\b", s.text)
    )
    if letter:
        found.insert(0, names["a"])
    if found:
        asked = re.search(
            r"(?:how long|when|until|till).{0,20}\b(" + "|".join(map(re.escape, names)) + r")\b",
            s.low,
        )
        return names[asked[1]] if asked and asked[1] != "a" else found[0]
    return "seeds" if "seed" in s.low else "spare pump" if "pump" in s.low else None


def _any_part(s: Sentence) -> str | None:
    """ "of each bottle": any of them, they go alike."""
    parts = [p.name for f in s.book.feeds for p in f.parts]
    return parts[0] if parts and s.found(r"\b(each|both|bottles)\b") else None


def _count(one: Mention, names: dict[str, str]) -> bool:
    """A bare number of millilitres: "480 of B left", "45 of blue every 7 days"."""
    if one.kind != "number" or one.unit:
        return False
    return (
        one.precedes(("of", "left", "a", "each", "every", "weekly"), 1)
        and (
            bool(
                set(one.after[:4])
                & ({"left", "each", "weekly", "wk", "week", "every"} | set(names))
            )
        )
        and not one.precedes(("week", "day"), 1)
    )


def _each_time(one: Mention) -> bool:
    after = set(one.after[:4])
    return bool(
        after & {"each", "weekly", "week", "wk", "every", "per", "topup", "time", "day", "daily"}
    ) and not after & {"left"}


def _period(s: Sentence) -> str:
    if s.found(r"\b(?:a|per|each|every) day\b|daily"):
        return " a day"
    if s.found(r"(?:a|per|each|every) month"):
        return " a month"
    days = s.found(r"every (\d+) days")
    if days:
        return f" every {days} days"
    return " a week"


INTENTS: Final = (
    Intent(
        name="succession",
        told=words(r"(?:a|per|each|every) ?(?:week|wk)", r"weekly", r"heads?/ ?(?:wk|week)"),
        hints=words(
            "seeds?",
            "heads?",
            "sow",
            "lettuce",
            "germinat\\w*",
            "come up",
            "ports?",
            "plants?",
            "bunch\\w*",
        ),
        never=words(
            r"per head",
            r"price",
            r"ml",
            r"bottle",
            r"gal\w*",
            r"lit\w*",
            r"top",
            r"cost",
            r"plugs each",
        ),
        make=lambda s: (
            succession(s) if s.found(r"seed|sow|head|bunch|plant|lettuce|germin|port") else None
        ),
    ),
    Intent(
        name="dates",
        told=words(
            r"sow\w*",
            r"(?:when|what day|what date).{0,40}(?:seeds?|start|plant|move|transplant|ready|harvest|pick)",
            r"seed to (?:plate|harvest|fork)",
            r"days from seed",
            r"days to harvest",
            r"move (?:in|them|it|into)",
            r"ready (?:by|for)",
            r"transplant\w*",
        ),
        hints=words(
            "party",
            "days",
            "ready",
            "by",
            "for",
            "lettuce",
            "sow",
            "when",
            "seed",
            "date",
            "harvest",
        ),
        never=words(r"(?:a|per|each|every) week", r"weekly", r"ppfd", r"dli"),
        make=dates,
    ),
    Intent(
        name="port_map",
        told=words(
            PORT,
            r"(?:holes|spots|places|slots).{0,20}(?:free|empty|open)",
            r"where (?:is|did|are) my .{0,30}",
            r"empty ports?",
            r"ports? (?:are |is )?(?:empty|free|open)",
            r"port map",
            r"(?:which|what|how many) ports?",
        ),
        hints=words("put", "plant\\w*", "level", "port", "move\\w*", "basil", "lettuce"),
        never=words(r"dial", r"seeds (?:weekly|a week)"),
        make=port,
    ),
    Intent(
        name="harvest",
        told=words(
            r"harvest(?:ed)?",
            r"picked",
            r"log .{0,20}(?:oz|g|lbs?|grams)",
            r"cut \d",
            r"pulled \d",
            r"weigh(?:ed|s|in)?",
        ),
        hints=words("log", "grams?", "oz", "g", "lb", "kg", "lettuce", "basil", "total"),
        never=words(r"when", r"sow", r"cost", r"sown", r"sowed", r"how many days"),
        make=harvest,
    ),
    Intent(
        name="supplies",
        told=words(
            r"(?:of|part) [a-z]+ (?:left|is left|remaining)",
            r"left (?:in|of)",
            r"(?:re)?order\w*",
            r"runs? out",
            r"stock",
            r"suppl(?:y|ies)",
            r"(?:ml|l|cups?|oz|g|grams|lit\w*|quarts?|%) (?:of \S+ |of part \S+ |of each (?:bottle )?)?(?:left|remaining|still)",
            r"(?:i have|got|have|has)(?: still)? \d+ ?(?:ml|l|g)\b",
            r"how long (?:will|does|do|has|have|is|till).{0,30}(?:bottle|last|out|got)",
            r"left of (?:each|both|the)",
            r"enough",
            r"bottle.{0,40}(?:left|last)",
            r"\d+ (?:ml )?(?:of \S+ )?left",
        ),
        hints=words(
            "left", "weekly", "each", "how long", "last", "bottle", "order", "week", "weeks"
        ),
        never=words(
            r"premix",
            r"one bottle",
            r"frozen",
            r"tank",
            r"half full",
            r"seedlings?",
            r"make up",
            r"mix(?:ing)? up",
            r"to the (?:line|top)",
            r"meter",
            r"tower holds",
            r"first fill",
            r"ran out of time",
            r"split",
            r"shares?",
            r"bulk order",
            r"shipping",
            r"delivery was",
            r"water",
        ),
        make=stock,
    ),
)
