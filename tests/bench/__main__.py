"""python -m tests.bench [--quick] [--json]: a line a row, ours beside the yardstick."""

from __future__ import annotations

import argparse
import asyncio
import json
import time
from collections.abc import Iterator
from dataclasses import asdict

from bot.services import answer
from bot.understanding import hear
from tests.bench.books import book_ms
from tests.bench.calculations import calculations
from tests.bench.forecasts import forecasts
from tests.bench.reminders import reminders
from tests.bench.rows import Row, row
from tests.bench.stage import playing, rate
from tests.bot.books import KITCHEN, PORCH, book

SENTENCES = (
    "tank's at half, meter says 1.9. what do i add",
    "water is 5 inches down from the full line on the kitchen, ec 1.7",
    "filling 10 gal of fresh solution at half strength",
    "what's the weather on saturday",
)


def sentences(quick: bool) -> Iterator[Row]:
    """Understanding alone; the goal is absolute: 2,000 a second a core."""
    facts = book(KITCHEN, PORCH)
    for text in SENTENCES:
        hear(text, facts)
    count = 500 if quick else 5000
    started = time.perf_counter()
    for i in range(count):
        hear(SENTENCES[i % len(SENTENCES)], facts)
    yield row("sentences heard", count / (time.perf_counter() - started), 2000, 1.0, "1/s")
    started = time.perf_counter()
    for i in range(count):
        answer(hear(SENTENCES[i % len(SENTENCES)], facts), facts)
    yield row("sentences answered", count / (time.perf_counter() - started), 2000, 1.0, "1/s")


async def replies(quick: bool) -> list[Row]:
    """Whole round trips, each bot a process of its own."""
    count = 960 if quick else 9600
    async with playing("tests.bench.bare_bot") as bare:
        bare_ready, bare_memory = bare.ready_s, bare.megabytes()
        bare_rate, _ = await rate(bare, "/nothing", count)
    async with playing("bot", "run") as ours:
        ready, memory = ours.ready_s, ours.megabytes()
        dose, _ = await rate(ours, "/dose water:10 gal rate:2 ml per litre", count)
        topup, p99 = await rate(ours, "/topup level:half ec:1.9", count)
        loaded = ours.megabytes()
    async with playing("bot", "run", year=True) as ours:
        year, year_p99 = await rate(ours, "/topup level:half ec:1.9", count)
    return [
        row("/dose without records, 32 in flight", dose, bare_rate, 0.70, "1/s"),
        row("/topup with records, 32 in flight", topup, bare_rate, 0.30, "1/s"),
        row("/topup p99", p99, 60, 1.0, "ms", less=True),
        row("/topup with a year of logs, 32 in flight", year, bare_rate, 0.30, "1/s"),
        row("/topup with a year of logs, p99", year_p99, 60, 1.0, "ms", less=True),
        row("start to ready, process start included", ready, 1.0, 1.0, "s", less=True),
        row("the same beside the bare bot", ready, bare_ready, 0.0, "s", less=True),
        row("memory when ready", memory, 120, 1.0, "MB", less=True),
        row("memory beside the bare bot", loaded, bare_memory, 0.0, "MB", less=True),
    ]


async def books(quick: bool) -> list[Row]:
    """One person's records must not cost more because others keep theirs in the same file."""
    alone = await book_ms(300)
    among = await book_ms(30_000 if quick else 150_000)
    return [row("a Book among everybody's lines", among, alone, 0.7, "ms", less=True)]


def main() -> None:
    parser = argparse.ArgumentParser(prog="tests.bench")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args()
    for one in [
        *calculations(chosen.quick),
        *forecasts(chosen.quick),
        *sentences(chosen.quick),
        *asyncio.run(books(chosen.quick)),
        *asyncio.run(reminders(chosen.quick)),
        *asyncio.run(replies(chosen.quick)),
    ]:
        if chosen.json:
            print(json.dumps(asdict(one)), flush=True)
            continue
        mark = "ok " if one.met else "-- "
        print(
            f"{mark}{one.name}: {one.ours} {one.unit}, yardstick {one.yardstick}; "
            f"ratio {one.ratio} (goal {one.goal})"
        )


if __name__ == "__main__":
    main()
