"""Constants of the package's own data/, each row with its source; read once."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("calc") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def atomic_masses() -> dict[str, float]:
    """Symbol -> standard atomic weight [g/mol]."""
    return {row["symbol"]: float(row["g_per_mol"]) for row in _rows("elements.csv")}


@cache
def compounds() -> dict[str, dict[str, int]]:
    """Formula -> {symbol: atoms}."""
    return {
        row["formula"]: {
            symbol: int(count)
            for symbol, count in (pair.split(":") for pair in row["atoms"].split())
        }
        for row in _rows("compounds.csv")
    }
