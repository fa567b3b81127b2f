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
from bot.understanding.asks.dates import DATE, date_in
from bot.understanding.sentence import DAY_NAME, Mention, Numbers, Sentence
from bot.understanding.undone import undone
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
    told = re.search(
        r"(?:out of|from|of) (\d+)(?: seeds?)?,? (?:\w+ ){0,3}?(\d+)(?: \w+){0,2}? ?(?:came|come|coming|popped|sprout\w*|germinat\w*)?",
        s.low,
    )
    if told and int(told[2]) <= int(told[1]) and s.found(r"c[ao]m|germinat|sprout|popped"):
        return f"{told[2]} of {told[1]}"
    if parts and s.found(r"come|came|germinat|sprout|make it|viab|pop|surviv"):
        return re.sub(r"out of|in|of every|in every", "of", parts)
    if s.found(r"half (?:of )?(?:the|my|them)?.{0,12}(?:seeds?|duds?|come|sprout|germinat)"):
        return "50 %"
    return s.per_cent()


def succession(s: Sentence, n: Numbers) -> Question | None:
    """So many a week, and how many come up."""
    each = n.one("per_week", "heads")
    if not n.roles and s.found(r"\b(?:ports?|holes?|spots?|places?)\b"):
        return None  # what stands where, not what to sow
    kind = s.found(r"\b(heads?|bunch(?:es)?)\b")
    days = n.one("days")
    return Plan(
        crop=crop_in(s),
        per_week=f"{each.text} {kind or ''}".strip() if each else s.found(_A_WEEK),
        ports=n.text("ports"),
        moving="heads"
        if each is None and s.found(r"how many (?:can|heads?|will|do|lettuces?)|heads?")
        else None,
        germination=_shared(s) or n.text("germination"),
        tower=s.tower_name,
        days=_stretch(s, days),
    )


_A_WEEK: Final = r"\b(\d+)(?: \w+){0,3} (?:a|per|each|every|/) ?(?:single )?(?:week|wk)\b"


def _stretch(s: Sentence, one: Mention | None) -> str | None:
    """A stretch of time with its unit; "3 to 4 weeks" whole."""
    if one is None:
        return None
    unit = r"(?:days?|d|weeks?|wks?|months?)\b"
    whole = s.found(rf"(\d+(?:(?: ?- ?| to | or )\d+)? ?{unit})(?! ago)")
    if whole and one.text in whole:
        return whole
    behind = re.match(rf" ?({unit})", s.low[one.end :])
    return f"{one.text} {behind[1]}" if behind else one.text


def dates(s: Sentence, n: Numbers) -> Question | None:
    """When to sow for a day; or what comes after a sowing."""
    days = _stretch(s, n.one("days"))
    sown = s.found(
        rf"\b(?:sowed|sown|seeded|planted seeds?|started|sow(?:ing)?|put seeds?)\b.{{0,30}}?\b"
        rf"({_AGO}|{DATE}|{DAY_NAME})\b"
    )
    by = date_in(s) or s.found(
        rf"\b(?:for|by|before|on|ready|is)\b.{{0,25}}?\b((?:next |this )?(?:{DAY_NAME}))\b"
    )
    by = by or s.found(rf"\b({DAY_NAME})\b")
    if by is not None and re.search(r"ago$|yesterday", by):
        by = None
    past = s.found(r"\b(?:sowed|sown|seeded|started|went in|have sown|seeds? in)\b")
    if past and (sown or by or n.text("when")):
        return Plan(crop=crop_in(s), sown=sown or by or n.text("when"), days=days,
                    tower=s.tower_name)  # fmt: skip
    moving = s.found(r"\b(?:transplant\w*|move (?:them |it )?in|ready to (?:move|go in))\b")
    return Plan(crop=crop_in(s), by=by, days=days, tower=s.tower_name,
                moving="yes" if moving and not days else None)  # fmt: skip


def port(s: Sentence, _: Numbers) -> Question | None:
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
    crop = crop or _beside(s)
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
    if len(crops_named) > 1:
        return Unsure(read="", rest=", ".join(sorted(crops_named)))  # which goes where
    return PortPlant(crop=crop, ports=", ".join(places), tower=s.tower_name)


def _beside(s: Sentence) -> str | None:
    """A plant that no table knows: the word beside its port."""
    found = s.found(rf"{PORT}[ :,=-]*([a-z]+)$") or s.found(
        rf"^([a-z]+(?: [a-z]+)?)[ :,=@-]*(?:in|into|at|to|@)? ?(?:the )?{PORT}"
    )
    return None if found is None or found in _NO_PLANTS else found


_NO_PLANTS: Final = frozenset("in at to the put plant log note free empty what is".split())


def _level_first(text: str) -> str:
    """ "port 2 on level 3" -> "L3P2"; other forms as typed."""
    found = re.fullmatch(r"p(?:ort)? ?(\d{1,2}).*?l(?:evel)? ?(\d{1,2})", text.casefold())
    if found:
        return f"L{found[2]}P{found[1]}"
    numbers = re.findall(r"\d{1,2}", text)
    return f"L{numbers[0]}P{numbers[1]}" if len(numbers) == 2 else text


