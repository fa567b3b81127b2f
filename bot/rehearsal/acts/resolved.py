"""The data of a command's interaction, with the objects that its options only name."""

from bot.rehearsal.acts.typed import Converter
from bot.rehearsal.payloads import Payloads
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import Account, Channel


def command_data(
    payloads: Payloads,
    person: Account,
    where: Channel,
    command: Json,
    options: list[Json],
    converter: Converter,
) -> Json:
    """What the platform sends as `data` for this command."""
    data: Json = {"id": command["id"], "name": command["name"], "type": 1, "options": options}
    if command.get("guild_id"):
        data["guild_id"] = command["guild_id"]
    resolved: Json = {}
    if converter.users:
        resolved["users"] = {str(u.id): payloads.user(u) for u in converter.users}
        if where.guild is not None:
            resolved["members"] = {
                str(u.id): {
                    **payloads.member(where.guild, u, with_user=False),
                    "permissions": str(u.permissions()),
                }
                for u in converter.users
                if u in where.guild.people
            }
    if converter.channels:
        resolved["channels"] = {
            str(c.id): {**payloads.channel(c), "permissions": str(person.permissions())}
            for c in converter.channels
        }
    if converter.attachments:
        resolved["attachments"] = {
            str(f.id): {**payloads.attachment(f), "ephemeral": True} for f in converter.attachments
        }
    if resolved:
        data["resolved"] = resolved
    return data
