"""The page's calls about the clock: what they tell, what they turn, and what they refuse."""

import asyncio
import math
from collections.abc import AsyncIterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import aiohttp
import pytest
import pytest_asyncio

from bot.rehearsal import ChatServer, Coming, Instrument
from tests.bot.rehearsal.conftest import Town

pytestmark = pytest.mark.asyncio
BEGUN = datetime(2026, 5, 7, 14, 30, tzinfo=UTC)


@dataclass
class Hands:
    """An instrument that stands where it is put; a walk waits for `gate`."""

    at: datetime = BEGUN
    speed: float = 0
    due: list[Coming] = field(default_factory=list)
    walks: list[datetime] = field(default_factory=list)
    gate: asyncio.Event = field(default_factory=asyncio.Event)
    wrong: Exception | None = None

    def now(self) -> datetime:
        return self.at

    def run(self, speed: float) -> None:
        self.speed = speed

    async def walk_to(self, at: datetime) -> None:
        self.speed = 0
        self.walks.append(at)
        await self.gate.wait()
        if self.wrong is not None:
            raise self.wrong
        self.at = at

    async def coming(self) -> Sequence[Coming]:
        return self.due


@dataclass
class Calls:
    """What a page asks about the clock."""

    session: aiohttp.ClientSession
    server: ChatServer
    hands: Hands
    who: str
    where: str

    async def look(self, **options: Any) -> tuple[int, Any]:
        async with self.session.get(self.server.page_url + "page/clock", **options) as answer:
            return answer.status, await answer.json()

    async def turn(self, body: Any, **options: Any) -> tuple[int, Any]:
        address = self.server.page_url + "page/clock"
        async with self.session.post(address, json=body, **options) as answer:
            return answer.status, await answer.json()

    async def record(self, **more: Any) -> Any:
        query = {"who": self.who, "where": self.where, **more}
        async with self.session.get(self.server.page_url + "page/record", params=query) as answer:
            return await answer.json()

    async def rested(self) -> Any:
        """The clock when no walk is under way any more, as the record tells it."""
        found = await self.record()
        async with asyncio.timeout(3):
            while found["clock"]["walking"]:
                found = await self.record(after=found["changes"])
        return found["clock"]


def due(hours: float, who: str, text: str, zone: str) -> Coming:
    return Coming(due=BEGUN + timedelta(hours=hours), who=who, text=text, zone=zone)


@pytest_asyncio.fixture
async def calls() -> AsyncIterator[Calls]:
    hands = Hands()
    server = ChatServer(now=hands.now, page=True, instrument=hands)
    guild = server.add_guild("Saltmarsh Growers", room="towers")
    tamsin = server.add_person("Tamsin", guilds=[guild])
    await server.start()
    async with aiohttp.ClientSession() as session:
        yield Calls(session, server, hands, str(tamsin.id), str(guild.room.id))
    await server.stop()


async def test_what_the_test_turns_is_an_instrument():
    hands: Instrument = Hands()
    assert hands.now().tzinfo is not None


# Looking


async def test_it_tells_the_time_the_speed_and_what_is_due(calls):
    calls.hands.due = [
        due(8, "Tamsin", "Kitchen: top up", "America/New_York"),
        due(9.5, "Bram", "Porch: test the water", "Asia/Kolkata"),
    ]
    assert await calls.look() == (
        200,
        {
            "now": "2026-05-07T14:30:00+00:00",
            "speed": 0,
            "walking": False,
            "trouble": "",
            "coming": [
                {"due": "2026-05-07T22:30:00+00:00", "who": "Tamsin", "text": "Kitchen: top up",
                 "zone": "America/New_York", "local": "Thu 7 May, 6:30 pm"},
                {"due": "2026-05-08T00:00:00+00:00", "who": "Bram", "text": "Porch: test the water",
                 "zone": "Asia/Kolkata", "local": "Fri 8 May, 5:30 am"},
            ],
        },
    )  # fmt: skip


@pytest.mark.parametrize(
    ("hours", "local"),
    [(-2.5, "Thu 7 May, 12:00 pm"), (9.5, "Fri 8 May, 12:00 am"), (10, "Fri 8 May, 12:30 am")],
)
async def test_noon_and_midnight_are_twelve(calls, hours, local):
    calls.hands.due = [due(hours, "Tamsin", "Kitchen: look", "UTC")]
    assert (await calls.look())[1]["coming"][0]["local"] == local