_NOT_TOLD: Final = re.compile(
    r"^(?:hey |hi |so )?(?:did|do|does|should|(?:can|could|would) (?!you (?:please |kindly )?(?:log|note|write|add|record|enter|put))|has|is|was) |\b(?:if|wish|do you think|should i|haven'?t|"
    r"hasn'?t|didn'?t|not|nobody|no one|neighbou?r\w*|her|his|their|best|ever|seedlings?|spots?|yet)\b|"
    r"\b(?:in (?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)\w*|last (?:week|month|year))\b"
)
_HEADS: Final = re.compile(r"(?P<amount>\d+) (?:heads? of |heads? )?(?P<crop>[a-z]+)")


def harvest(s: Sentence, n: Numbers) -> Question | None:
    """Every crop with what was picked of it; only of one's own, and only what is told."""
    if _NOT_TOLD.search(s.low) or undone(s.low):
        return None
    weights = n.all("weight")
    if weights and all(m.kind in ("mass", "number", "fraction") for m in weights):
        return Harvest(what=", ".join(_picked(s, weights)), tower=s.tower_name)
    heads = [m for m in _HEADS.finditer(s.low) if m["crop"] in _CROP_NAMES]
    if heads:
        return Harvest(
            what=", ".join(f"{m['amount']} {m['crop']}" for m in heads), tower=s.tower_name
        )
    if not s.found(r"\blog\b|\bharvest(?:ed)?\b|\bpicked\b") or s.found(
        r"\bwill\b|how much have i|\?"
    ):
        return None
    return Harvest(what=crop_in(s), tower=s.tower_name)


def _picked(s: Sentence, weights: tuple[Mention, ...]) -> list[str]:
    """Each weight with its unit and its crop: the one behind it, else the one in front."""
    unit = next(
        (re.sub(r"^[\d./ ]+", "", m.text) for m in reversed(weights) if m.kind == "mass"), ""
    )
    named = [(m.start(), _SAME.get(m[1], m[1])) for m in re.finditer(rf"\b({_CROP})\b", s.low)]
    found = []
    for n, one in enumerate(weights):
        after = weights[n + 1].start if n + 1 < len(weights) else len(s.low)
        before = weights[n - 1].end if n else 0
        behind = next((name for at, name in named if one.end <= at < after), None)
        front = next((name for at, name in reversed(named) if before <= at < one.start), None)
        near = re.match(r"(?: of)?(?: the| fresh| my| some)? ", s.low[one.end :])
        close = near and any(at == one.end + near.end() for at, _ in named)
        crop = behind if close or front is None else front
        amount = one.text if one.kind == "mass" else f"{one.text} {unit}".strip()
        found.append(f"{amount} {crop or ''}".strip())
    return found


_SUPPLIES: Final = (
    r"\b(?:stock|suppl\w+|bottles?|seeds?|plugs?|parts?|spare|left|run out|runs out|enough|order)\b"
)
# Not what is left, or not yet.
_NO_COUNT: Final = re.compile(
    r"\b(?:don'?t have|haven'?t|what if|if i|had|there was|were|knocked|spilled|would|i need|ordered|his|hers|theirs)\b|"
    r"^(?!it|there|that|he|she|what|who)\w+ has\b"
)


def stock(s: Sentence, n: Numbers) -> Question | None:
    """What is left of a bottle, and what a week takes."""
    if _NO_COUNT.search(s.low):
        return None
    names = {p.name.casefold(): p.name for f in s.book.feeds for p in f.parts}
    both = {w for w in re.findall(r"[^\W_]+", s.low) if w in names and w != "a"}
    both |= {"a"} if "a" in names and re.search(r"\b(?:of|part) a\b", s.low) else set()
    if len(both) > 1 and len(n.all("left")) > 1:
        return Unsure(read="", rest=", ".join(sorted(both)))  # one at a time
    left, size, use = n.one("left"), n.one("size"), n.one("dose", "use")
    item = _item(s, names) or _any_part(s)
    if item is None and left is None and not s.found(_SUPPLIES):
        return None
    measured = item in names.values()
    told = None if left is None else _amount_of(left, measured=measured)
    planned = n.one("planned")
    return Stock(
        item=item,
        left=told,
        size=size.text if size else None,
        use=f"{_amount_of(use, measured=measured)}{_period(s, n)}" if use else None,
        lead=_stretch(s, n.one("lead")),
        planned=_amount_of(planned, measured=measured) if planned else None,
    )


def _amount_of(one: Mention, *, measured: bool) -> str:
    """A bare number of a bottle is millilitres."""
    bare = one.kind == "number" and not one.unit and measured
    return f"{one.text} ml" if bare else one.text


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


def _period(s: Sentence, n: Numbers) -> str:
    """How often so much is taken."""
    every = n.one("every")
    if every is not None and (days := re.match(r" ?(days?|weeks?)", s.low[every.end :])):
        return f" every {every.text} {days[1]}"
    if s.found(r"\btwice (?:a|per|each|every) week\b"):
        return " every 3.5 days"
    if s.found(r"\b(?:a|per|each|every) day\b|daily"):
        return " a day"
    if s.found(r"(?:a|per|each|every) month"):
        return " a month"
    told = s.found(r"every (\d+) days")
    return f" every {told} days" if told else " a week"
