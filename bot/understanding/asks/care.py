"""pH, source water, warm water, cleaning."""

from __future__ import annotations

import re
from typing import Final

from bot.records.questions import Clean, Heat, Ph, Question, Source, Unsure
from bot.understanding.asks.intent import Intent, words
from bot.understanding.sentence import Mention, Sentence

_NUMBER: Final = r"\d{1,2}(?:[.,]\d{1,2})?"
_VOLUME: Final = (
    r"(?:\d+(?:[.,]\d+)?|an?|one|half an?|half) ?(?:us |uk )?(?:gal\w*|l|lit(?:er|re)s?|ltrs?|jugs?|"
    r"quarts?|cups?|ml)"
)


def ph(s: Sentence) -> Question | None:
    """The reading, the drops and the jug that they went into, and the level now."""
    found = list(
        re.finditer(
            r"(\d+(?:\.\d+)?|an?) ?drops?\b( (?:to the|per|in a|a|/) ?(?:ml|millil\w+))?", s.low
        )
    )
    per_ml = next((m[1] for m in found if m[2]), None)
    told = [m[1] for m in found if not m[2]]
    if len(set(told)) > 1 or s.found(r"\d ?(?:-|to|or) ?\d+ ?drops"):
        return Unsure(
            read="", rest=", ".join(f"{n} drops" for n in told)
        )  # which of them is the test
    drops = told[0] if told else s.found(r"\bdrops?[: ]+(\d+(?:\.\d+)?)")
    if s.found(r"\b(?:bottle|label|packet|sheet|instructions?)\b.{0,12}\bsays?\b") and not s.found(
        r"test|tried|took|brought"
    ):
        drops = None  # a label's figure is no jug test
    drops = {"a": "1", "an": "1"}.get(drops or "", drops)
    if not drops:
        return Ph(tower=s.tower_name, ph=_reading(s), level=s.level_text)
    jug = _jug(s)
    level, tank = _standing(s, jug)
    bottle = (
        " down"
        if s.found(r"\bph ?-?(?:down|minus)\b")
        else " up"
        if s.found(r"\bph ?-?(?:up|plus)\b")
        else ""
    )
    return Ph(
        tower=s.tower_name,
        ph=_reading(s),
        drops=drops + bottle,
        jug=jug,
        level=level,
        tank=tank,
        per_ml=per_ml,
    )


def _reading(s: Sentence) -> str | None:
    """What the pH is: the first number that can be one, and is no aim."""
    aims = ("to", "at", "under", "reach", "want", "target")
    likely = [
        m
        for m in s.mentions
        if m.kind in ("number", "fraction")
        and 3 <= m.number <= 10
        and not m.precedes(("drops", "drop", "gal", "ml", "in", "l", "litres", "of", "days"), 1)
        and re.fullmatch(r"\d{1,2}(?:[.,]\d{1,2})?", m.text)
    ]
    told = [m for m in likely if "." in m.text or "," in m.text or m.follows(("ph",), 3)]
    now = [
        m for m in told if not m.before[:1] or m.before[0] not in aims or m.follows(("from",), 1)
    ]
    back = [m for m in told if m.follows(("from",), 1)]
    first = (back or now)[:1]
    return first[0].text if first else None


def _jug(s: Sentence) -> str | None:
    """What was tested: the volume beside the drops."""
    bare = s.found(r"drops? (?:of \S+ )?(?:per|/|a|each|in a|in 1) ?(gal\w*|l|lit\w+|quarts?)\b")
    if bare:
        return f"1 {bare}"
    found = s.found(
        rf"drops? (?:of \S+ )?(?:\S+ )?(?:per|in|into|to|for|a|each) (?:my |the |a )?({_VOLUME})\b"
    )
    found = found or s.found(rf"\b({_VOLUME}) of (?:the |my )?(?:tank )?(?:water|solution)\b")
    found = found or s.found(
        rf"\b(?:tested|test|tried|took|sample of|sampled|in|put|jug of|a) (?:out |on |with )?({_VOLUME})\b"
    )
    found = found or s.found(rf"\b({_VOLUME}),? (?:and )?\d+ drops")
    found = found or s.found(rf"({_VOLUME}) (?:of (?:tank )?(?:water|solution)|jug|sample|test)")
    return re.sub(r"^(?:an?|one)\b", "1", found) if found else None


