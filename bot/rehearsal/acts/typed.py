"""Slash commands as typed: text -> the data of an interaction, by the registered schema."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from bot.rehearsal.acts.seen import Refused
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import Account, Channel, StoredFile, World

TEXT, WHOLE, FLAG, USER, CHANNEL, ROLE, MENTIONABLE, NUMBER, UPLOAD = 3, 4, 5, 6, 7, 8, 9, 10, 11
SAFE_WHOLE = 2**53


def shown_name(entry: Json, locale: str) -> str:
    """The name a person with this language sees."""
    localized = entry.get("name_localizations") or {}
    return str(localized.get(locale) or entry["name"])


@dataclass(slots=True)
class Typed:
    """A command line, read as far as the schema goes."""

    command: Json
    path: list[Json]
    options: list[Json]
    values: list[tuple[Json, str]] = field(default_factory=list)
    name: str = ""


def offered(commands: list[Json], person: Account, where: Channel) -> list[Json]:
    """The slash commands the platform would show to this person here."""
    context = 1 if where.private else 0
    found: dict[str, Json] = {}
    for command in commands:
        if command["type"] != 1 or context not in (command.get("contexts") or [0, 1, 2]):
            continue
        if where.private and command.get("dm_permission") is False:
            continue
        needed = command.get("default_member_permissions")
        if needed is not None and not where.private and not person.coach:
            wanted = int(needed)
            if wanted == 0 or person.permissions() & wanted != wanted:
                continue
        # a community's own command hides the global one of the same name
        if command["name"] not in found or command.get("guild_id"):
            found[command["name"]] = command
    return list(found.values())


def read(text: str, commands: list[Json], locale: str) -> Typed:
    """Find command, subcommand and the text of each option."""
    words = text.removeprefix("/").strip()
    options = commands
    path: list[Json] = []
    names: list[str] = []
    while True:
        head, _, rest = words.partition(" ")
        entry = _named(options, head, locale)
        if entry is None:
            raise Refused(f"There is no command /{' '.join([*names, head])}".rstrip() + " here.")
        path.append(entry)
        names.append(head)
        words = rest.strip()
        options = entry.get("options") or []
        if not options or options[0]["type"] not in (1, 2):
            break
        if not words:
            inner = ", ".join(shown_name(option, locale) for option in options)
            raise Refused(f"/{' '.join(names)} needs one of: {inner}.")
    typed = Typed(path[0], path[1:], options, name="/" + " ".join(names))
    typed.values = _split(words, options, locale, typed.name)
    return typed


def _named(entries: list[Json], name: str, locale: str) -> Json | None:
    for entry in entries:
        if name in (entry["name"], shown_name(entry, locale)):
            return entry
    return None


def _split(words: str, options: list[Json], locale: str, name: str) -> list[tuple[Json, str]]:
    if not words:
        return []
    known = {key: o for o in options for key in (o["name"], shown_name(o, locale))}
    marks: list[re.Match[str]] = []
    if known:
        either = "|".join(re.escape(key) for key in sorted(known, key=len, reverse=True))
        marks = list(re.finditer(rf"(?:^|(?<=\s))({either}):", words))
    before = words[: marks[0].start()].strip() if marks else words
    if before:
        raise Refused(f'{name} has no option for "{before}".')
    values: list[tuple[Json, str]] = []
    for place, mark in enumerate(marks):
        end = marks[place + 1].start() if place + 1 < len(marks) else len(words)
        option = known[mark[1]]
        if any(option is other for other, _ in values):
            raise Refused(f"{mark[1]}: is there twice.")
        values.append((option, words[mark.end() : end].strip()))
    return values


class Converter:
    """Turns option texts into values, with the platform's own refusals."""

    def __init__(
        self,
        world: World,
        person: Account,
        where: Channel,
        files: Sequence[StoredFile] = (),
    ) -> None:
        self._spare = list(files)
        self.attachments: list[StoredFile] = []
        self._world = world
        self._person = person
        self._where = where
        self.users: list[Account] = []
        self.channels: list[Channel] = []

    def command_options(self, typed: Typed) -> list[Json]:
        """Every option checked and converted."""
        given = {option["name"] for option, _ in typed.values}
        for option in typed.options:
            if option.get("required") and option["name"] not in given:
                raise Refused(f"{shown_name(option, self._person.locale)}: is required.")
        values = [
            {"name": option["name"], "type": option["type"], "value": self.value(option, text)}
            for option, text in typed.values
        ]
        if self._spare:
            raise Refused(f'{typed.name} has no option for the file "{self._spare[0].name}".')
        return values

    def value(self, option: Json, text: str) -> object:
        """One value, or Refused."""
        name = shown_name(option, self._person.locale)
        if not text:
            raise Refused(f"{name}: is empty. Specify a value.")
        if option.get("choices"):
            return self._choice(option, text, name)
        kind = option["type"]
        if kind == TEXT:
            return _text(option, text, name)
        if kind in (WHOLE, NUMBER):
            return _number(option, text, name)
        if kind == FLAG:
            if text.lower() not in ("true", "false"):
                raise Refused(f"{name}: must be True or False.")
            return text.lower() == "true"
        if kind in (USER, MENTIONABLE):
            return self._user(text, name)
        if kind == CHANNEL:
            return self._channel(text, name)
        if kind == UPLOAD:
            return self._upload(text, name)
        raise Refused(f"{name}: cannot be typed.")

    def _choice(self, option: Json, text: str, name: str) -> object:
        for choice in option["choices"]:
            known = (choice["name"], shown_name(choice, self._person.locale), str(choice["value"]))
            if text.lower() in [word.lower() for word in known]:
                return choice["value"]
        allowed = ", ".join(shown_name(c, self._person.locale) for c in option["choices"])
        raise Refused(f"{name}: must be one of the choices: {allowed}.")

    def _user(self, text: str, name: str) -> str:
        wanted = text.strip("<@!>").lower()
        for person in self._world.people.values():
            if wanted in (str(person.id), person.name.lower()):
                self.users.append(person)
                return str(person.id)
        raise Refused(f"{name}: no such member.")

    def _channel(self, text: str, name: str) -> str:
        wanted = text.strip("<#>")
        guild = self._where.guild
        for channel in guild.channels if guild else []:
            if wanted in (str(channel.id), channel.name) and not channel.deleted:
                self.channels.append(channel)
                return str(channel.id)
        raise Refused(f"{name}: no such channel.")

    def _upload(self, text: str, name: str) -> str:
        for place, file in enumerate(self._spare):
            if file.name == text:
                self.attachments.append(self._spare.pop(place))
                return str(file.id)
        raise Refused(f'{name}: there is no file "{text}".')


def _text(option: Json, text: str, name: str) -> str:
    least, most = option.get("min_length") or 0, option.get("max_length") or 6000
    if not least <= len(text) <= most:
        raise Refused(f"{name}: must be {least} to {most} characters long.")
    return text


def _number(option: Json, text: str, name: str) -> int | float:
    whole = option["type"] == WHOLE
    pattern = r"[+-]?\d+" if whole else r"[+-]?(\d+\.?\d*|\.\d+)"
    if not re.fullmatch(pattern, text, re.ASCII):
        raise Refused(f"{name}: {text!r} is not a {'whole number' if whole else 'number'}.")
    value = int(text) if whole else float(text)
    least = option.get("min_value", -SAFE_WHOLE)
    most = option.get("max_value", SAFE_WHOLE)
    if not math.isfinite(value) or not least <= value <= most:
        raise Refused(f"{name}: must be between {least:g} and {most:g}.")
    return value


def wrap(path: list[Json], options: list[Json]) -> list[Json]:
    """Put the options inside their subcommand (and its group)."""
    for entry in reversed(path):
        options = [{"name": entry["name"], "type": entry["type"], "options": options}]
    return options
