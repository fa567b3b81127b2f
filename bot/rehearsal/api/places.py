"""The bot itself, its commands, people, communities and channels."""

from bot.rehearsal.api.calls import DONE, Call, Reply, Route, whole
from bot.rehearsal.rules.errors import refuse
from bot.rehearsal.world import Account, Guild


def gateway(call: Call) -> Reply:
    """GET the gateway's address."""
    return 200, {"url": call.board.gateway.url}


def gateway_bot(call: Call) -> Reply:
    """GET the gateway's address, with how many sessions may start."""
    left = 1000 - call.board.gateway.identifies
    limit = {"total": 1000, "remaining": left, "reset_after": 86_400_000, "max_concurrency": 1}
    return 200, {"url": call.board.gateway.url, "shards": 1, "session_start_limit": limit}


def me(call: Call) -> Reply:
    """GET the bot's user."""
    return 200, call.board.payloads.bot()


def application(call: Call) -> Reply:
    """GET the application."""
    return 200, call.board.payloads.application()


def my_guilds(call: Call) -> Reply:
    """GET the communities the bot is in."""
    guilds = [guild for guild in call.board.world.guilds.values() if guild.bot_present]
    return 200, [{"id": str(g.id), "name": g.name, "owner": False} for g in guilds]


def open_private(call: Call) -> Reply:
    """POST: the private channel with a person. It opens even where writing is refused."""
    person = call.board.world.people.get(whole(str(call.form.get("recipient_id", "")), 10013))
    if person is None:
        raise refuse(10013)
    return 200, call.board.payloads.channel(person.private)


def user(call: Call, user_id: str) -> Reply:
    """GET a person."""
    wanted = whole(user_id, 10013)
    if wanted == call.board.world.bot_id:
        return me(call)
    person = call.board.world.people.get(wanted)
    if person is None:
        raise refuse(10013)
    return 200, call.board.payloads.user(person)


def channel(call: Call, channel_id: str) -> Reply:
    """GET a channel."""
    return 200, call.board.payloads.channel(call.board.room_for_bot(whole(channel_id, 10003)))


def _guild(call: Call, guild_id: str) -> Guild:
    guild = call.board.world.guilds.get(whole(guild_id, 10004))
    if guild is None or not guild.bot_present:
        raise refuse(10004)
    return guild


def guild(call: Call, guild_id: str) -> Reply:
    """GET a community."""
    return 200, call.board.payloads.guild(_guild(call, guild_id))


def roles(call: Call, guild_id: str) -> Reply:
    """GET the roles of a community."""
    return 200, call.board.payloads.roles(_guild(call, guild_id))


def channels(call: Call, guild_id: str) -> Reply:
    """GET the rooms of a community."""
    found = [c for c in _guild(call, guild_id).channels if not c.deleted]
    return 200, [call.board.payloads.channel(c) for c in found]


def member(call: Call, guild_id: str, user_id: str) -> Reply:
    """GET a member of a community."""
    place = _guild(call, guild_id)
    wanted = whole(user_id, 10013)
    if wanted == call.board.world.bot_id:
        return 200, call.board.payloads.bot_member(place)
    person: Account | None = call.board.world.people.get(wanted)
    if person is None:
        raise refuse(10013)
    if person not in place.people:
        raise refuse(10007)
    return 200, call.board.payloads.member(place, person)


def _scope(call: Call, app: str, guild_id: str | None) -> int | None:
    if app != str(call.board.world.bot_id):
        raise refuse(10002)
    if guild_id is None:
        return None
    found = call.board.world.guilds.get(whole(guild_id, 10004))
    if found is None or not found.bot_present:
        raise refuse(50001)
    return found.id


def list_commands(call: Call, app: str, guild_id: str | None = None) -> Reply:
    """GET the registered commands of a scope."""
    return 200, call.board.registry.listed(_scope(call, app, guild_id))


def replace_commands(call: Call, app: str, guild_id: str | None = None) -> Reply:
    """PUT the whole set."""
    return 200, call.board.registry.replace(_scope(call, app, guild_id), call.body)


def create_command(call: Call, app: str, guild_id: str | None = None) -> Reply:
    """POST one command."""
    made, new = call.board.registry.upsert(_scope(call, app, guild_id), call.form)
    return (201 if new else 200), made


def read_command(call: Call, app: str, *rest: str) -> Reply:
    """GET one command."""
    scope = _scope(call, app, rest[0] if len(rest) == 2 else None)
    return 200, call.board.registry.find(scope, rest[-1])


def edit_command(call: Call, app: str, *rest: str) -> Reply:
    """PATCH one command."""
    scope = _scope(call, app, rest[0] if len(rest) == 2 else None)
    return 200, call.board.registry.edit(scope, rest[-1], call.form)


def delete_command(call: Call, app: str, *rest: str) -> Reply:
    """DELETE one command."""
    scope = _scope(call, app, rest[0] if len(rest) == 2 else None)
    call.board.registry.delete(scope, rest[-1])
    return DONE


_SETS = (("GET", list_commands), ("PUT", replace_commands), ("POST", create_command))
_ONES = (("GET", read_command), ("PATCH", edit_command), ("DELETE", delete_command))
_COMMANDS = ("/applications/{}/commands", "/applications/{}/guilds/{}/commands")
ROUTES = [
    Route(method="GET", path="/gateway", handler=gateway),
    Route(method="GET", path="/gateway/bot", handler=gateway_bot),
    Route(method="GET", path="/users/@me", handler=me),
    Route(method="GET", path="/users/@me/guilds", handler=my_guilds),
    Route(method="POST", path="/users/@me/channels", handler=open_private),
    Route(method="GET", path="/users/{}", handler=user),
    Route(method="GET", path="/oauth2/applications/@me", handler=application),
    Route(method="GET", path="/applications/@me", handler=application),
    Route(method="GET", path="/channels/{}", handler=channel),
    Route(method="GET", path="/guilds/{}", handler=guild),
    Route(method="GET", path="/guilds/{}/roles", handler=roles),
    Route(method="GET", path="/guilds/{}/channels", handler=channels),
    Route(method="GET", path="/guilds/{}/members/{}", handler=member),
    *(Route(method=m, path=path, handler=h) for path in _COMMANDS for m, h in _SETS),
    *(Route(method=m, path=path + "/{}", handler=h) for path in _COMMANDS for m, h in _ONES),
]
