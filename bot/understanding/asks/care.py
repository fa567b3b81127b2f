"""pH, source water, warm water, cleaning."""

from __future__ import annotations

import re
from typing import Final

from bot.records.questions import Clean, Heat, Ph, Question, Source
from bot.understanding.asks.intent import Intent, words
from bot.understanding.sentence import Mention, Sentence

_NUMBER: Final = r"\d{1,2}(?:[.,]\d{1,2})?"
_VOLUME: Final = (
    r"(?:\d+(?:[.,]\d+)?|an?|one|half an?|half) ?(?:us |uk )?(?:gal\w*|l|lit(?:er|re)s?|ltrs?|jugs?|"
    r"quarts?|cups?|ml)"
)


def ph(s: Sentence) -> Question | None:
    """The reading, the drops and the jug that they went into, and the level now."""
    drops = s.found(r"(\d+(?:\.\d+)?|an?|two|three) ?drops?\b") or s.found(
        r"\bdrops?[: ]+(\d+(?:\.\d+)?)"
    )
    jug = _jug(s) if drops else None
    reading = s.found(
        rf"\bph\b(?: (?:is|was|of|at|reads|reading|says|shows|came|out|up|now|still|about|around|a|went|got|it's|has|tests?|to|like)|[:=,])* ?({_NUMBER})\b"
    )
    reading = reading or s.found(rf"\b({_NUMBER}) ?ph\b")
    if reading is None and (
        found := s.found(
            rf"(?:meter|pen|reads?|reading|says|it's|at|is) ({_NUMBER})\b(?! ?(?:gal|l\b|drops|ml|in\b|%))"
        )
    ):
        reading = found if 3 <= float(found.replace(",", ".")) <= 10 else None
    if not drops:
        return Ph(tower=s.tower_name, ph=reading, level=s.level_text)
    level, tank = _standing(s, jug)
    return Ph(tower=s.tower_name, ph=reading, drops=drops.replace("an", "1") if drops in ("a", "an") else drops,
              jug=jug, level=level, tank=tank)  # fmt: skip


def _jug(s: Sentence) -> str | None:
    """What was tested: the volume beside the drops."""
    found = s.found(
        rf"drops? (?:of \S+ )?(?:\S+ )?(?:per|in|into|to|for|a|each) (?:my |the |a )?({_VOLUME})\b"
    )
    found = found or s.found(
        rf"\b(?:tested|test|tried|took|sample of|sampled|in|put|jug of|a) (?:out |on |with )?({_VOLUME})\b"
    )
    found = found or s.found(rf"({_VOLUME}) (?:of (?:tank )?(?:water|solution)|jug|sample|test)")
    return re.sub(r"^(?:an?|one)\b", "1", found) if found else None


def _standing(s: Sentence, jug: str | None) -> tuple[str | None, str | None]:
    """How full the tank is now, and the size of the tank, where they are said."""
    volumes = [
        m for m in s.volumes if not (jug and m.text in jug) and m.unit not in ("ml", "drop", "cup")
    ]
    level = s.level_text
    if level is None and volumes:
        level = volumes[-1].text
    tank = next(
        (m.text for m in volumes if m.text != level and m.precedes(("tank", "full"), 2)), None
    )
    return level, tank


def source(s: Sentence) -> Question | None:
    """Which water, and what a report says of it."""
    unit = r"(?:mg ?/ ?l\w*|mg per l\w*|milligrams? (?:per|a) lit\w*|ppm|gpg|grains?(?: ?(?:/|per|a) ?(?:us )?gal\w*)?|° ?dh|dh|dkh|mmol(?:/l)?)"
    hardness = s.found(rf"(\d[\d.,]*) ?{unit}")
    alkalinity = None
    if "alkalinity" in s.low and "hardness" not in s.low:
        alkalinity, hardness = _measured(s, unit), None
    elif hardness:
        hardness = _measured(s, unit)
    kind = next((kind for kind, rule in _WATERS if re.search(rule, s.low)), None)
    sodium = s.found(r"sodium(?: is| of| at|:)* (\d[\d.]*)")
    treated = s.found(r"\b(chloramine|chlorine)\b")
    return Source(tower=s.tower_name, water=kind, hardness=hardness, alkalinity=alkalinity, sodium=sodium,
                  treated=treated)  # fmt: skip


def _measured(s: Sentence, unit: str) -> str | None:
    """The number with its unit."""
    match = re.search(rf"\d[\d.,]* ?{unit}", s.low)
    return s.text[match.start() : match.end()] if match else None


_WATERS: Final = (
    ("softened", r"\bsoften"),
    ("ro", r"\br\.?o\.?\b|reverse osmosis|distilled"),
    ("rain", r"\brain|roof"),
    ("well", r"\bwell\b(?! (?:water )?is)(?: water)|\bfrom (?:a|the|our|my) well\b|\bwell water\b"),
)


def heat(s: Sentence) -> Question | None:
    """How warm it is, how cool it shall be, and how much water there is."""
    warm = [m for m in s.mentions if m.kind == "temperature"]
    loose = [m for m in s.bare if m.follows(("to", "at", "is", "water", "reads", "reading", "hit", "temp", "temperature"), 2)
             and 10 <= m.number <= 110 and not m.precedes(("gal", "l", "bottles"), 1)]  # fmt: skip
    readings = sorted({*warm, *loose}, key=lambda m: m.start)
    aim = next(
        (m for m in readings if m.follows(("to", "under", "below", "want", "target", "aim"), 2)),
        None,
    )
    now = next((m for m in readings if m is not aim), None)
    if now is None:
        return Heat(tower=s.tower_name, level=_water(s))
    unit = next((m.unit for m in warm if m.unit), "")
    return Heat(tower=s.tower_name, temp=_degrees(now, unit), to=_degrees(aim, unit) if aim else None,
                level=_water(s))  # fmt: skip


def _degrees(one: Mention, unit: str) -> str:
    return one.text if one.unit else f"{one.text} {unit}".strip()


def _water(s: Sentence) -> str | None:
    """The water in the tank; never the bottles of ice."""
    ice = ("bottle", "bottles", "frozen", "ice", "jugs")
    found = [m for m in s.volumes if not m.precedes(ice, 2) and not m.follows(("frozen", "ice"), 2)]
    return s.level_text or (found[0].text if found else None)


def clean(s: Sentence) -> Question | None:
    """How much water, and how strong the bleach is."""
    label = s.per_cent()
    return Clean(tower=s.tower_name, water=s.volumes[0].text if s.volumes else None, label=label)


INTENTS: Final = (
    Intent(
        name="ph_jug_test",
        told=words(
            r"ph(?: |-)?(?:down|up|minus|plus)",
            r"drops? .{0,40}",
            r"ph\b.{0,60}(?:how much|add|lower|raise|bring|fix|adjust|correct|drop it|get it|too high|too low|what do i do)",
            r"(?:how much|lower|raise|bring|fix|adjust|correct).{0,40}\bph",
            r"jug test",
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
