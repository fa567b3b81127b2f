"""`tankwren`: the only reader of argv."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from bot.clock import SystemClock
from bot.errors import NotStarted
from bot.words import sentence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; every reason not to start is one line and exit code 2."""
    chosen = _parser().parse_args(argv)
    try:
        return _COMMANDS[chosen.command](chosen)
    except NotStarted as reason:
        line = sentence(reason.word).format(**reason.values)
        print(f"tankwren: {line}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        return 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="tankwren", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("run", help="serve the chat platform (settings from the environment)")
    commands.add_parser("migrate", help="bring the database to this version's schema")
    copying = commands.add_parser("backup", help="a copy of the records, also while the bot runs")
    copying.add_argument("--to", type=Path, help="this file (else in the data folder)")
    restoring = commands.add_parser("restore", help="a copy in the records' place: first a list")
    restoring.add_argument("copy", type=Path)
    restoring.add_argument("--yes", action="store_true", help="do it")
    checking = commands.add_parser("check", help="what is wrong here, and what to do about it")
    checking.add_argument("--clock-is-right", action="store_true", help="though it jumped ahead")
    rehearse = commands.add_parser("rehearse", help="the bot in the demo town, no account needed")
    rehearse.add_argument("--port", type=_port, default=0, help="loopback port (0: any free one)")
    rehearse.add_argument("--record", type=Path, help="write every request the server got here")
    rehearse.add_argument("--seed", type=int, default=1, help="another season of the town")
    rehearse.add_argument("--say", action="append", help="say this as the member, print, and exit")
    rehearse.add_argument("--speed", type=_speed, default=1.0, help="the clock: 0 stands, to 1000")
    rehearse.add_argument("--no-page", action="store_true", help="serve no page")
    asking = commands.add_parser("ask", help="one answer from a file of records; stores nothing")
    asking.add_argument("--records", type=Path, help="the person's records, in the export's form")
    asking.add_argument("--json", dest="text", help="the sentence to answer")
    asking.add_argument("--batch", action="store_true", help="lines of {id, text, records} in")
    tanks = commands.add_parser("forecast", help="when each tank comes to its mark")
    tanks.add_argument("--batch", action="store_true", required=True,
                       help="lines of {id, records, mark_l} in")  # fmt: skip
    return parser


def _port(text: str) -> int:
    number = int(text)
    if not 0 <= number <= 65535:
        raise ValueError(text)
    return number


def _speed(text: str) -> float:
    number = float(text)
    if not 0 <= number <= 1000:
        raise ValueError(text)
    return number


def _lines() -> Iterator[str]:
    """Lines of the standard input; a byte that is no text spoils its own line alone."""
    return (raw.decode("utf-8", errors="replace") for raw in sys.stdin.buffer)


def _ask(chosen: argparse.Namespace) -> int:
    from bot.commands.ask import ask, ask_batch

    if chosen.batch:
        for reply in ask_batch(_lines(), SystemClock()):
            print(json.dumps(reply), flush=True)
        return 0
    if chosen.records is None or chosen.text is None:
        raise NotStarted("operator.ask_needs")
    print(json.dumps(ask(chosen.records, chosen.text, SystemClock())))
    return 0


def _forecast(chosen: argparse.Namespace) -> int:
    from bot.commands.forecast import forecast_batch

    for reply in forecast_batch(_lines(), SystemClock()):
        print(json.dumps(reply), flush=True)
    return 0


def _run(chosen: argparse.Namespace) -> int:
    from bot.app.serving import run

    return run()


def _migrate(chosen: argparse.Namespace) -> int:
    from bot.app.serving import migrate

    print(migrate())
    return 0


def _backup(chosen: argparse.Namespace) -> int:
    from bot.app.serving import settings
    from bot.operate.backup import backup

    print(backup(settings(), SystemClock(), chosen.to))
    return 0


def _restore(chosen: argparse.Namespace) -> int:
    from bot.app.serving import settings
    from bot.operate.restore import restore

    print(restore(settings(), SystemClock(), chosen.copy, yes=chosen.yes))
    return 0


def _check(chosen: argparse.Namespace) -> int:
    from bot.app.serving import settings
    from bot.operate.check import check

    text, good = check(settings(), SystemClock(), clock_is_right=chosen.clock_is_right)
    print(text)
    return 0 if good else 1


def _rehearse(chosen: argparse.Namespace) -> int:
    from bot.app.rehearsing import rehearse

    return rehearse(
        port=chosen.port,
        record=chosen.record,
        say=chosen.say or [],
        seed=chosen.seed,
        page=not chosen.no_page,
        speed=chosen.speed,
    )


_COMMANDS = {
    "ask": _ask,
    "backup": _backup,
    "check": _check,
    "forecast": _forecast,
    "migrate": _migrate,
    "rehearse": _rehearse,
    "restore": _restore,
    "run": _run,
}

if __name__ == "__main__":
    sys.exit(main())
