"""One thing that may be asked: the words that tell it, and the question made of a sentence."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from bot.records.questions import Question
from bot.understanding.sentence import Sentence

_STRONG = 3.0
_MOST_HINTS = 3
NEEDED = 3.0  # without a word that tells it by itself, nothing is taken for this


@dataclass(frozen=True, slots=True, kw_only=True)
class Intent:
    """told: words that tell it alone; hints: words that speak for it; never: that speak against.

    make: the question, or None where the sentence lacks what it takes.
    """

    name: str
    told: re.Pattern[str]
    make: Callable[[Sentence], Question | None]
    hints: re.Pattern[str] | None = None
    never: re.Pattern[str] | None = None

    def score(self, sentence: Sentence) -> float:
        """How surely the sentence asks this: 0, or `NEEDED` and up."""
        if not self.told.search(sentence.low):
            return 0.0
        if self.never is not None and self.never.search(sentence.low):
            return 0.0
        hints = set(self.hints.findall(sentence.low)) if self.hints else set()
        return _STRONG + min(_MOST_HINTS, len(hints))


def words(*patterns: str) -> re.Pattern[str]:
    """Any of some patterns, each as whole words."""
    return re.compile(r"(?<!\w)(?:" + "|".join(patterns) + r")(?!\w)")
