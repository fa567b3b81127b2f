"""Which question a sentence asks, or an honest "not mine".

Only reading and choosing: every span goes on as it was typed (slips mended), and is read by
`calc.units` when the question is answered. In this order: danger, a reply to what was asked last,
what was told, then whichever of the things that may be asked has the most words for it.
"""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.questions import Help, NotMine, Outage, Question, TopUp
from bot.text import plain
from bot.understanding.acts import heard_act
from bot.understanding.asks import ALL
from bot.understanding.asks.feeding import fed
from bot.understanding.danger import danger
from bot.understanding.numbers import in_digits
from bot.understanding.reads import heard_reading
from bot.understanding.repairing import repaired
from bot.understanding.replies import reply_to
from bot.understanding.sentence import Sentence
from bot.understanding.speech import in_full, retold
from calc.errors import CalcError
from calc.units import Measures, read_level

_LONGEST = 2000
_BESIDE_HALF: Final = re.compile(r"(\d)([½¼¾⅓⅔⅛⅜⅝⅞])")  # "4½": four and a half, not 41/2
_GROWING: Final = re.compile(
    r"\b(tower|tank|topped|pump|roots?|plants?|leaf|leaves|lettuce|basil|tomato\w*|nutrients?|feed|"
    r"water|seed\w*|gal\w*|lit(er|re)s?|leak\w*|ph|ec|meter|pen|timer|light|harvest|port|"
    r"remind\w*|undo|schedule|till empty|top up)\b"
)
_OFF_TOPIC: Final = re.compile(
    r"\b(pond|koi|fish|goldfish|bitcoin|weather|stocks?(?= market)|lottery|homework|book report|movie|football|"
    r"recipe for|president|aquarium|swimming pool|hot tub|next year|girlfriend|boyfriend|joke|poem)\b"
)
_GREETINGS: Final = frozenset(
    (
        "help",
        "what can you do",
        "hi",
        "hello",
        "hey",
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
    mended = retold(in_full(in_digits(repaired(typed, book))))
    about = about or danger(mended) or _parts_meet(mended, book)
    sentence = Sentence(mended, book)
    if about == "dry_roots":
        return Outage(tower=sentence.tower_name, heat=_how_hot(sentence))
    if about is not None:
        return NotMine(about=about)
    if sentence.low.strip(" !?.") in _GREETINGS:
        return Help()
    # What a person names, or tells to remember, stays as they typed it.
    for told in dict.fromkeys((typed, mended)):
        if book.awaited is not None and (reply := reply_to(book.awaited, told, book)) is not None:
            return reply
        if (act := heard_act(told, book)) is not None:
            return act
    of_part = any(
        re.search(rf"\bof (?:part )?{re.escape(n)}\b", mended.casefold()) for n in _part_names(book)
    )
    if not of_part and _is_level(mended):
        return TopUp(level=mended.strip())
    if _OFF_TOPIC.search(sentence.low):
        return NotMine(about="off_topic")
    return _asked(sentence, book)


def _asked(sentence: Sentence, book: Book) -> Question:
    """The best of what may be asked; feeding the tank is the first of them where nothing is said
    for another."""
    wanted = re.search(r"\b(in|as|into|to) (ec|ms)\b", sentence.low)
    if not wanted and (reading := heard_reading(sentence.text, book)) is not None:
        return reading
    ranked = sorted(
        ((i.score(sentence), n, i) for n, i in enumerate(ALL)), key=lambda r: (-r[0], r[1])
    )
    for score, _, intent in ranked:
        if score and (question := intent.make(sentence)) is not None:
            return question
    if (question := fed(sentence, book)) is not None:
        return question
    return NotMine(about="not_yet" if _GROWING.search(sentence.low) else "off_topic")


def _parts_meet(text: str, book: Book) -> str | None:
    """The feed's own parts, undiluted, in one vessel: said with their names."""
    low = text.casefold()
    named = [n for n in _part_names(book) if re.search(rf"\b{re.escape(n)}\b", low)]
    both = len(named) >= _BOTH or re.search(r"\b(both|all|the two) (bottles|parts)\b", low)
    asks = not re.search(r"\d", low) and _TOGETHER.search(low) is not None
    into = any(
        re.search(rf"\binto (?:the )?(?:bottle (?:of )?)?{re.escape(n)}\b", low) for n in named
    )
    asks = asks or into or bool(re.search(r"\b(cup|jug|bottle|bucket|syringe|jar) with\b", low))
    return "contact" if both and (_ONE_VESSEL.search(low) or asks) else None


def _part_names(book: Book) -> set[str]:
    return {p.name.casefold() for f in book.feeds for p in f.parts} | {"a", "b"}


_BOTH = 2
_TOGETHER: Final = re.compile(
    r"\b(mix|mixing|mixed|stir|shake|blend|add|pour|put|dump|tip|combine|chuck)\b[^.?!]{0,50}"
    r"\b(together|same|each other|at once|straight|before (i|it|they|you|adding|going|putting))\b"
)
_ONE_VESSEL: Final = re.compile(
    r"\b(same|1|one|single) (big |large |small |empty |old )?(bottle|jug|cup|container|syringe|bucket|drum|jar|can)\b|"
    r"\binto the \w+ bottle\b|\b(milky|cloudy) with\b|"
    r"\b(pre-?mix\w*|combine|blend|undiluted|neat|concentrates?)\b|"
    r"\b(mix|pour|dump|tip|put|shake|store|keep)\b[^.?!]{0,40}\b(together|in a cup|in 1 go)\b"
)


def _how_hot(s: Sentence) -> str | None:
    """What is said of the weather, or of the place, where roots dry."""
    warm = next((m.text for m in s.mentions if m.kind == "temperature"), None)
    if s.found(
        r"\b(indoors?|inside|living room|kitchen|basement|cellar|under (?:the )?lamp|closet|bedroom)\b"
    ):
        return "indoor"
    if warm:
        return warm
    degrees = s.found(r"\b(\d{2,3}) ?(?:degrees|deg|out(?:side)?\b)")
    if degrees:
        return degrees
    if s.found(r"\b(hot|heat\w*|sun|sunny|scorching|blazing|summer|boiling|baking)\b"):
        return "hot"
    if s.found(r"\b(mild|cool|cold|cloudy|overcast|night|shade|spring|autumn|fall)\b"):
        return "mild"
    return None


def _is_level(text: str) -> bool:
    """The whole text is a level, as when the bot has just asked how full the tank is."""
    if len(text) > 60:
        return False
    try:
        read_level(text, measures=Measures(gallon="us", jug_l=1.0))
    except CalcError:
        return False
    return True