async def test_it_lists_no_more_than_eight(calls):
    calls.hands.due = [due(n, "Tamsin", f"look {n}", "UTC") for n in range(1, 12)]
    assert len((await calls.look())[1]["coming"]) == 8


async def test_the_record_tells_how_the_clock_stands(calls):
    calls.hands.speed = 60
    assert (await calls.record())["clock"] == {
        "now": "2026-05-07T14:30:00+00:00",
        "speed": 60,
        "walking": False,
        "trouble": "",
    }


async def test_a_server_without_an_instrument_has_no_clock(town: Town):
    address = town.server.page_url + "page/clock"
    async with aiohttp.ClientSession() as session:
        async with session.get(address) as answer:
            assert answer.status == 404
        async with session.post(address, json={"speed": 1}) as answer:
            assert answer.status == 404
        query = {"who": str(town.tamsin.id), "where": str(town.guild.room.id)}
        async with session.get(town.server.page_url + "page/record", params=query) as answer:
            assert (await answer.json())["clock"] is None


# Turning


@pytest.mark.parametrize("speed", [0, 0.5, 1, 60, 1000])
async def test_it_runs_at_a_speed_and_every_page_hears_of_it(calls, speed):
    changes = (await calls.record())["changes"]
    waiting = asyncio.create_task(calls.record(after=changes))
    status, found = await calls.turn({"speed": speed})
    assert (status, found["speed"], calls.hands.speed) == (200, speed, speed)
    assert (await asyncio.wait_for(waiting, 2))["clock"]["speed"] == speed


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        ({"to": "2026-05-09T18:00"}, "2026-05-09T18:00"),
        ({"to": "2026-05-09T18:00:30"}, "2026-05-09T18:00:30"),
        ({"to": "2026-05-09T18:00", "zone": "America/New_York"}, "2026-05-09T22:00"),
        ({"to": "2026-05-09T18:00", "zone": "Asia/Kolkata"}, "2026-05-09T12:30"),
        # the clocks leave out 2:00 to 3:00 and it is 3:30 summer time instead
        ({"to": "2027-03-14T02:30", "zone": "America/New_York"}, "2027-03-14T07:30"),
        # 1:30 comes twice, and the first is meant
        ({"to": "2026-11-01T01:30", "zone": "America/New_York"}, "2026-11-01T05:30"),
    ],
)
async def test_it_walks_to_a_wall_time(calls, body, wanted):
    status, found = await calls.turn(body)
    assert (status, found["walking"]) == (200, True)
    calls.hands.gate.set()
    at = datetime.fromisoformat(wanted).replace(tzinfo=UTC)
    assert (await calls.rested())["now"] == at.isoformat()
    assert calls.hands.walks == [at]


async def test_next_walks_to_what_is_due_first(calls):
    calls.hands.due = [due(8, "Tamsin", "top up", "UTC"), due(9, "Tamsin", "look", "UTC")]
    calls.hands.gate.set()
    assert (await calls.turn({"next": True}))[1]["walking"]
    assert (await calls.rested())["now"] == "2026-05-07T22:30:00+00:00"


async def test_next_never_turns_the_clock_back(calls):
    calls.hands.due = [due(-3, "Tamsin", "late", "UTC")]
    calls.hands.gate.set()
    await calls.turn({"next": True})
    await calls.rested()
    assert calls.hands.walks == [BEGUN]


async def test_stopping_ends_a_walk_where_it_is(calls):
    await calls.turn({"to": "2026-05-09T18:00"})
    status, found = await calls.turn({"speed": 0})
    assert (status, found["walking"], found["now"]) == (200, False, BEGUN.isoformat())
    assert found["trouble"] == ""
    assert "refused" not in (await calls.turn({"to": "2026-05-09T18:00"}))[1]


async def test_a_walk_that_takes_too_long_is_told_until_the_next_turn(calls):
    calls.hands.wrong = TimeoutError()
    calls.hands.gate.set()
    await calls.turn({"to": "2026-05-09T18:00"})
    assert "took too long" in (await calls.rested())["trouble"]
    assert calls.server.board.surprises == []
    assert (await calls.turn({"speed": 1}))[1]["trouble"] == ""


