"""What sentences ask, an area a file: the words that tell it, and how its question is filled."""

from __future__ import annotations

from typing import Final

from bot.understanding.asks import care, feeding, people, plants, symptoms, tank
from bot.understanding.asks.intent import Intent

ALL: Final[tuple[Intent, ...]] = (
    *feeding.INTENTS,
    *care.INTENTS,
    *tank.INTENTS,
    *plants.INTENTS,
    *people.INTENTS,
    *symptoms.INTENTS,
)
