"""pH, source water, warm water, cleaning."""

from __future__ import annotations

import re
from typing import Final

from bot.records.questions import Clean, Heat, Outage, Ph, Question, Source, Unsure
from bot.understanding.sentence import Mention, Numbers, Sentence

# No drops to go by: guessed, gone too far, put in already, or of something that is no pH bottle.
_NO_TEST: Final = r"\b(guess\w*|no test|not tested|untested|overshot|too far|ago|lemon\w*|vinegar|battery|lime|baking)\b"


def ph(s: Sentence, n: Numbers) -> Question | None:
    """The reading, the drops and the jug that they went into, and the level now."""
    fine = s.found(r"\b(?:ok|okay|fine|good|all right|alright)\b")
    if fine and s.found(r"\b(?:ec|meter|ppm|cf)\b") and not s.found(r"\bdrops?\b"):
        return None  # readings to be judged together
    drops = _drops(s, n)
    if isinstance(drops, Unsure):
        return drops
    reading = _reading(s, n)
    if drops is None:
        return Ph(tower=s.tower_name, ph=reading, level=s.level_text)
    if wrong := s.found(_NO_TEST):
        return Unsure(read=drops, rest=wrong)
    jug = _jug(s, n)
    level, tank = _standing(s, n, jug)
    bottle = next((kind for kind, rule in _BOTTLES if s.found(rule)), "")
    return Ph(
        tower=s.tower_name,
        ph=reading,
        drops=drops + bottle,
        jug=jug,
        level=level,
        tank=tank,
        per_ml=n.text("per_ml"),
    )


_BOTTLES: Final = (
    (" down", r"\bph[ -]?(?:down|minus)\b"),
    (" up", r"\bph[ -]?(?:up|plus)\b"),
)


def _drops(s: Sentence, n: Numbers) -> str | Unsure | None:
    """The drops of the test; a label's figure is none."""
    told = [re.sub(r"\D*drops?\D*$", "", m.text).strip() for m in n.all("drops")]
    told = [{"a": "1", "an": "1"}.get(one, one) for one in told]
    every = set(
        re.findall(
            r"(\d+(?:\.\d+)?) ?drops?\b(?! (?:to the|per|in 1|in a|a|/) ?(?:1 )?(?:ml|millil))",
            s.low,
        )
    )
    if len(set(told)) > 1 or len(every) > 1 or s.found(r"\d ?(?:-|to|or) ?\d+ ?drops"):
        rest = ", ".join(f"{one} drops" for one in told)
        return Unsure(read="", rest=rest)  # which of them is the test
    label = r"\b(?:bottle|label|packet|sheet|instructions?)\b.{0,12}\bsays?\b"
    if s.found(label) and not s.found(r"test|tried|took|brought"):
        return None
    return told[0] if told else None


def _reading(s: Sentence, n: Numbers) -> str | None:
    """What the pH is."""
    told = n.one("ph")
    if told is None:
        return s.found(r"\bph\b[^.;\d]{0,25}?(\d{1,2}(?:[.,]\d+)?)(?! ?drops?)")
    return told.text


def _jug(s: Sentence, n: Numbers) -> str | None:
    """What was tested."""
    bare = s.found(r"drops? (?:of \S+ )?(?:per|/|a|each|in a|in 1) ?(gal\w*|l|lit\w+|quarts?)\b")
    if bare:
        return f"1 {bare}"
    found = n.one("sample")
    if found is None:
        return "1 jug" if s.found(r"\b(?:my|the|own|1|a) jug\b") else None
    return re.sub(r"^(?:an?|one)\b", "1", s.water(found) or "")


def _standing(s: Sentence, n: Numbers, jug: str | None) -> tuple[str | None, str | None]:
    """How full the tank is now, and the size of the tank, where they are said."""
    level, told = s.level_text, n.one("level")
    if level and jug and _same(level, jug):
        level = s.found(r"\b(full|(?:a )?half|(?:a |three )?quarters?|(?:a |two )?thirds?)\b")
    if told is not None and told.kind == "volume" and (level is None or told.text not in level):
        level = level if level and re.search(r"\d|half|third|quarter", level) else s.water(told)
    tank = n.water("tank")
    if level is None and tank is not None:
        level, tank = tank, None  # "for the 16": as much as there is
    return level, tank


def _same(one: str, other: str) -> bool:
    """Two ways to say one amount: "a quart", "1 quart"."""
    plain_one, plain_other = (
        re.sub(r"^(?:an?|one)\b", "1", t.casefold()).strip() for t in (one, other)
    )
    return plain_one in plain_other or plain_other in plain_one


