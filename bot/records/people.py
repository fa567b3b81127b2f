"""Who asks, and from where."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Asker:
    """A person on the platform at one place: a room of a community, or (guild_id None) a
    private conversation. private: only they will see the answer;
    locale: their client's language, None where the platform does not tell."""

    user_id: int
    name: str
    guild_id: int | None
    private: bool
    locale: str | None = None