def _standing(s: Sentence, jug: str | None) -> tuple[str | None, str | None]:
    """How full the tank is now, and the size of the tank, where they are said."""
    volumes = [
        m
        for m in s.volumes
        if not (jug and _same(m.text, jug)) and m.unit not in ("ml", "drop", "cup")
    ]
    level = s.level_text
    if level and jug and _same(level, jug):
        level = s.found(r"\b(full|(?:a )?half|(?:a |three )?quarters?|(?:a |two )?thirds?)\b")
    level = level or s.found(r"\btank(?:'s| is)? (full|half|(?:a )?quarter|three quarters)\b")
    if level is None and volumes:
        level = volumes[-1].text
    tank = next(
        (m.text for m in volumes if m.text != level and m.precedes(("tank", "full"), 2)), None
    )
    return level, tank


def _same(one: str, other: str) -> bool:
    """Two ways to say one amount: "a quart", "1 quart"."""
    plain_one, plain_other = (
        re.sub(r"^(?:an?|one)\b", "1", t.casefold()).strip() for t in (one, other)
    )
    return plain_one in plain_other or plain_other in plain_one


def source(s: Sentence) -> Question | None:
    """Which water, and what a report says of it."""
    unit = r"(?:mg ?/ ?l\w*|mg per l\w*|milligrams? (?:per|a) lit\w*|ppm|gpg|grains?(?: ?(?:/|per|a) ?(?:us )?gal\w*)?|° ?dh|dh|dkh|mmol(?:/l)?)"
    hardness = s.found(rf"(\d[\d.,]*) ?{unit}")
    bare = s.found(r"\b(?:hardness|hard)(?: is| of| at|:)* (\d[\d.]*)") if not hardness else None
    alkalinity = None
    if "alkalinity" in s.low and "hardness" not in s.low:
        alkalinity, hardness = _measured(s, unit), None
    elif hardness:
        hardness = _measured(s, unit)
    hardness = hardness or bare
    if s.level and not s.found(r"hard|soften|report"):
        return None  # the water of a top-up
    kind = next((kind for kind, rule in _WATERS if re.search(rule, s.low)), None)
    sodium = s.found(r"sodium(?: is| of| at|:)* (\d[\d.]*)")
    treated = s.found(r"\b(chloramine|chlorine)\b")
    return Source(tower=s.tower_name, water=kind, hardness=hardness, alkalinity=alkalinity, sodium=sodium,
                  treated=treated)  # fmt: skip


def _measured(s: Sentence, unit: str) -> str | None:
    """The number with its unit."""
    match = re.search(rf"\d[\d.,]* ?{unit}", s.low)
    if match is None:
        return None
    return re.sub(r"milligrams? (?:per|a) \w+", "mg/l", s.text[match.start() : match.end()])


_WATERS: Final = (
    ("softened", r"\bsoften"),
    ("ro", r"\br\.?o\.?\b|reverse osmosis|distilled"),
    ("rain", r"\brain|roof"),
    ("well", r"\bwell\b(?! (?:water )?is)(?: water)|\bfrom (?:a|the|our|my) well\b|\bwell water\b"),
)


def heat(s: Sentence) -> Question | None:
    """How warm it is, how cool it shall be, and how much water there is: the warmer is now."""
    found = [m for m in s.mentions if m.kind == "temperature" or _degrees_bare(m)]
    unit = next((m.unit for m in found if m.unit), "")
    if not found:
        return Heat(tower=s.tower_name, level=_water(s))
    now = max(found, key=lambda m: m.number)
    aim = min(found, key=lambda m: m.number)
    if len(found) == 1 and now.follows(("to", "under", "below", "want"), 2):
        return Heat(tower=s.tower_name, to=_degrees(now, unit), level=_water(s))
    return Heat(
        tower=s.tower_name,
        temp=_degrees(now, unit),
        to=_degrees(aim, unit) if aim.number < now.number else None,
        level=_water(s),
    )


def _degrees_bare(one: Mention) -> bool:
    """A bare number that a thermometer may show, and that nothing else counts."""
    if one.kind != "number" or not _COOLEST <= one.number <= _HOTTEST:
        return False
    return one.precedes(("degrees", "degree", "deg"), 1) or not one.precedes(_COUNTED, 1)


_COOLEST, _HOTTEST = 12, 110
_COUNTED: Final = frozenset(
    "bottles bottle gal gallon gallons l liters litres days hours frozen ice big small 1l am pm of".split()
)


def _degrees(one: Mention, unit: str) -> str:
    return one.text if one.unit else f"{one.text} {unit}".strip()


