"""Who asks, and from where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

# What the bot needs in a community's room, by the platform's names of permissions.
NEEDED: Final = (
    "view_channel", "send_messages", "read_message_history", "pin_messages", "attach_files",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The room of a command or button: what the platform says of it, and of us in it.

    missing: permissions that the bot lacks there, by the platform's names;
    manages: the asker runs the whole server, by the platform's word.
    """

    room_id: int
    room: str = ""
    community: str = ""
    members: int = 0
    missing: tuple[str, ...] = ()
    manages: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asker:
    """A person on the platform at one place: a room of a community, or (guild_id None) a
    private conversation. private: only they will see the answer;
    locale: their client's language, None where the platform does not tell;
    community_id: which community a private button is about, whatever their home is."""

    user_id: int
    name: str
    guild_id: int | None
    private: bool
    locale: str | None = None
    place: Place | None = None
    community_id: int | None = None
