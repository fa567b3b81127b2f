"""Which question a sentence asks, or an honest "not mine".

Only reading and choosing: every span goes on as it was typed (slips mended), and is read by
`calc.units` when the question is answered. In this order: danger, a reply to what was asked last,
what was told, then whichever of the things that may be asked has the most words for it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from bot.records.book import Book
from bot.records.questions import Help, NotMine, Question, Said, TopUp
from bot.text import plain
from bot.understanding.acts import heard_act
from bot.understanding.asks import made
from bot.understanding.asks.care import power_cut
from bot.understanding.asks.feeding import fed
from bot.understanding.choosing import choices
from bot.understanding.danger import danger, part_names, parts_meet
from bot.understanding.naming import is_level
from bot.understanding.numbers import in_digits
from bot.understanding.repairing import repaired
from bot.understanding.replies import reply_to
from bot.understanding.sentence import Sentence
from bot.understanding.small_talk import small_talk
from bot.understanding.speech import in_full, retold

_LONGEST = 2000
_SHORT = 60
_BESIDE_HALF: Final = re.compile(r"(\d)([½¼¾⅓⅔⅛⅜⅝⅞])")  # "4½": four and a half, not 41/2
_GROWING: Final = re.compile(
    r"\b(tower|tank|topped|pump|roots?|plants?|leaf|leaves|lettuce|basil|tomato\w*|nutrients?|feed|"
    r"water|seed\w*|gal\w*|lit(er|re)s?|leak\w*|ph|ec|meter|pen|timer|light|harvest|port|"
    r"remind\w*|undo|schedule|till empty|top up)\b"
)
# Other vessels and plants: what is right for a tower is not for them.
_NOT_OURS: Final = re.compile(
    r"\b(pond|koi|goldfish|fish|aquarium|swimming pool|hot tub|lawn|orchids?|compost|chainsaw|trimmer|"
    r"radiator|sourdough|raised bed)\b"
)
_GREETINGS: Final = frozenset(
    (
        "help",
        "what can you do",
        "how do i add a tower",
        "what's ec",
        "whats ec",
    )
)


def hear(text: str, book: Book) -> Question:
    """The question in a sentence; NotMine where there is none that can be answered."""
    typed = plain(_BESIDE_HALF.sub(r"\1 \2", text)).replace("\u2044", "/")
    about = danger(typed)
    typed = typed[:_LONGEST]
    spelled = repaired(typed, book)
    about = about or (danger(spelled) if spelled != typed else None)
    mended = retold(in_full(in_digits(spelled)))
    about = about or parts_meet(mended, book)
    sentence = Sentence(mended, book)
    if about == "dry_roots":
        return power_cut(sentence)
    if about is not None:
        return NotMine(about=about, text=typed)
    said = sentence.low.strip(" !?.,")
    if said in _GREETINGS:
        return Help()
    if book.awaited is None and (word := small_talk(said)) is not None:
        return Said(word=word)
    # What a person names, or tells to remember, stays as they typed it.
    for told in dict.fromkeys((typed, mended)):
        if book.awaited is not None and (reply := reply_to(book.awaited, told, book)) is not None:
            return reply
        if (act := heard_act(told, book)) is not None:
            return act
    if len(mended) <= _SHORT and is_level(mended) and not _of_part(sentence):
        return TopUp(level=mended.strip())
    if _NOT_OURS.search(sentence.low):
        return NotMine(about="off_topic")
    found = _asked(sentence, book)
    return replace(found, text=typed) if found == NotMine(about="not_yet") else found


def _of_part(sentence: Sentence) -> bool:
    """ "half of A": what is left of a bottle, no level."""
    names = part_names(sentence.book)
    said = sentence.low
    first = any(re.match(rf"(?:part |bottle )?{re.escape(n)} (?:is|has|at)\b", said) for n in names)
    return first or any(f"of {n}" in said or f"of part {n}" in said for n in names)


def _asked(sentence: Sentence, book: Book) -> Question:
    """The likeliest kind that the sentence has enough for."""
    if not sentence.knows:  # "1900 uS half": nothing but numbers, or nothing at all
        parts = sentence.tokens.count("<part>") > 1
        told = "two_part_imbalance" if parts else "topup_meter"
        found = fed(sentence, told) if parts or sentence.level is not None else None
        return found or NotMine(about="off_topic")
    for place, (kind, share) in enumerate(choices(sentence).items()):
        if share < _LEAST and (place >= _TRIED or share < _FAINT):
            break
        question = made(kind, sentence)
        if question is not None:
            return question
    return NotMine(about="not_yet" if _GROWING.search(sentence.low) else "off_topic")


_LEAST: Final = 0.02
_TRIED, _FAINT = 3, 0.001  # however sure the first is, it may lack what it takes
