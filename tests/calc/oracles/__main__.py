"""Print each oracle's worst difference and where it lies."""

from __future__ import annotations

from tests.calc.oracles import ORACLES

for oracle in ORACLES:
    found = oracle()
    print(
        f"{found.name}: {found.difference:.3g} {found.unit} (goal {found.goal:g}) against "
        f"{found.oracle}, at {found.where}, of {found.cases}"
    )
