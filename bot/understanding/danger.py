"""Danger outranks arithmetic: sentences that get no amounts, whatever else they ask."""

from __future__ import annotations

import re
from typing import Final

from bot.text import plain

# Cyrillic and Greek letters that pass for Latin ones.
_LOOKALIKES: Final = str.maketrans("асеіӏорхуѕԁһαορν", "aceilopxysdhaopv")

_RULES: Final[tuple[tuple[str, re.Pattern[str]], ...]] = tuple(
    (about, re.compile(pattern))
    for about, pattern in (
        (
            "dry_roots",
            r"\broots?\b[^.?!]{0,40}\b(dry|drying|dried|bone)\b|\bdry(ing)? roots?\b"
            r"|\bpump\b[^.?!]{0,30}\b(broken?|dead|died|stopped|quit|not (working|running)|stuck)\b"
            r"|\bpower\b[^.?!]{0,20}\b(out|outage|cut|off|gone|failed)\b|\bpower ?cut\b",
        ),
        ("electric", r"\b(shock|sparks?|electrocut\w*|wet (plug|outlet|socket|cord|cable))\b"),
        (
            "bleach_mix",
            r"\bbleach\b[^?!]{0,80}\b(vinegar|acid|ammonia|peroxide|ph[ -]?down|cleaner|chlorine)\b"
            r"|\b(vinegar|acid|ammonia|peroxide|ph[ -]?down|cleaner)\b[^?!]{0,80}\bbleach\b",
        ),
        (
            "contact",
            r"\b(pre-?mix|mix|combine|blend|together|same bottle|one bottle|one jug|at once)\b"
            r"[^?!.]{0,60}\b(a (and|&|n|\+) b|both|undiluted|concentrates?|parts|bottles)\b"
            r"|\b(a (and|&|n|\+) b|both|undiluted|concentrates?)\b"
            r"[^?!.]{0,60}\b(pre-?mix\w*|together|same bottle|one bottle|one jug|at once)\b",
        ),
        ("acid", r"\b(sulph?uric|nitric|phosphoric|muriatic|hydrochloric|battery acid|acid)\b"),
        (
            "medical",
            r"\b(ibuprofen|aspirin|paracetamol|medicine|headache|swallow\w*|in my eyes?)\b",
        ),
        ("eat", r"\bsafe to (eat|drink)\b|\bcan (i|we|you) (still )?(eat|drink)\b|\bedible\b"),
        (
            "chemicals",
            r"\b(bleach|chlorine|vinegar|ammonia|peroxide|algaecide|algae killer|fungicide|"
            r"copper sulph?ate|epsom)\b",
        ),
        (
            "pests",
            r"\b(aphids?|mites?|thrips|whitefl\w*|mildew|fungus gnats?|neem|pesticides?|"
            r"insecticid\w*|spray)\b",
        ),
    )
)


def danger(text: str) -> str | None:
    """What makes this sentence one for the safety sentences, or None."""
    undisguised = plain(text).casefold().translate(_LOOKALIKES)
    joined = re.sub(r"\b(?:\w[ .*_-]){3,}\w\b", _closed_up, undisguised)
    return next((about for about, rule in _RULES if rule.search(joined)), None)


def _closed_up(spaced: re.Match[str]) -> str:
    """ "b l e a c h" -> bleach"""
    return re.sub(r"[ .*_-]", "", spaced[0])
