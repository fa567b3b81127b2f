"""What the page sent, read and checked, free of sockets."""

import base64
import binascii
import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from bot.rehearsal.acts.person import Person
from bot.rehearsal.page.record import places
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import Channel


class Wrong(Exception):
    """A call that the page itself would never make, with its HTTP status."""

    def __init__(self, status: int, reason: str) -> None:
        super().__init__(reason)
        self.status = status
        self.reason = reason


def read_object(data: bytes) -> Json:
    """The JSON object of a body."""
    try:
        body = json.loads(data)
    except (ValueError, RecursionError):
        raise Wrong(400, "the body is no JSON") from None
    if not isinstance(body, dict):
        raise Wrong(400, "the body is no JSON object")
    return body


@dataclass(slots=True, kw_only=True)
class Asked:
    """One call: the query of a GET, the JSON object of a POST."""

    people: Mapping[int, Person]
    given: Mapping[str, object] = field(default_factory=dict)

    def text(self, name: str, *, most: int = 6000) -> str:
        """A text that must be there."""
        value = self.given.get(name)
        if not isinstance(value, str):
            raise Wrong(400, f"{name} is missing or no text")
        if len(value) > most:
            raise Wrong(413, f"{name} is too long")
        # half of a surrogate pair is no text
        return value.encode("utf-8", "ignore").decode()

    def whole(self, name: str, default: int | None = None) -> int:
        """A whole number, in a body as text too: ids outgrow what a browser counts with."""
        value = self.given.get(name, default)
        if isinstance(value, str) and value.isascii() and value.isdigit() and len(value) <= 20:
            value = int(value)
        if type(value) is not int or not 0 <= value < 2**64:
            raise Wrong(400, f"{name} is missing or no whole number")
        return value

    def flag(self, name: str, default: bool) -> bool:
        """True or false."""
        value = self.given.get(name, default)
        if not isinstance(value, bool):
            raise Wrong(400, f"{name} is neither true nor false")
        return value

    def person(self) -> Person:
        """Who asks."""
        person = self.people.get(self.whole("who"))
        if person is None:
            raise Wrong(404, "there is no such person")
        return person

    def place(self, person: Person) -> Channel:
        """Where: a place that this person can open."""
        wanted = self.whole("where")
        for place in places(person):
            if place.id == wanted:
                return place
        raise Wrong(404, "there is no such place for this person")

    def texts(self, name: str) -> list[str]:
        """A list of texts."""
        values = self.given.get(name)
        if not isinstance(values, list) or len(values) > 25:
            raise Wrong(400, f"{name} is no list of up to 25")
        if not all(isinstance(value, str) for value in values):
            raise Wrong(400, f"{name} holds something that is no text")
        return values

    def answers(self) -> dict[str, object]:
        """The values of a form by custom_id: texts, lists of texts, true or false."""
        values = self.given.get("values")
        if not isinstance(values, dict):
            raise Wrong(400, "values is no object")
        for value in values.values():
            parts = value if isinstance(value, list) else [value]
            if not all(isinstance(part, (str, bool)) for part in parts):
                raise Wrong(400, "values holds something that is no text")
        return values

    def files(self) -> list[tuple[str, bytes]]:
        """Files as name and bytes, from name and base64."""
        listed = self.given.get("files", [])
        if not isinstance(listed, list) or not all(isinstance(entry, dict) for entry in listed):
            raise Wrong(400, "files is no list of objects")
        return [_file(entry) for entry in listed]


def _file(entry: Json) -> tuple[str, bytes]:
    name, data = entry.get("name"), entry.get("data")
    if not isinstance(name, str) or not isinstance(data, str) or len(name) > 255:
        raise Wrong(400, "a file needs name and data as texts")
    try:
        return name.encode("utf-8", "ignore").decode(), base64.b64decode(data, validate=True)
    except (binascii.Error, ValueError):
        raise Wrong(400, "a file's data is no base64") from None
