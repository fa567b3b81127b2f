"""What is said to be so and is not: denied, planned, only thought of, or somebody else's.

Nothing of it is written down, whatever its numbers are.
"""

from __future__ import annotations

import re
from typing import Final

# Denied or dreamt: the amount is not in the tank, and nothing may be worked out as if it were.
_DENIED: Final = re.compile(
    r"\b(?:(?:did|has|have|had|was|were|is|are)(?: not|n'?t)|never|nobody|no one|unless|wish\w*|pretend\w*|"
    r"imagin\w*|dream\w*|dreamt|suppos\w*|whether)\b|"
    r"\b(?:to|into|in|from|down) (?:his|hers|her tower|theirs|their tower|the (?:sink|drain|store|shop|market))\b|"
    r"\b(?:sister|brother|neighbou?r|friend|mum|mom|dad|daughter|son)'?s (?:tower|tank)\b"
)
# Still to come, or of another water: nothing happened at the tank yet.
_AHEAD: Final = re.compile(
    r"\b(?:tomorrow|later|next (?:week|month|time|day|change)|will|i'?ll|we'?ll|planned|planning|adding|"
    r"ordered|buy|bought|need|example|wrong|calibrat\w*|target|goal|label)\b|"
    r"\bno (?:full )?change\b|\bnot a full\b|\brain ?(?:water|barrel|butt)?\b|"
    r"\btap(?: water)?(?::| is\b| at\b| reads\b| has\b| ec\b)|"
    r"^(?!it|that|here|today|there|what|let)\w+'s(?: tower| tank)?:|\b(?:my )?(?:friend|neighbou?r|sister|brother)\b"
)


def denied(said: str) -> str | None:
    """The words by which it did not happen, in lower case."""
    found = _DENIED.search(said)
    return found[0] if found else None


def undone(said: str) -> bool:
    """Not to be written down."""
    return _DENIED.search(said) is not None or _AHEAD.search(said) is not None
