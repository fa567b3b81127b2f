"""People's own words made plain: nothing that hides or turns the line, one form a letter."""

from __future__ import annotations

import unicodedata

_DROPPED = frozenset({"Cc", "Cf", "Cs", "Co"})
_BLANK = frozenset("\u115f\u1160\u3164\uffa0\u2800")  # letters that show nothing
_STRAIGHT = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"'})


def visible(text: str) -> str:
    """`text` without characters that hide, turn the line around, or are no characters at all."""
    if text.isascii() and text.isprintable():
        return text  # nothing in it can hide
    return "".join(map(_seen, text))


def _seen(character: str) -> str:
    if unicodedata.category(character) not in _DROPPED and character not in _BLANK:
        return character
    return " " if character.isspace() else ""


def plain(text: str) -> str:
    """`visible` text in its compatibility form (ﬁ is fi), quotes straight, spaces single."""
    folded = unicodedata.normalize("NFKC", visible(text)).translate(_STRAIGHT)
    return " ".join(folded.split())
