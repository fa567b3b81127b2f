"""What is said and asks nothing: thanks, a greeting, a yes that nobody asked for."""

from __future__ import annotations

import re
from typing import Final

_SAID: Final = {
    "talk.hello": r"(?:hi|hello|hey|hiya|good (?:morning|afternoon|evening)|morning|evening)(?: there| bot| all| everyone| again)*",
    "talk.welcome": r"(?:ok(?:ay)?,? )?(?:many )?(?:thanks?|thank you|thx|ty|cheers|ta)\b.{0,60}",
    "talk.nothing_open": r"(?:ok(?:ay)?|yes|yeah|yep|no|nope|sure|right|not sure|fine|both|great|cool)",
    "talk.bot": r"(?:are you (?:a )?(?:real|human|robot|bot|person|machine).{0,30}|who are you|what are you)",
}
_RULES: Final = {word: re.compile(rule) for word, rule in _SAID.items()}


def small_talk(said: str) -> str | None:
    """The name of the sentence that answers it; None where it is more than that."""
    return next((word for word, rule in _RULES.items() if rule.fullmatch(said)), None)
