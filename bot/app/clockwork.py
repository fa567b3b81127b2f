"""The clock of a rehearsal at the terminal: see it, stop it, hurry it, step it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from itertools import islice
from typing import Any, Final

from bot.app.hands import Hands
from bot.clock import recurring, zone_of
from bot.demo.people import PEOPLE
from bot.errors import Refusal
from bot.records.book import Book
from bot.records.facts import Member
from bot.rehearsal import ChatServer, Person
from bot.render.numbers import moment
from bot.services.reminding.when import read_when
from bot.words import sentence
from calc.errors import CalcError

_SPAN: Final = re.compile(
    r"\+?\s*(?P<n>\d{1,4})\s*(?P<unit>m|min|minutes?|h|hours?|d|days?|w|weeks?)"
)
_SPEED: Final = re.compile(r"(?P<n>\d{1,4})\s*x")
_UNITS: Final = {"m": "minutes", "h": "hours", "d": "days", "w": "weeks"}


class Clockwork:
    """What the terminal's `clock` does; every message that comes of it is printed."""

    def __init__(self, hands: Hands, server: ChatServer, people: Mapping[str, Person]) -> None:
        self._hands = hands
        self._server = server
        self._people = people
        self._zones = {one.name: one.zone for one in PEOPLE}

    async def do(self, text: str, person: Person) -> None:
        """One line of the terminal, the word `clock` taken off."""
        words = text.strip().casefold()
        zone = self._zones.get(person.name, "UTC")
        if words == "stop":
            self._hands.run(0)
        elif speed := _SPEED.fullmatch(words):
            self._hands.run(min(1000, int(speed["n"])))
        elif words:
            at = await self._at(words, zone)
            if at is None:
                print(sentence("operator.clock_how"))
                return
            seen = len(self._server.messages)
            await self._hands.walk_to(at)
            self.tell(seen)
        await self._show(zone)

    async def _at(self, words: str, zone: str) -> datetime | None:
        if words == "next":
            coming = await self._hands.coming()
            return coming[0].due if coming else None
        if span := _SPAN.fullmatch(words):
            return self._hands.now() + timedelta(**{_UNITS[span["unit"][0]]: int(span["n"])})
        book = Book(now=self._hands.now(), member=Member(units="us", time_zone=zone))
        try:
            found = read_when(words, book, zone=zone).pattern
        except (CalcError, Refusal):
            return None
        times = recurring(
            start_local=found.start_local, rrule=found.rrule, zone=found.zone, kind=found.kind
        )
        return next(islice((at for _, at in times if at > self._hands.now()), 1), None)

    async def _show(self, zone: str) -> None:
        now = moment(self._hands.now().astimezone(zone_of(zone)))
        print(sentence("operator.clock").format(now=now, speed=f"{self._hands.speed:g}"))
        for one in (await self._hands.coming())[:4]:
            at = moment(one.due.astimezone(zone_of(one.zone)))
            print("  " + sentence("operator.coming").format(at=at, who=one.who, text=one.text))

    def tell(self, since: int) -> None:
        """Each message made since, with whom it reached and their local time."""
        for who, zone, message in self._made(since):
            at = datetime.fromisoformat(message["timestamp"]).astimezone(zone_of(zone))
            head = sentence("operator.came").format(who=who, at=moment(at), zone=zone)
            print(f"[{head}]")
            for line in str(message["content"]).splitlines():
                print("  " + re.sub(r"\\([^A-Za-z0-9\s])", r"\1", line.replace("**", "")))
            labels = [part["label"] for row in message["components"] for part in row["components"]]
            if labels:
                shown = " · ".join(f"[{label}]" for label in labels)
                print("  " + sentence("operator.buttons").format(labels=shown))

    def _made(self, since: int) -> Iterator[tuple[str, str, dict[str, Any]]]:
        private = {str(one.private.id): one.name for one in self._people.values()}
        for message in self._server.messages[since:]:
            name = private.get(str(message["channel_id"]))
            who = name or sentence("operator.the_room")
            yield who, self._zones.get(name or "", self._zones["Wenna"]), message