def _water(s: Sentence) -> str | None:
    """The water in the tank; never the bottles of ice."""
    ice = ("bottle", "bottles", "frozen", "ice", "jugs")
    found = [m for m in s.volumes if not m.precedes(ice, 2) and not m.follows(("frozen", "ice"), 2)]
    return s.level_text or (found[0].text if found else None)


def clean(s: Sentence) -> Question | None:
    """How much water, and how strong the bleach is."""
    percent = s.per_cent()
    label = percent.replace("percent", "%").replace("per cent", "%") if percent else None
    volumes = [m for m in s.volumes if m.unit not in ("ml", "cup")]
    part = (
        s.level_text
        if s.level_text and re.search(r"half|quarter|third|cm|inch", s.level_text)
        else None
    )
    depth = s.found(r"(?:only )?fill(?: it)? to (\d+ ?(?:cm|in\w*))")
    return Clean(
        tower=s.tower_name,
        water=volumes[0].text if volumes else None,
        label=label,
        level=depth or part,
    )


def how_hot(s: Sentence) -> str | None:
    """What is said of the weather, or of the place, where roots dry."""
    warm = next((m.text for m in s.mentions if m.kind == "temperature"), None)
    if s.found(
        r"\b(indoors?|inside|living room|kitchen|basement|cellar|under (?:the )?lamp|closet|bedroom)\b"
    ):
        return "indoor"
    if warm:
        return warm
    degrees = s.found(r"\b(\d{2,3}) ?(?:degrees|deg|out(?:side)?\b)")
    if degrees:
        return degrees
    if s.found(r"\b(hot|heat\w*|sun|sunny|scorching|blazing|summer|boiling|baking)\b"):
        return "hot"
    if s.found(r"\b(mild|cool|cold|cloudy|overcast|night|shade|spring|autumn|fall)\b"):
        return "mild"
    return None


INTENTS: Final = (
    Intent(
        name="ph_jug_test",
        told=words(
            r"ph(?: |-)?(?:down|up|minus|plus)",
            r"drops? .{0,40}",
            r"ph\b.{0,60}(?:how much|add|lower|raise|bring|fix|adjust|correct|drop it|get it|too high|too low|what do i do)",
            r"(?:how much|lower|raise|bring|fix|adjust|correct).{0,40}\bph",
            r"jug test",
            r"ph\b.{0,70}(?:how many|ml|what now)",
        ),
        hints=words("ph", "drops?", "tested", "test", "full", "half", "jug"),
        never=words(r"drops? (?:a|per|each) (?:day|night|week)", r"water drops"),
        make=lambda s: ph(s) if "ph" in s.words or "drop" in s.low else None,
    ),
    Intent(
        name="source_water",
        told=words(
            r"hardness",
            r"hard water",
            r"(?:is|that|water|so|it'?s) (?:very |too |really )?(?:hard|soft)",
            r"soften\w*",
            r"grains?",
            r"gpg",
            r"alkalinity",
            r"(?:water|utility) report",
            r"chloramine",
            r"switch\w* .{0,30}(?:r\.?o\.?|rain|well|distilled).{0,40}",
            r"(?:to|use|using) (?:r\.?o\.?|rain ?water|distilled|well water)(?: water)?",
            r"(?:can|should|ok|okay|good|safe).{0,30}(?:rain ?water|well water|r\.?o\.?|distilled|tap water)",
            r"mg ?/ ?l",
        ),
        hints=words(
            "water", "report", "hard", "grains?", "mg", "ppm", "tap", "well", "usable", "ok"
        ),
        never=words(r"top(?:ping)? up", r"what do i add", r"want \d"),
        make=source,
    ),
    Intent(
        name="cool_tank",
        told=words(
            r"frozen",
            r"freezer",
            r"ice",
            r"cool (?:it|the|my|down|\d)\w*",
            r"cool(?:ing)?",
            r"too (?:hot|warm)",
            r"overheat\w*",
            r"chill",
        ),
        hints=words("bottles?", "water", "tank", "temp", "degrees", "how many"),
        never=words(r"keep cool", r"cool place", r"germinat\w*"),
        make=heat,
    ),
    Intent(
        name="cleaning",
        told=words(r"bleach\w*", r"saniti[sz]\w*", r"disinfect\w*", r"sterili[sz]\w*"),
        hints=words("empty", "emptied", "clean", "tank", "how much", "rinse", "drained"),
        make=clean,
    ),
)
