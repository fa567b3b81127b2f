"""python -m tests.chaos --kills N [--reminders 600] [--seed S] [--json]: 0 when all came once."""

from __future__ import annotations

import argparse
import asyncio
import json
import shutil
import sys
import tempfile
from dataclasses import asdict
from pathlib import Path

from tests.chaos.raid import Wanted, run
from tests.chaos.verdict import Verdict


def _shown(one: Verdict) -> str:
    ways = ", ".join(f"{way} {count}" for way, count in sorted(one.ended.items()))
    lines = [
        f"kills {one.kills}, of which SIGTERM {one.of_which_term}; restarts {one.restarts}; {ways}",
        f"reminders {one.reminders}, messages {one.messages}, repeats hidden {one.repeats}",
        f"lost {len(one.lost)}, doubled {len(one.doubled)}, integrity {one.integrity}",
        f"longest lateness {one.longest_lateness_s:.1f} s, run time {one.took_s:.0f} s",
    ]
    for name in ("lost", "doubled", "stuck", "troubles"):
        lines += [f"{name}: {what}" for what in getattr(one, name)]
    lines += [f"on standard error: {what} ({count})" for what, count in one.said.items()]
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(prog="tests.chaos")
    parser.add_argument("--kills", type=int, required=True)
    parser.add_argument("--reminders", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args()
    wanted = Wanted(kills=chosen.kills, reminders=chosen.reminders, seed=chosen.seed)
    folder = Path(tempfile.mkdtemp(prefix="chaos-"))
    found = asyncio.run(run(wanted, folder))
    print(json.dumps(asdict(found)) if chosen.json else _shown(found))
    if not found.good or found.said:
        print(f"kept: {folder}", file=sys.stderr)
    else:
        shutil.rmtree(folder)
    return 0 if found.good else 1


if __name__ == "__main__":
    sys.exit(main())
