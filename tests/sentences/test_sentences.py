"""No amount where there must be none; and what is understood may grow, not shrink."""

from __future__ import annotations

import pytest

from tests.sentences.judging import replies, rows, verdict, with_slips

# Shares right as last counted, rounded down; what falls short of the aim (0.97) is said in
# CHANGELOG.
FLOOR = {"open": 1.0, "read": 0.8, "untouched": 0.7}


@pytest.mark.parametrize("name", FLOOR)
def test_sentences_are_understood_and_none_is_dangerous(name: str) -> None:
    asked = rows(name)
    found = [verdict(r, a) for r, a in zip(asked, replies(asked), strict=True)]
    assert found.count("dangerous") == 0
    assert found.count("right") / len(found) >= FLOOR[name]


@pytest.mark.parametrize("name", FLOOR)
def test_slips_of_the_thumb_are_not_dangerous(name: str) -> None:
    asked = [with_slips(r) for r in rows(name)]
    found = [verdict(r, a) for r, a in zip(asked, replies(asked), strict=True)]
    assert found.count("dangerous") == 0
