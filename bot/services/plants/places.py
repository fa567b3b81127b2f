"""Ports by name: "L4P5", "level 4 port 5", "4-5", "L1P1-L1P4", "level 2", "all"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from bot.errors import Refusal
from bot.records.book import Book
from bot.records.facts import MOST_PORTS, Planting, Tower
from calc.errors import Unreadable

Port = tuple[int, int]  # level, from the lowest up, and port

_NAMED: Final = r"l(?:evel|vl)?\s*(\d{1,2})\s*[-,/. ]?\s*p(?:ort|lace)?\s*(\d{1,2})"
_ONE: Final = rf"(?:{_NAMED}|(\d{{1,2}})\s*[-/.]\s*(\d{{1,2}}))"
_RANGE: Final = re.compile(rf"{_ONE}\s*(?:-|–|to|through|until)\s*{_ONE}", re.IGNORECASE)
_PORT: Final = re.compile(_ONE, re.IGNORECASE)
_LEVEL: Final = re.compile(r"\bl(?:evel|vl)?\s*(\d{1,2})\b(?!\s*[-,/. ]?\s*p)", re.IGNORECASE)
_JOINING: Final = re.compile(r"\b(?:and|in|ports?|at|the|all|of)\b|[,;&+]", re.IGNORECASE)
_MOST: Final = 20  # levels, and ports of a level, where nothing is known of a tower


def read_ports(text: str, tower: Tower) -> tuple[Port, ...]:
    """Every port that `text` names, in order, each once.

    Raises
    ------
    Unreadable
    Refusal
        A port that this tower does not have.
    """
    words = text.strip()
    if is_all(words):
        if not ports_of(tower):
            raise Refusal("no.ports_unknown", tower=tower.name)
        return tuple(ports_of(tower))
    found: list[Port] = []
    rest = words
    for match in _RANGE.finditer(words):
        first, last = _pair(match.groups()[:4]), _pair(match.groups()[4:])
        found += _between(first, last, tower)
        rest = rest.replace(match[0], " ", 1)
    for match in _PORT.finditer(rest):
        found.append(_pair(match.groups()))
    rest = _PORT.sub(" ", rest)
    for match in _LEVEL.finditer(rest):
        level = int(match[1])
        found += [(level, port) for port in range(1, (tower.ports_per_level or 0) + 1)]
    rest = _JOINING.sub(" ", _LEVEL.sub(" ", rest)).strip()
    if not found or rest or len(found) > MOST_PORTS:
        raise Unreadable(text=text[:60], wanted="port")
    return tuple(dict.fromkeys(_there(port, tower) for port in found))


def is_all(text: str) -> bool:
    """ "all", "everything" """
    return text.casefold().strip() in ("all", "every", "everything", "all ports", "the lot")


def _pair(groups: tuple[str | None, ...]) -> Port:
    level, port = [int(g) for g in groups if g is not None]
    return level, port


def _between(first: Port, last: Port, tower: Tower) -> list[Port]:
    if first[0] == last[0]:
        low, high = sorted((first[1], last[1]))
        return [(first[0], port) for port in range(low, high + 1)]
    return [p for p in ports_of(tower) if min(first, last) <= p <= max(first, last)]


def _there(port: Port, tower: Tower) -> Port:
    levels, ports = tower.levels or _MOST, tower.ports_per_level or _MOST
    if not (1 <= port[0] <= levels and 1 <= port[1] <= ports):
        if not ports_of(tower):
            raise Refusal("no.port_far", port=port_name(port))
        raise Refusal("no.port", port=port_name(port), tower=tower.name, levels=levels, ports=ports)
    return port


def ports_of(tower: Tower) -> list[Port]:
    """Every port of a tower, from the lowest level up; none where that is not known."""
    return [
        (level, port)
        for level in range(1, (tower.levels or 0) + 1)
        for port in range(1, (tower.ports_per_level or 0) + 1)
    ]


def empty_ports(tower: Tower, book: Book) -> list[Port]:
    """Ports that nothing grows in, from the lowest level up."""
    taken = {(p.level, p.port) for p in book.growing(tower.name)}
    return [port for port in ports_of(tower) if port not in taken]


def standing_in(ports: Iterable[Port], tower: Tower, book: Book) -> tuple[Planting, ...]:
    """What grows in these ports."""
    wanted = set(ports)
    return tuple(p for p in book.growing(tower.name) if (p.level, p.port) in wanted)


def port_name(port: Port) -> str:
    """L4P5"""
    return f"L{port[0]}P{port[1]}"


def port_names(ports: Iterable[Port]) -> str:
    """L1P1-L1P4, L3P2: neighbours of a level in one."""
    runs: list[list[Port]] = []
    for port in sorted(ports):
        if runs and runs[-1][-1] == (port[0], port[1] - 1):
            runs[-1].append(port)
        else:
            runs.append([port])
    return ", ".join(
        port_name(run[0]) if len(run) == 1 else f"{port_name(run[0])}-{port_name(run[-1])}"
        for run in runs
    )
