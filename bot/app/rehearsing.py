"""The whole bot in the demo town: loopback chat server, real client, a terminal to talk at."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from pathlib import Path

from bot.app.clockwork import Clockwork
from bot.app.hands import Hands
from bot.app.prompt import show, talk
from bot.app.serving import connected, settings, until_stopped
from bot.chat.client import point_at
from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.demo.people import PEOPLE
from bot.errors import NotStarted
from bot.rehearsal import ChatServer, Guild, Person, Refused
from bot.stepping import SteppedClock
from bot.storage import Store
from bot.storage import migrate as migrate_database
from bot.watch import start_logging
from bot.words import sentence
from calc.units import to_si

_GO_ON, _POST = sentence("button.go_on"), sentence("button.post_pin")
_LAST_STEP = sentence("button.change_step").format(step=6)


def rehearse(
    *, port: int, record: Path | None, say: Sequence[str], seed: int, page: bool, speed: float
) -> int:
    """Play in the demo town; with `say`, say that, print what came back, and end.

    Raises
    ------
    NotStarted
    """
    chosen = settings()
    # A town of its own: never the records of a community that the settings may name.
    url = f"sqlite+aiosqlite:///{chosen.data_dir / 'rehearsal.db'}"
    migrate_database(url)
    start_logging()
    to_si(1, "us_gal")
    outcome: list[int] = []
    asyncio.run(until_stopped(_play(url, port, record, say, seed, page, speed, outcome)))
    return outcome[0] if outcome else 0


async def _play(
    url: str,
    port: int,
    record: Path | None,
    say: Sequence[str],
    seed: int,
    page: bool,
    speed: float,
    outcome: list[int],
) -> None:
    clock = SteppedClock(SystemClock().now())
    clock.run(speed)
    if record is not None:
        try:
            record.touch()
        except OSError:
            raise NotStarted("operator.record", path=record) from None
    store = Store(url)
    hands = Hands(clock, store)
    server = ChatServer(now=clock.now, port=port, record=record, page=page, instrument=hands)
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    people = _people(server, guild)
    try:
        await server.start()
    except OSError:
        raise NotStarted("operator.port", port=port) from None
    point_at(server.api_url, server.gateway_url)
    try:
        await saltmarsh.fill(store, until=clock.now(), seed=seed)
        async with connected(store, clock, server.token) as bot:
            ready = asyncio.create_task(server.wait_ready(timeout_s=30))
            await asyncio.wait({ready, bot}, return_when=asyncio.FIRST_COMPLETED)
            if bot.done():
                ready.cancel()
                await bot  # raises what ended it
            await ready
            if say:
                outcome.append(await _said(people[saltmarsh.MEMBER], guild, say))
            else:
                await _welcome(people[saltmarsh.COACH], guild)
                await talk(people, guild, server, Clockwork(hands, server, people))
    finally:
        await store.close()
        await server.stop()


async def _welcome(coach: Person, guild: Guild) -> None:
    """The coach's welcome post, made as a coach makes it, so that newcomers find their button."""
    shown = await coach.say(guild.room, "/setup")
    for labels in ((_GO_ON, _LAST_STEP), (_POST,)):
        there = {button.label for button in shown[-1].buttons} if shown else set()
        label = next((one for one in labels if one in there), None)
        if label is None:
            return
        shown = await coach.press(shown[-1], label)


def _people(server: ChatServer, guild: Guild) -> dict[str, Person]:
    """Everybody who lives there, the coach too."""
    return {
        one.name: server.add_person(
            one.name,
            guilds=[guild],
            id=one.user_id,
            coach=one.name == saltmarsh.COACH,
            locale="en-US" if one.member is None or one.member.units == "us" else "en-GB",
        )
        for one in sorted(PEOPLE, key=lambda one: one.name != saltmarsh.MEMBER)
    }


async def _said(person: Person, guild: Guild, say: Sequence[str]) -> int:
    """Each text as the demo member in the room; 1 when something got no answer."""
    silent = 0
    for text in say:
        print(f"> {text}")
        try:
            seen = await person.say(guild.room, text)
        except Refused as refused:
            print(sentence("operator.refused").format(reason=refused))
            silent = 1
            continue
        silent = silent or int(not seen)
        show(seen)
    return silent
