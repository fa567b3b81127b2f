"""Errors of the bot itself.

CalcError (calc.errors)   numbers out of range or impossible
Refusal                   something we say no to, naming its sentence
NotStarted                the bot cannot start: one readable line, a non-zero exit
anything else             a bug: logged with its traceback and a reference code
"""

from __future__ import annotations

from collections.abc import Mapping


class Refusal(Exception):
    """A no that a person reads as the sentence `word` with `values` filled in.

    outcome: "clarify" when what would work is a different input, "refuse" when nothing would.
    """

    def __init__(self, word: str, *, outcome: str = "clarify", **values: object) -> None:
        super().__init__(word)
        self.word = word
        self.outcome = outcome
        self.values: Mapping[str, object] = values


class NotStarted(Exception):
    """What is missing before the bot can run: an operator's sentence by name, with its values."""

    def __init__(self, word: str, **values: object) -> None:
        super().__init__(word)
        self.word = word
        self.values: Mapping[str, object] = values
