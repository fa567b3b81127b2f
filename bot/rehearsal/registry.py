"""The commands a bot has registered, global and per community."""

import asyncio
from collections import Counter

from bot.rehearsal.rules.commands import check_command, check_set
from bot.rehearsal.rules.errors import Json, refuse
from bot.rehearsal.world import World

CREATES_PER_DAY = 200


class Registry:
    """The registered commands by scope: None for global ones, else the community's id."""

    def __init__(self, world: World) -> None:
        self._world = world
        self.scopes: dict[int | None, dict[str, Json]] = {None: {}}
        self.synced = asyncio.Event()
        self._created: Counter[tuple[int | None, str]] = Counter()

    def visible(self, guild_id: int | None) -> list[Json]:
        """The commands that exist in this place."""
        commands = list(self.scopes[None].values())
        if guild_id is not None:
            commands += self.scopes.get(guild_id, {}).values()
        return commands

    def listed(self, scope: int | None) -> list[Json]:
        """The commands of one scope."""
        return list(self.scopes.get(scope, {}).values())

    def replace(self, scope: int | None, body: object) -> list[Json]:
        """Bulk overwrite: commands left out are deleted."""
        commands = check_set(body)
        before = {(c["name"], c["type"]): c for c in self.listed(scope)}
        stored: dict[str, Json] = {}
        for command in commands:
            old = before.get((command["name"], command.get("type", 1)))
            made = self._stored(scope, command, old)
            stored[made["id"]] = made
        self.scopes[scope] = stored
        self.synced.set()
        return list(stored.values())

    def upsert(self, scope: int | None, body: object) -> tuple[Json, bool]:
        """Create a command, or overwrite the one of that name; tells whether it is new."""
        command = check_command(body)
        key = (command["name"], command.get("type", 1))
        known = {(c["name"], c["type"]): c for c in self.listed(scope)}
        check_set([{**c} for k, c in known.items() if k != key] + [command])
        made = self._stored(scope, command, known.get(key))
        self.scopes.setdefault(scope, {})[made["id"]] = made
        self.synced.set()
        return made, key not in known

    def edit(self, scope: int | None, command_id: str, body: object) -> Json:
        """Change parts of a command."""
        old = self.find(scope, command_id)
        changes = body if isinstance(body, dict) else {}
        made = self._stored(scope, check_command({**old, **changes}), old)
        self.scopes[scope][command_id] = made
        return made

    def find(self, scope: int | None, command_id: str) -> Json:
        """One command, or the platform's refusal."""
        command = self.scopes.get(scope, {}).get(command_id)
        if command is None:
            raise refuse(10063)
        return command

    def delete(self, scope: int | None, command_id: str) -> None:
        """Remove one command."""
        self.find(scope, command_id)
        del self.scopes[scope][command_id]

    def _stored(self, scope: int | None, command: Json, old: Json | None) -> Json:
        if old is None:
            key = (scope, self._world.stamp()[:10])
            self._created[key] += 1
            if self._created[key] > CREATES_PER_DAY:
                raise refuse(30034)
        made: Json = {
            "description": "",
            "type": 1,
            "dm_permission": True,
            "default_member_permissions": None,
            "nsfw": False,
            "integration_types": [0],
            "contexts": None,
            **command,
            "id": old["id"] if old else str(self._world.snowflakes.next()),
            "application_id": str(self._world.bot_id),
            "version": str(self._world.snowflakes.next()),
        }
        if scope is not None:
            made["guild_id"] = str(scope)
        return made
