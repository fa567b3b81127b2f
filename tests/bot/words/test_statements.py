"""What the handbook lets the bot say: each statement stands in a reply, with its main words.

The statements and their sources are rows of tests/calc/data/checks.json.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bot.words import sentence

ROWS = json.loads((Path(__file__).parents[2] / "calc/data/checks.json").read_text())
STATEMENTS = {
    row["id"]: row["inputs"]["statement_text"] for row in ROWS if row["formula_name"] == "statement"
}
# Where each is said, and what must stand there.
SAID = {
    "Keep light out": (("no.algae",), ("light", "cover")),
    "Refill when": (("week.topup", "reading.below_line"), ("pump", "dry")),
    "Add nutrient in proportion": (("why.topup_label",), ("for the {water} you add",)),
    "Start seedlings": (("check.strength_seedling", "remind.stage"), ("seedling",)),
    "Bleach with an acid": (("caution.bleach", "no.bleach_mix"), ("acid", "toxic")),
    "Bleach is never mixed": (("caution.bleach", "no.bleach_mix"), ("ammonia", "any cleaner")),
    "Protect the pump outlet": (("timer.drip_loop",), ("ground-fault (RCD) outlet",)),
    "Where GFCI outlets": (("timer.drip_loop",), ("ground-fault",)),
    "Acid always into water": (("no.acid",), ("acid into water",)),
    "Where eyes or body": (("no.medical", "caution.ph_bottle"), ("rinse", "water", "eye")),
    "Wash hands": (("caution.harvest",), ("Wash hands", "running water", "never soap or bleach")),
    "Chlorine leaves": (
        ("source.chlorine", "source.chloramine"),
        ("24 h of strong aeration", "not"),
    ),
    "Refuse to coach": (("no.acid",), ("no amounts for acid", "coach")),
}


def test_every_statement_is_accounted_for() -> None:
    assert len(STATEMENTS) == 13
    for text in STATEMENTS.values():
        assert sum(text.startswith(begin) for begin in SAID) == 1, text


@pytest.mark.parametrize("begin", SAID)
def test_it_is_said_with_its_main_words(begin: str) -> None:
    names, words = SAID[begin]
    said = " ".join(sentence(name) for name in names)
    for word in words:
        assert word.casefold() in said.casefold(), word
