"""A crop by the name that people use for it."""

from __future__ import annotations

import re
from functools import cache
from typing import Final

from rapidfuzz import fuzz, process

from calc.tables import Crop, crops

_CLOSE: Final = 86.0
# What people say for a row of the table; the table's own names need no line here.
_SAID: Final = {
    "lettuce": "lettuce_butterhead",
    "salad": "lettuce_leaf",
    "leaf lettuce": "lettuce_leaf",
    "loose leaf lettuce": "lettuce_leaf",
    "butterhead lettuce": "lettuce_butterhead",
    "butterhead": "lettuce_butterhead",
    "romaine": "lettuce_romaine",
    "cos": "lettuce_romaine",
    "chard": "chard",
    "silverbeet": "chard",
    "bok choy": "pak_choi",
    "bok choi": "pak_choi",
    "mustard": "mizuna",
    "rocket": "arugula",
    "rucola": "arugula",
    "escarole": "endive",
    "spring onion": "green_onion",
    "scallion": "green_onion",
    "green onion": "green_onion",
    "cilantro": "coriander",
    "pepper": "pepper_sweet",
    "bell pepper": "pepper_sweet",
    "sweet pepper": "pepper_sweet",
    "chilli": "pepper_hot",
    "chili": "pepper_hot",
    "hot pepper": "pepper_hot",
    "courgette": "squash_summer",
    "zucchini": "squash_summer",
    "squash": "squash_summer",
    "aubergine": "eggplant",
    "bean": "bean_bush",
    "green bean": "bean_bush",
    "pole bean": "bean_pole",
    "pansy": "viola",
    "cherry tomato": "tomato",
}


@cache
def _names() -> dict[str, str]:
    named = dict(_SAID)
    for crop in crops().values():
        bare = re.sub(r"\(.*?\)", "", crop.name).casefold()
        for name in (crop.id.replace("_", " "), crop.called, *re.split(r"/|,", bare)):
            word = " ".join(name.split())
            if len(word) > 2:
                named.setdefault(word, crop.id)
    return named


def known_crop(text: str) -> Crop | None:
    """The row of the table that `text` means: exact, singular, then a typo of it."""
    word = " ".join(re.sub(r"[^\w\s-]", " ", text).casefold().split())
    for one in (word, _singular(word)):
        if one in _names():
            return crops()[_names()[one]]
    every = list(_names())
    close = process.extractOne(_singular(word), every, scorer=fuzz.ratio, score_cutoff=_CLOSE)
    if close is not None:
        return crops()[_names()[close[0]]]
    inside = [name for name in _names() if len(name) > 3 and re.search(rf"\b{name}\b", word)]
    return crops()[_names()[max(inside, key=len)]] if inside else None


def _singular(word: str) -> str:
    if word.endswith("oes"):
        return word[:-2]
    if word.endswith("ies"):
        return word[:-3] + "y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def crop_names() -> tuple[str, ...]:
    """The table's names, for completion."""
    return tuple(crop.called for crop in crops().values())
