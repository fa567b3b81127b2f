""" "nudge me sat evening about the filter": a reminder in a sentence, or a look at one's own.

Only taken apart here: whether the time can be read says the service, and asks if not.
"""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.questions import Question, Remind, Reminders
from bot.understanding.naming import only_tower

_ASKED: Final = re.compile(
    r"(?:please |pls )?(?:can|could|would|will) you (?=remind|nudge|ping|poke)|(?:please |pls )"
)
_ME: Final = re.compile(
    r"(?:set (?:me )?(?:a|one) reminder|(?:remind|nudge|ping|poke) me)\b[ :,]*(?P<rest>.*)"
)
_LIST: Final = re.compile(
    r"(?:what (?:are|were) )?(?:my|the|list|show)(?: me)?(?: my| the| all)? reminders|"
    r"(?:stop|end|cancel|no more)(?: all)?(?: my| the)? (?:reminders|reminding me|nudging me)|"
    r"what do you remind me of"
)
_DAY = r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*"
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
# The words that a time begins with.
_BEGINS: Final = (
    r"(?:every|each|daily|weekly|monthly|yearly|nightly|tomorrow|tonight|today|next|this|"
    r"in (?:half an?|\w+) ?(?:min|h|d|w)|at \d|in the (?:morning|evening)|weekdays|"
    r"(?:the )?last day|"
    rf"on (?:the )?(?:{_DAY}|\d|{_MONTH}|last|first)|{_DAY}\b|\d{{1,2}} {_MONTH}|{_MONTH} \d|"
    r"\d{1,2}(?::\d\d)? ?[ap]m|\d{1,2}:\d\d|"
    rf"(?:the )?(?:\d(?:st|nd|rd|th)|first|second|third) {_DAY})"
)
_WHEN_FIRST: Final = re.compile(
    rf"(?:for )?(?P<when>{_BEGINS}.*?) (?:to|about|that|of|for)"
    r"(?! the month| (?:the|every) month) (?P<about>.+)"
)
_ABOUT_FIRST: Final = re.compile(rf"(?:to|about|that|of|for) (?P<about>.+?) (?P<when>{_BEGINS}.*)")
_ABOUT: Final = re.compile(r"(?:to|about|that|of|for) (?P<about>.+)")
_OF_RECORDS: Final = re.compile(r"(?:when|before) ")
_LONGEST_WHEN = 60
_LONGEST = 300
_NEXT_OR_THIS: Final = re.compile(r"^(?:next|this) (?=[a-z])")


def heard_reminder(text: str, book: Book) -> Question | None:
    """The reminder in a sentence; None where it asks for none."""
    words = " ".join(re.sub(r"[,:]+ | [,:]+", " ", text[:_LONGEST]).split()).strip(" .!?")
    lowered = words.casefold()
    if _LIST.fullmatch(lowered):
        return Reminders()
    asked = _ASKED.match(lowered)
    start = asked.end() if asked else 0
    found = _ME.match(lowered, start)
    if found is None:
        return None
    begin = found.start("rest")
    rest, typed = lowered[begin:], words[begin:]
    for form in (_WHEN_FIRST, _ABOUT_FIRST):
        if (parts := form.fullmatch(rest)) is not None:
            about = typed[parts.start("about") : parts.end("about")]
            when = _NEXT_OR_THIS.sub("", parts["when"].strip(" ,:"))
            return Remind(about=about.strip(" ,:"), when=when, tower=only_tower(lowered, book))
    if (parts := _ABOUT.fullmatch(rest)) is not None:
        about = typed[parts.start("about") : parts.end("about")]
        return Remind(about=about, tower=only_tower(lowered, book))
    if _OF_RECORDS.match(rest):
        return Remind(about=rest, when=rest)
    if re.match(_BEGINS, rest):
        return Remind(when=rest)
    return Remind()


def says_when(text: str) -> bool:
    """Whether a text is a time, as an answer to "when?": it begins as one, and is short."""
    words = " ".join(text.casefold().split()).strip(" .!?")
    return len(words) <= _LONGEST_WHEN and re.match(rf"(?:at |on )?{_BEGINS}", words) is not None
