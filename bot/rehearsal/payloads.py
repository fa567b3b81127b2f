"""The JSON objects of the protocol, made from the world."""

from urllib.parse import quote

from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import (
    ALL_PERMISSIONS,
    MEMBER_PERMISSIONS,
    Account,
    Channel,
    Guild,
    Message,
    StoredFile,
    World,
)


class Payloads:
    """Makes the payloads; holds the address under which files are served."""

    def __init__(self, world: World) -> None:
        self._world = world
        self.files_url = ""

    def bot(self) -> Json:
        """The bot's own user object."""
        world = self._world
        return {
            "id": str(world.bot_id),
            "username": world.bot_name,
            "discriminator": "0000",
            "global_name": None,
            "avatar": None,
            "bot": True,
            "public_flags": 0,
            "flags": 0,
        }

    def user(self, person: Account) -> Json:
        """A person's user object."""
        return {
            "id": str(person.id),
            "username": person.name.lower().replace(" ", "_"),
            "discriminator": "0",
            "global_name": person.name,
            "avatar": None,
            "public_flags": 0,
        }

    def _member_part(self, roles: list[str], joined: str) -> Json:
        return {
            "nick": None,
            "avatar": None,
            "roles": roles,
            "joined_at": joined,
            "premium_since": None,
            "deaf": False,
            "mute": False,
            "pending": False,
            "flags": 0,
            "communication_disabled_until": None,
        }

    def member(self, guild: Guild, person: Account, *, with_user: bool = True) -> Json:
        """A person as a member of a community."""
        part = self._member_part([str(guild.coach_role)] if person.coach else [], guild.joined)
        if with_user:
            part["user"] = self.user(person)
        return part

    def bot_member(self, guild: Guild) -> Json:
        """The bot as a member of a community."""
        return {"user": self.bot(), **self._member_part([], guild.joined)}

    def roles(self, guild: Guild) -> list[Json]:
        """The two roles of a community: everyone, and the coach."""
        rows = (
            (guild.id, "@everyone", MEMBER_PERMISSIONS),
            (guild.coach_role, "coach", ALL_PERMISSIONS),
        )
        return [
            {
                "id": str(identity),
                "name": name,
                "permissions": str(permissions),
                "position": position,
                "color": 0,
                "colors": {"primary_color": 0, "secondary_color": None, "tertiary_color": None},
                "hoist": False,
                "managed": False,
                "mentionable": False,
                "icon": None,
                "unicode_emoji": None,
                "flags": 0,
            }
            for position, (identity, name, permissions) in enumerate(rows)
        ]

    def channel(self, channel: Channel) -> Json:
        """A room or a private channel."""
        last = next(reversed(channel.messages), None)
        payload: Json = {
            "id": str(channel.id),
            "type": 1 if channel.private else 0,
            "last_message_id": None if last is None else str(last),
            "flags": 0,
        }
        if channel.guild is None:
            payload["recipients"] = [self.user(channel.person)] if channel.person else []
            return payload
        payload.update(
            guild_id=str(channel.guild.id),
            name=channel.name,
            position=channel.guild.channels.index(channel),
            permission_overwrites=[],
            nsfw=False,
            topic=None,
            parent_id=None,
            rate_limit_per_user=0,
        )
        return payload

    def guild(self, guild: Guild) -> Json:
        """A community, as in GUILD_CREATE: without the members intent only the bot is listed."""
        owner = next((person.id for person in guild.people if person.coach), guild.coach_role)
        return {
            "id": str(guild.id),
            "name": guild.name,
            "owner_id": str(owner),
            "icon": None,
            "splash": None,
            "discovery_splash": None,
            "banner": None,
            "description": None,
            "region": "",
            "afk_channel_id": None,
            "afk_timeout": 300,
            "verification_level": 0,
            "default_message_notifications": 0,
            "explicit_content_filter": 0,
            "mfa_level": 0,
            "nsfw_level": 0,
            "premium_tier": 0,
            "premium_subscription_count": 0,
            "preferred_locale": "en-US",
            "system_channel_id": None,
            "system_channel_flags": 0,
            "rules_channel_id": None,
            "public_updates_channel_id": None,
            "application_id": None,
            "vanity_url_code": None,
            "features": [],
            "emojis": [],
            "stickers": [],
            "roles": self.roles(guild),
            "channels": [self.channel(c) for c in guild.channels if not c.deleted],
            "members": [self.bot_member(guild)],
            "member_count": len(guild.people) + 1,
            "large": False,
            "unavailable": False,
            "joined_at": guild.joined,
            "threads": [],
            "voice_states": [],
            "presences": [],
            "stage_instances": [],
            "guild_scheduled_events": [],
            "soundboard_sounds": [],
            "incidents_data": None,
        }

    def attachment(self, file: StoredFile) -> Json:
        """An uploaded file."""
        url = f"{self.files_url}/{file.channel_id}/{file.id}/{quote(file.name, safe='')}"
        payload: Json = {
            "id": str(file.id),
            "filename": file.name,
            "size": len(file.data),
            "url": url,
            "proxy_url": url,
            "content_type": file.content_type,
        }
        if file.description:
            payload["description"] = file.description
        if file.data.startswith(b"\x89PNG") and len(file.data) >= 24:
            payload["width"] = int.from_bytes(file.data[16:20], "big")
            payload["height"] = int.from_bytes(file.data[20:24], "big")
        return payload

    def message(self, message: Message) -> Json:
        """A message, whole."""
        payload: Json = {
            "id": str(message.id),
            "channel_id": str(message.channel.id),
            "type": message.kind,
            "author": message.author,
            "content": message.content,
            "timestamp": message.timestamp,
            "edited_timestamp": message.edited,
            "tts": message.tts,
            "mention_everyone": message.everyone,
            "mentions": [self.user(person) for person in message.mentions],
            "mention_roles": [],
            "attachments": [self.attachment(file) for file in message.files],
            "embeds": message.embeds,
            "components": message.components,
            "pinned": message.pinned,
            "flags": message.flags,
        }
        if message.author.get("bot"):
            payload["application_id"] = str(self._world.bot_id)
        if message.nonce is not None:
            payload["nonce"] = message.nonce
        if message.poll is not None:
            payload["poll"] = message.poll
        if message.interaction is not None:
            payload["interaction_metadata"] = message.interaction
            payload["webhook_id"] = str(self._world.bot_id)
        if message.reply_to is not None:
            payload["message_reference"] = self._reference(message.reply_to)
            payload["referenced_message"] = (
                None if message.reply_to.deleted else self.message(message.reply_to)
            )
        return payload

    def _reference(self, target: Message) -> Json:
        reference = {"type": 0, "message_id": str(target.id), "channel_id": str(target.channel.id)}
        if target.channel.guild is not None:
            reference["guild_id"] = str(target.channel.guild.id)
        return reference

    def application(self) -> Json:
        """The application's own description."""
        return {
            "id": str(self._world.bot_id),
            "name": self._world.bot_name,
            "icon": None,
            "description": "",
            "summary": "",
            "bot_public": True,
            "bot_require_code_grant": False,
            "verify_key": "0" * 64,
            "flags": 0,
            "team": None,
            "owner": {**self.bot(), "bot": False},
            "approximate_guild_count": len(self._world.guilds),
            "integration_types_config": {"0": {}, "1": {}},
        }
