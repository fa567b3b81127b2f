"""The composition root: the only wiring. Nothing runs at import."""

from bot.app.rehearsing import rehearse
from bot.app.serving import migrate, run

__all__ = ["migrate", "rehearse", "run"]
