"""Acts of the page's people: begun at once, carried on while the page already looks again."""

import asyncio
from collections.abc import Coroutine
from typing import Any

from bot.rehearsal.acts.person import Person
from bot.rehearsal.acts.seen import Refused, Seen
from bot.rehearsal.page.notebook import Act, Note, Notebook
from bot.rehearsal.switchboard import Switchboard
from bot.rehearsal.world import Channel

Doing = Coroutine[Any, Any, list[Seen]]


class Doings:
    """Owns the acts under way."""

    def __init__(self, board: Switchboard, notebook: Notebook) -> None:
        self._board = board
        self._notebook = notebook
        self._under_way: set[asyncio.Task[list[Seen]]] = set()

    async def begin(
        self, person: Person, where: Channel, doing: Doing, act: Act | None = None, text: str = ""
    ) -> None:
        """Begin an act and note it; Refused when the platform refuses it."""
        # taken before the act, so that the note stands above what comes of it
        note_id = self._board.world.snowflakes.next()
        task = asyncio.create_task(doing)
        self._under_way.add(task)
        task.add_done_callback(lambda done: self._end(person, where, done))
        # An act is refused, or sent, in its first step; after that it only waits for the bot.
        await asyncio.sleep(0)
        if task.done():
            task.result()
        if act is not None:
            self._note(person, where, act, text, note_id)

    def _note(self, person: Person, where: Channel, act: Act, text: str, note_id: int) -> None:
        note = Note(id=note_id, act=act, text=text, time=self._board.world.stamp())
        self._notebook.add(person.id, where.id, note)
        self._board.audience.stir()

    def _end(self, person: Person, where: Channel, task: asyncio.Task[list[Seen]]) -> None:
        self._under_way.discard(task)
        if task.cancelled():
            return
        wrong = task.exception()
        if wrong is not None:
            if not isinstance(wrong, Refused):
                self._board.surprises.append(repr(wrong))
            return
        for seen in task.result():
            if seen.kind == "form":
                self._notebook.open_form(person.id, seen)
                self._board.audience.stir()
            elif not seen.id:
                identity = self._board.world.snowflakes.next()
                self._note(person, where, "silent", seen.text, identity)

    async def close(self) -> None:
        """End what is under way."""
        under_way = list(self._under_way)
        for task in under_way:
            task.cancel()
        await asyncio.gather(*under_way, return_exceptions=True)