def source(s: Sentence, n: Numbers) -> Question | None:
    """Which water, and what a report says of it."""
    if s.found(r"\btest") and not s.found(
        r"hard|soft|report|mg|grain|ppm|well|rain|\br\.?o\b|alkal"
    ):
        found = s.found(r"\b([4-9][.,]\d)\b")
        return Ph(tower=s.tower_name, ph=found) if found else None
    unit = r"(?:mg ?/ ?l\w*|mg per l\w*|milligrams? (?:per|a) lit\w*|ppm|gpg|grains?(?: ?(?:/|per|a) ?(?:us )?gal\w*)?|° ?dh|dh|dkh|mmol(?:/l)?)"
    hardness = s.found(rf"(\d[\d.,]*) ?{unit}")
    bare = s.found(r"\b(?:hardness|hard)(?: is| of| at|:)* (\d[\d.]*)") if not hardness else None
    alkalinity = None
    if "alkalinity" in s.low and "hardness" not in s.low:
        alkalinity, hardness = _measured(s, unit), None
    elif hardness:
        hardness = _measured(s, unit)
    hardness = hardness or bare
    hardness = hardness or (None if alkalinity else n.text("hardness"))
    kind = next((kind for kind, rule in _WATERS if re.search(rule, s.low)), None)
    sodium = s.found(r"sodium(?: is| of| at|:)* (\d[\d.]*)") or n.text("sodium")
    treated = s.found(r"\b(chloramine|chlorine)\b")
    grains = n.all("hardness")
    left = grains[1] if kind == "softened" and len(grains) > 1 else None
    unit_of = re.search(r"\b(grains?|gpg)\b", s.low)
    return Source(tower=s.tower_name, water=kind, hardness=hardness, alkalinity=alkalinity,
                  sodium=sodium, treated=treated,
                  left=f"{left.number:g} {unit_of[0] if unit_of else 'mg/L'}" if left else None)  # fmt: skip


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


def heat(s: Sentence, n: Numbers) -> Question | None:
    """How warm it is, how cool it shall be, how much water there is, and the bottles of ice."""
    now, aim = n.one("temp"), n.one("temp_goal")
    unit = next((m.unit for m in (now, aim) if m is not None and m.kind == "temperature"), "")
    level = n.one("level", "tank")
    bottle = n.one("bottle")
    return Heat(
        tower=s.tower_name,
        temp=_degrees(now, unit),
        to=_degrees(aim, unit),
        level=_standing_now(s, level),
        bottle=s.water(bottle) if bottle is not None and bottle.kind == "volume" else None,
    )


def _standing_now(s: Sentence, level: Mention | None) -> str | None:
    """A share of the tank where one is told, else the water that is told."""
    told = s.level_text
    if (
        level is None
        or level.kind == "fraction"
        or (told and re.search(r"half|third|quarter|/", told))
    ):
        return told
    return s.water(level)


def _degrees(one: Mention | None, unit: str) -> str | None:
    if one is None:
        return None
    return one.text if one.kind == "temperature" else f"{one.text} {unit}".strip()


def clean(s: Sentence, n: Numbers) -> Question | None:
    """How much water, and how strong the bleach is."""
    told = n.one("label")
    label = f"{told.number * 100:g} %" if told is not None and told.unit == "percent" else None
    water = n.one("tank", "level")
    part = s.level_text
    part = part if part and re.search(r"half|quarter|third|cm|inch", part) else None
    depth = s.found(r"(?:only )?fill(?: it)? to (\d+ ?(?:cm|in\w*))")
    return Clean(
        tower=s.tower_name,
        water=s.water(water) if water is not None and water.kind in ("volume", "number") else None,
        label=label or (f"{told.text} %" if told is not None else None),
        level=depth or part,
        beside=s.found(r"\b(vinegar|acid|ammonia|peroxide|ph[ -]?down)\b"),
    )


def power_cut(s: Sentence, _: Numbers | None = None) -> Question:
    """No water at the roots: the steps, and how often to pour by the weather."""
    if s.found(
        r"\b(?:power|current|electricity|it)(?:'s| is| came| has come)? back\b(?! (?:at|by|in|on|tomorrow|later))|\b(?:outage|cut) (?:is )?over\b"
    ):
        return Outage(tower=s.tower_name, step="back")
    return Outage(tower=s.tower_name, heat=how_hot(s))


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
