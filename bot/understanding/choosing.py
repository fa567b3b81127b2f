"""What a sentence asks: the kind of question whose example sentences are most like it.

Multinomial naive Bayes over words and pairs of words (McCallum and Nigam 1998, "A comparison of
event models for naive Bayes text classification"): no kind is likelier than another beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from math import exp, log
from typing import Final

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.understanding.learned import learned
from bot.understanding.repairing import ENGLISH
from bot.understanding.sentence import Sentence
from bot.understanding.signs import new_words, signs_of

_UNSEEN: Final = 0.1  # what a sign counts for a kind that never showed it


def choices(sentence: Sentence) -> dict[str, float]:
    """Each kind of question with its probability, the likeliest first."""
    signs = signs_of(sentence.tokens, level=sentence.level is not None)
    return shares(signs | new_words(sentence.tokens, learned().signs))


def shares(signs: Iterable[str]) -> dict[str, float]:
    """The same of signs; those that no example showed count for nothing."""
    model, speaks = learned(), _speaks()
    known = [speaks[sign] for sign in signs if sign in speaks]
    several = _UNSEEN * len(speaks)
    found = [-len(known) * _log(shown + several) for shown in model.shown]
    for pairs in known:
        for kind, more in pairs:
            found[kind] += more
    most = max(found)
    odds = [exp(weight - most) for weight in found]
    whole = sum(odds)
    ranked = sorted(zip(odds, model.kinds, strict=True), reverse=True)
    return {kind: one / whole for one, kind in ranked}


def unheard(sentence: Sentence, kinds: frozenset[str]) -> str | None:
    """A word of the sentence that no example of these kinds has: it may turn all the rest around.

    A slip of such a word, which is no English word itself, counts as that word.
    """
    heard = _heard(kinds)
    for item, token in zip(sentence.items, sentence.tokens, strict=True):
        if token is None or not token.isalpha() or len(token) < _LETTERS or token in heard:
            continue
        typed = sentence.text[item.start : item.end]
        if typed.casefold() in ENGLISH or not _slip_of(token, heard):
            return typed
    return None


def _slip_of(token: str, heard: frozenset[str]) -> bool:
    most = 1 if len(token) < _LONG else 2
    return process.extractOne(token, heard, scorer=OSA.distance, score_cutoff=most) is not None


@cache
def _heard(kinds: frozenset[str]) -> frozenset[str]:
    """Every word that the examples of these kinds have."""
    at = {n for n, kind in enumerate(learned().kinds) if kind in kinds}
    return frozenset(
        sign
        for sign, flat in learned().signs.items()
        if sign.isalpha() and at.intersection(flat[::2])
    )


_LONG = 7
_LETTERS = 3


@cache
def _speaks() -> dict[str, tuple[tuple[int, float], ...]]:
    """For each sign the kinds that showed it, with how much more than those that never did."""
    return {
        sign: tuple((flat[n], _more(flat[n + 1])) for n in range(0, len(flat), 2))
        for sign, flat in learned().signs.items()
    }


@lru_cache(maxsize=4096)
def _more(count: int) -> float:
    """A sign seen `count` times against one never seen."""
    return log((count + _UNSEEN) / _UNSEEN)


@lru_cache(maxsize=4096)
def _log(number: float) -> float:
    return log(number)
