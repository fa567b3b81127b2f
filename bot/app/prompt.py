"""The terminal of a rehearsal: be anybody of the town, say something, press, fill in."""

from __future__ import annotations

import asyncio
import re
import sys
import threading
from collections.abc import AsyncIterator, Mapping, Sequence

from bot.app.clockwork import Clockwork
from bot.demo import saltmarsh
from bot.rehearsal import ChatServer, Guild, Person, Refused, Seen
from bot.words import sentence

_PRESS, _PRIVATE, _WHO, _FILL, _CLOCK = "press ", "private ", "who ", "fill ", "clock"
_ESCAPED = re.compile(r"\\([^A-Za-z0-9\s])")


async def talk(
    people: Mapping[str, Person], guild: Guild, server: ChatServer, clockwork: Clockwork
) -> None:
    """The terminal prompt, until it ends or says quit; with nobody at it, until stopped."""
    word = "operator.ready_page" if server.page_url else "operator.ready"
    print(
        sentence(word).format(
            name=saltmarsh.MEMBER,
            room=saltmarsh.ROOM,
            community=saltmarsh.COMMUNITY,
            address=server.page_url or server.api_url,
        ),
        flush=True,
    )
    print(sentence("operator.prompt"))
    person = people[saltmarsh.MEMBER]
    shown: Seen | None = None
    typed = 0
    async for text in _typed():
        typed += 1
        if text in ("quit", "exit"):
            return
        if text.startswith(_WHO):
            person, shown = _other(people, text.removeprefix(_WHO), person), None
            continue
        if text == _CLOCK or text.startswith(f"{_CLOCK} "):
            await clockwork.do(text.removeprefix(_CLOCK), person)
            continue
        try:
            seen = await _act(person, guild, text, shown)
        except Refused as refused:
            print(sentence("operator.refused").format(reason=refused))
            continue
        show(seen)
        shown = seen[-1] if seen else shown
    if not typed and not sys.stdin.isatty():
        await asyncio.Event().wait()


def _other(people: Mapping[str, Person], name: str, now: Person) -> Person:
    found = next((p for n, p in people.items() if n.casefold() == name.strip().casefold()), None)
    if found is None:
        print(sentence("operator.nobody").format(names=", ".join(people)))
        return now
    print(sentence("operator.now").format(name=found.name))
    return found


async def _act(person: Person, guild: Guild, text: str, shown: Seen | None) -> list[Seen]:
    """One line of the terminal, done as that person."""
    if text.startswith(_PRESS) and shown is not None:
        return await person.press(shown, text.removeprefix(_PRESS))
    if text.startswith(_FILL) and shown is not None:
        pairs = (part.partition("=") for part in text.removeprefix(_FILL).split(";"))
        return await person.submit(shown, {key.strip(): value.strip() for key, _, value in pairs})
    if text.startswith(_PRIVATE):
        return await person.say(person.private, text.removeprefix(_PRIVATE))
    return await person.say(guild.room, text)


async def _typed() -> AsyncIterator[str]:
    """Lines from the terminal; a daemon thread reads, so that Ctrl-C never waits for Enter."""
    loop = asyncio.get_running_loop()
    lines: asyncio.Queue[str | None] = asyncio.Queue()

    def read() -> None:
        for line in sys.stdin:
            loop.call_soon_threadsafe(lines.put_nowait, line)
        loop.call_soon_threadsafe(lines.put_nowait, None)

    threading.Thread(target=read, daemon=True).start()
    while True:
        print("> ", end="", flush=True)
        line = await lines.get()
        if line is None:
            return
        if line.strip():
            yield line.strip()


def show(seen: Sequence[Seen]) -> None:
    """What came back, as plain text."""
    if not seen:
        print(sentence("operator.silence"))
    for one in seen:
        where = sentence(f"operator.seen_{one.where.replace(' ', '_')}")
        print(f"[{where}]")
        for line in one.text.splitlines():
            print("  " + _ESCAPED.sub(r"\1", line.replace("**", "").removeprefix("-# ")))
        for field in one.fields:
            print("  " + sentence("operator.field").format(name=field.custom_id, label=field.label))
        for file in one.files:
            print("  " + sentence("operator.file").format(name=file.name, size=len(file.data)))
        if one.buttons:
            labels = " · ".join(f"[{button.label}]" for button in one.buttons)
            print("  " + sentence("operator.buttons").format(labels=labels))
    print()