async def test_a_walk_that_breaks_off_is_a_surprise(calls):
    calls.hands.wrong = RuntimeError("bent")
    calls.hands.gate.set()
    await calls.turn({"to": "2026-05-09T18:00"})
    assert "broke off" in (await calls.rested())["trouble"]
    assert calls.server.board.surprises == ["RuntimeError('bent')"]


async def test_the_server_ends_with_a_walk_under_way(calls):
    await calls.turn({"to": "2026-05-09T18:00"})
    async with asyncio.timeout(3):
        await calls.server.stop()
    assert calls.hands.at == BEGUN


# Refusals


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ({"to": "2026-05-07T14:30"}, "That time is over."),
        ({"to": "2026-05-07T10:29", "zone": "America/New_York"}, "That time is over."),
        ({"to": "2027-05-09T18:00"}, "That is more than a year ahead."),
        ({"next": True}, "Nothing is due."),
    ],
)
async def test_a_time_out_of_reach_is_refused(calls, body, reason):
    assert await calls.turn(body) == (200, {"refused": reason})
    assert calls.hands.walks == []


async def test_what_is_due_after_more_than_a_year_is_refused(calls):
    calls.hands.due = [due(24 * 367, "Tamsin", "replace the pump", "UTC")]
    refused = {"refused": "That is more than a year ahead."}
    assert await calls.turn({"next": True}) == (200, refused)


async def test_nothing_but_a_stop_comes_between_a_walk(calls):
    calls.hands.due = [due(8, "Tamsin", "top up", "UTC")]
    await calls.turn({"to": "2026-05-09T18:00"})
    already = {"refused": "The clock is being stepped already."}
    assert await calls.turn({"to": "2026-05-10T18:00"}) == (200, already)
    assert await calls.turn({"next": True}) == (200, already)
    running = {"refused": "The clock is being stepped; stop it first."}
    assert await calls.turn({"speed": 60}) == (200, running)
    assert len(calls.hands.walks) == 1


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"speed": 1, "next": True},
        {"speed": None},
        {"speed": "60"},
        {"speed": True},
        {"speed": -1},
        {"speed": 1000.5},
        {"speed": math.nan},
        {"speed": math.inf},
        {"next": False},
        {"next": 1},
        {"to": 7},
        {"to": ""},
        {"to": "tomorrow"},
        {"to": "2026-05-09"},
        {"to": "2026-05-09T18:00Z"},
        {"to": "2026-05-09T18:00+02:00"},
        {"to": "2026-02-30T18:00"},
        {"to": "2026-05-09T24:30"},
        {"to": "٢٠٢٦-05-09T18:00"},
        {"to": "0001-01-01T00:00", "zone": "Asia/Kolkata"},
        {"to": "9999-12-31T23:00", "zone": "America/New_York"},
        {"to": "2026-05-09T18:00", "zone": 7},
        {"to": "2026-05-09T18:00", "zone": ""},
        {"to": "2026-05-09T18:00", "zone": "Saltmarsh"},
        {"to": "2026-05-09T18:00", "zone": "America"},
        {"to": "2026-05-09T18:00", "zone": "../zones"},
        {"to": "2026-05-09T18:00", "zone": "/etc/localtime"},
    ],
    ids=str,
)
async def test_a_bad_value_is_a_json_error(calls, body):
    status, answer = await calls.turn(body)
    assert (status, list(answer)) == (400, ["error"])
    assert (calls.hands.walks, calls.hands.speed) == ([], 0)


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "saltmarsh.example"},
        {"Origin": "http://saltmarsh.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
    ids=str,
)
async def test_only_the_page_itself_may_look_and_turn(calls, headers):
    assert (await calls.look(headers=headers))[0] == 403
    assert (await calls.turn({"speed": 60}, headers=headers))[0] == 403
    assert calls.hands.speed == 0


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded"])
async def test_what_a_foreign_form_can_post_turns_nothing(calls, kind):
    address = calls.server.page_url + "page/clock"
    headers = {"Content-Type": kind}
    async with calls.session.post(address, data=b'{"speed":60}', headers=headers) as answer:
        assert answer.status == 415
    assert calls.hands.speed == 0
