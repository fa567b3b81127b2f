"""What the bot has learned is what the examples teach, and it carries over to what they lack."""

from __future__ import annotations

import json
import random

from bot.understanding.asks import MAKERS
from bot.understanding.learned import learned
from bot.understanding.roles import context, family_of
from tests.sentences.learning import TARGET, Example, example, examples, learn, written

_FOLDS = 8


def test_the_file_is_what_the_examples_teach() -> None:
    """`python -m tests.sentences learn` after every change of an example or a sign."""
    assert TARGET.read_text(encoding="utf-8") == written()


def test_every_kind_that_is_learned_has_a_question() -> None:
    assert set(learned().kinds) == set(MAKERS)


def test_a_mark_says_what_its_number_is() -> None:
    one = example("topup_meter", "{half:level} full {16g:tank}, ec {1.9:ec}, since {two:none} days")
    assert [role for _, role in one.numbers] == ["level", "tank", "ec", "none"]


def test_numbers_of_sentences_left_out_are_known_by_the_rest() -> None:
    """An eighth of the examples, by numbers that the other seven have not shown."""
    every = list(examples())
    random.Random(5).shuffle(every)
    asked, taught = every[::_FOLDS], [e for n, e in enumerate(every) if n % _FOLDS]
    model = json.loads(json.dumps(learn(taught)))
    right = [r for one in asked for r in _right(one, model)]
    assert sum(right) / len(right) >= 0.8


def _right(one: Example, model: dict[str, dict[str, list[int]]]) -> list[bool]:
    if not one.numbers:
        return []
    names, among = model["names"], model["roles"][family_of(one.kind)]
    had: list[str] = []
    found = []
    for signs, role in one.numbers:
        speaks = dict.fromkeys(among, 0)
        for sign in context(had, family_of(one.kind), signs):
            flat = model["weights"].get(sign, [])
            for which, weight in zip(flat[::2], flat[1::2], strict=True):
                if which in speaks:
                    speaks[which] += weight
        had.append(str(names[max(among, key=speaks.__getitem__)]))  # type: ignore[call-overload]
        found.append(had[-1] == role)
    return found
