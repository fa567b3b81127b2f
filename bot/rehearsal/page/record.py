"""The record of one person in one place, and the menus of the page, as JSON."""

from itertools import pairwise
from urllib.parse import urlsplit

from bot.rehearsal.acts.person import Person
from bot.rehearsal.acts.seen import Field, Seen
from bot.rehearsal.acts.typed import shown_name
from bot.rehearsal.page.notebook import Note, Notebook
from bot.rehearsal.rules.components import TEXT
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.switchboard import Switchboard
from bot.rehearsal.world import Channel, Message

QUOTED = 80


def places(person: Person) -> list[Channel]:
    """Where this person can be: the rooms of their communities, and in private with the bot."""
    rooms = [room for guild in person.account.guilds for room in guild.channels if not room.deleted]
    return [*rooms, person.private]


def town(board: Switchboard, people: list[Person]) -> Json:
    """Who there is, and where each can be."""
    world = board.world
    return {
        "bot": {"id": str(world.bot_id), "name": world.bot_name},
        "people": [
            {
                "id": str(person.id),
                "name": person.name,
                "coach": person.account.coach,
                "places": [_place(place) for place in places(person)],
            }
            for person in people
        ],
    }


def _place(place: Channel) -> Json:
    community = None if place.guild is None else place.guild.name
    return {
        "id": str(place.id),
        "name": place.name,
        "community": community,
        "private": place.private,
    }


def record(
    board: Switchboard, notebook: Notebook, person: Person, where: Channel, last: int
) -> Json:
    """The last entries of what this person sees here, oldest first."""
    messages = person.messages(where)
    entries = [_message(board, person, message) for message in messages[-last:]]
    entries += [_gone(message) for message in _taken_back(board, person, where)[-last:]]
    entries += [_note(note) for note in notebook.notes(person.id, where.id)]
    entries.sort(key=lambda entry: int(entry["id"]))
    for before, entry in pairwise(entries):
        if entry.get("to") and entry["to"].get("id") == before["id"]:
            entry["to"]["text"] = ""  # what is answered stands right above
    form = notebook.form(person.id)
    return {
        "entries": entries[-last:],
        "earlier": len(messages) > last or len(entries) > last,
        "form": None if form is None or form.channel_id != where.id else form_json(form),
        "latest": {str(place.id): str(_latest(person, place)) for place in places(person)},
        "now": board.world.stamp(),
    }


def _latest(person: Person, place: Channel) -> int:
    return max((message.id for message in person.messages(place)), default=0)


def _taken_back(board: Switchboard, person: Person, where: Channel) -> list[Message]:
    return [
        message
        for message in board.world.created
        if message.deleted
        and message.channel is where
        and message.hidden_for in (None, person.account)
        and not message.loading
    ]


def _gone(message: Message) -> Json:
    name = message.author["global_name"] or message.author["username"]
    return {"id": str(message.id), "kind": "gone", "by": name, "time": message.timestamp}


def _note(note: Note) -> Json:
    return {
        "id": str(note.id),
        "kind": "note",
        "act": note.act,
        "text": note.text,
        "time": note.time,
    }


def _message(board: Switchboard, person: Person, message: Message) -> Json:
    payload = board.payloads.message(message)
    author = payload["author"]
    return {
        "id": payload["id"],
        "kind": "message",
        "by": author["global_name"] or author["username"],
        "bot": bool(author.get("bot")),
        "own": author["id"] == str(person.id),
        "only_you": message.ephemeral,
        "time": message.timestamp,
        "edited": message.edited,
        "pinned": message.pinned,
        "thinking": message.loading,
        "to": _addressee(message, person),
        "text": message.content,
        "embeds": message.embeds,
        "components": message.components,
        "files": [_file(file) for file in payload["attachments"]],
    }


def _addressee(message: Message, person: Person) -> Json | None:
    """Whom a message answers: the writer of another, or who used a command."""
    if message.reply_to is not None:
        author = message.reply_to.author
        quoted = "" if message.reply_to.deleted else message.reply_to.content[:QUOTED]
        return {
            "id": str(message.reply_to.id),
            "name": author["global_name"] or author["username"],
            "text": quoted,
        }
    if message.interaction is None or message.ephemeral:
        return None
    user = message.interaction["user"]
    return None if user["id"] == str(person.id) else {"name": user["global_name"], "text": ""}


def _file(attachment: Json) -> Json:
    return {
        "name": attachment["filename"],
        # without the host, so that it is the page's own under whichever name it was opened
        "url": urlsplit(attachment["url"]).path,
        "size": attachment["size"],
        "picture": attachment["content_type"].startswith("image/"),
        "description": attachment.get("description", ""),
        "width": attachment.get("width"),
        "height": attachment.get("height"),
    }


def form_json(form: Seen) -> Json:
    """An open form: its texts and fields in the order in which they stand."""
    fields = iter(form.fields)
    parts: list[Json] = []
    for part in form.raw["components"]:
        if part["type"] == TEXT:
            parts.append({"kind": TEXT, "text": part["content"]})
        else:
            parts.append(_field(next(fields)))
    return {"id": str(form.interaction_id), "title": form.title, "parts": parts}


def _field(entry: Field) -> Json:
    return {
        "kind": entry.kind,
        "id": entry.custom_id,
        "label": entry.label,
        "text": entry.description,
        "required": entry.required,
        "value": entry.value,
        "placeholder": entry.placeholder,
        "long": entry.long,
        "min_length": entry.min_length,
        "max_length": entry.max_length,
        "least": entry.least,
        "most": entry.most,
        "options": [{"label": label, "value": value} for label, value in entry.options],
    }


def commands(person: Person, where: Channel) -> list[Json]:
    """The commands offered here, in the words of this person's language, by name."""
    found = [_command(entry, person.locale) for entry in person.commands(where)]
    return sorted(found, key=lambda entry: str(entry["name"]))


def _command(entry: Json, locale: str) -> Json:
    localized = entry.get("description_localizations") or {}
    return {
        "name": shown_name(entry, locale),
        "text": localized.get(locale) or entry["description"],
        "kind": entry["type"],
        "required": bool(entry.get("required")),
        "complete": bool(entry.get("autocomplete")),
        "choices": [shown_name(choice, locale) for choice in entry.get("choices") or []],
        "options": [_command(option, locale) for option in entry.get("options") or []],
    }
