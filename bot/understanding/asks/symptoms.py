"""Plants that look sick: what is said of it already, for the form's four menus."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from bot.records.questions import Question, Symptoms
from bot.understanding.sentence import Numbers, Sentence

_SAYS: Final[Mapping[str, Mapping[str, str]]] = {
    "where": {
        "low": r"\b(low|lower|bottom) levels?\b|\bat the bottom\b",
        "high": r"\b(high|upper|top) levels?\b|\bat the top\b",
        "side": r"\bone side\b|\bsunny side\b",
        "all": r"\ball over\b|\bevery plant\b|\ball (?:the |my )?plants\b",
    },
    "leaves": {
        "old": r"\b(old|older|oldest|lower|bottom|outer) leaves\b",
        "new": r"\b(new|newest|young|youngest|top|inner|upper) leaves\b",
        "edges": r"\b(tips?|edges?|margins?)\b|\btip ?burn\b",
        "marks": r"\b(spots?|spotty|holes?|specks?|blotch\w*)\b",
        "limp": r"\b(limp|wilt\w*|droop\w*|hanging|floppy|flopped|sad)\b",
    },
    "roots": {
        "slimy": r"\b(slim[ey]\w*|mushy|rot\w*|brown roots)\b|\broots?\b.{0,20}\b(brown|smell\w*|stink\w*|black)\b",
        "tan": r"\btan\b|\btea colou?red\b",
        "white": r"\b(white|cream\w*) roots\b|\broots (?:are |look )?(?:white|cream\w*)\b",
    },
}


_ILL: Final = r"\b(?:yellow\w*|pale|brown\w*|spots?|holes?|limp|wilt\w*|droop\w*|slim\w*|rot\w*|dying|sick|curl\w*|but)\b"


def symptoms(s: Sentence, _: Numbers) -> Question | None:
    """What the sentence tells; the rest is for the menus."""
    if s.found(r"\b(?:great|healthy|lovely|beautiful|thriving|happy)\b") and not s.found(_ILL):
        return None
    told = {
        field: next((value for value, rule in choices.items() if s.found(rule)), None)
        for field, choices in _SAYS.items()
    }
    return Symptoms(text=s.text, **told)
