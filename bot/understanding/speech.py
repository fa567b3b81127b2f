"""How people write in a hurry, and how they take a number back, made plain before reading."""

from __future__ import annotations

import re
from typing import Final

from calc.units import Quantity, scan

_TO = (
    "much|strong|hot|high|low|get|bring|the|add|go|fill|be|do|my|sow|start|top|reorder|put|hit|"
    "change|feed|plate|weak|late|full"
)


_MONTH = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"
_ORDINALS: Final = {
    name: number
    for number, name in enumerate(
        "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth "
        "fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth".split(),
        1,
    )
}


def _ordinal(found: re.Match[str]) -> str:
    """ "the third of march" -> 3."""
    return str(_ORDINALS[(found[1] or found[0]).casefold()])


def _half_past(found: re.Match[str]) -> str:
    """ "half past 8 in the evening" -> "8:30 pm"."""
    half = {"evening": " pm", "afternoon": " pm", "morning": " am"}.get(found[2] or "", "")
    return f"{found[1]}:30{half}"


def _ordinal_day(found: re.Match[str]) -> str:
    """ "today, the eighth" -> 8th."""
    return f"{_ORDINALS[found[1].casefold()]}th"


def _port(found: re.Match[str]) -> str:
    """ "the second port of the third level" -> level 3 port 2."""
    return f"level {_ORDINALS[found[2].casefold()]} port {_ORDINALS[found[1].casefold()]}"


def _month_first(found: re.Match[str]) -> str:
    """ "march tenth" -> march 10."""
    return f"{found[1]} {_ORDINALS[found[3].casefold()]}"


def _evening(found: re.Match[str]) -> str:
    """ "2 in the afternoon" -> 2 pm."""
    minutes = f":{found[2]}" if found[2] else ""
    return f"{found[1]}{minutes} pm"


_SHORT: Final = tuple(
    (re.compile(pattern, re.IGNORECASE), plain)
    for pattern, plain in (
        (r"\b(\d{1,2}),(\d{3})\b(?! ?(?:l|lit\w*|gal\w*|ml|g|kg)\b)", r"\1\2"),
        (r",? (?:and )?it'?s down (?=\d)", ". down "),
        (r"\bhalf an? (?=inch|gal|lit|quart|cup|ounce|oz|pint)", "0.5 "),
        (r"\bhalf past (\d{1,2})(?: in the (evening|morning|afternoon))?", _half_past),
        (r"\bdn\b", "down"),
        (r"\btgt\b", "target"),
        (r"\bchg\b", "change"),
        (r"\b2gether\b", "together"),
        (r"(?<=\d )(fingers?|inch\w*|cm|mm|centimet\w+)(?: of water)? less than ", r"\1 below "),
        (r"\bl(?=\.\d)", "1"),
        (r"\b(?:for|to|in|on) (?:each|every) (?=lit|gal|l\b)", "per "),
        (r"\bp\.? ?m\.?(?= |$|,)", "pm"),
        (r"(?<=\d )a\.? ?m\.?(?= |$|,)", "am"),
        (r"\b(\d{1,2})(\d{2}) ?(?=[ap]m\b)", r"\1:\2 "),
        (rf"(?<=y |e |h |l |r |t )\b({'|'.join(_ORDINALS)})\b(?= at \w+)", _ordinal),
        (rf"\b({'|'.join(_ORDINALS)})(?= of (?:{_MONTH})| (?:{_MONTH}))", _ordinal),
        (r"\((500|640|700) scale\)(.{0,30}?\d+ ?ppm)", r"\2 on the \1 scale"),
        (r"\b2day\b", "today"),
        (r"\b2moro?w?\b", "tomorrow"),
        (r"\b2nite\b", "tonight"),
        (r"\bh2o\b", "water"),
        (r"\bb4\b", "before"),
        (r"\be c\b", "ec"),
        (r"\bp h\b", "ph"),
        (r"\btwrs?\b", "tower"),
        (r"\bwks\b", "weeks"),
        (r"\blvl\b", "level"),
        (r"\bprt\b", "port"),
        (r"\bmtr\b", "meter"),
        (r"\bbk\b", "back"),
        (r"\bblw\b", "below"),
        (rf"\b2(?= (?:{_TO})\b)", "to"),
        (r"\b4(?= (?:the|my|a|me|it|lettuce|basil|this|that|now|today)\b)", "for"),
        (r"(?<=[a-z\d]) n (?=[a-z\d])", " and "),
        (r"\b(\d+) ?(?:n|and) a half\b", r"\1.5"),
        (
            r"\b(?:an? |1 |one )?(gal\w*|lit\w+|fingers?|inch|cups?|pints?|quarts?|jugs?) and a half\b",
            r"1.5 \1",
        ),
        (r"\bdown (?:by )?(?:a |1 )?half\b", "down half"),
        (
            rf"\b({'|'.join(_ORDINALS)}) (?:port|hole|slot|pocket|place) (?:of|on|in) (?:the )?({'|'.join(_ORDINALS)}) level\b",
            _port,
        ),
        (r"\b(?:hole|slot|pocket|spot) (?:number |no\.? ?)?(?=\d)", "port "),
        (r"(?<=drops)[ /](?:a |per |/ ?)?(?=(?:gal\w*|l|lit\w+)\b)", " in 1 "),
        (r"\b(?:is |was )?(?:not|isn'?t|isnt) (?:quite |yet |even )?full\b", "unfull"),
        (r"\b(\d{1,2})(?::(\d\d))?(?: o'?clock)? in the (?:afternoon|evening)\b", _evening),
        (r"\b(\d{1,2}(?::\d\d)?)(?: o'?clock)? in the morning\b", r"\1 am"),
        (r"\b(?:is |was )?lower by\b", "down"),
        (rf"(?<=today,)(?: the)? ({'|'.join(_ORDINALS)})\b", _ordinal_day),
        (rf"(?<=\bthe )({'|'.join(_ORDINALS)})(?=[,.]| (?:at|it|and|each)\b)", _ordinal_day),
        (rf"\b(({_MONTH})[a-z]*) ({'|'.join(_ORDINALS)})\b", _month_first),
        (r"\bdrop(?:s|ped) (?:by )?(?=(?:a |about |like )?(?:half|third|quarter|\d))", "down "),
        (
            r"\bmiss(?:es|ing) (?:about )?(?=(?:a |one |two )?(?:half|thirds?|quarters?|\d))",
            "down ",
        ),
        (
            r"\b(?:needs?|takes?) (?:about )?(\d+(?:\.\d+)? ?(?:gal\w*|l|lit\w+|cups?|quarts?|jugs?)) "
            r"to (?:get|be|come|go|reach|bring)(?: the water| it)?(?: back)?(?: up)?(?: to)? the (?:full )?"
            r"(?:line|mark|top)",
            r"down \1",
        ),
    )
)


_TURN: Final = re.compile(
    r"[ ,.\-]*\b(?:no,? ?(?:wait|sorry|hang on|make that|actually|i mean|checked again)"
    r"|wait,? ?(?:no|sorry)|sorry,? ?(?:i mean|it'?s|it was|make that)?|i mean|scratch that"
    r"|make that|no(?= \d)|no,(?= (?:the|it'?s?|that|make) )|hang on|oops|no,? i misread|misread it|hmm no)\b[^\d.?!]{0,50}?(?=[\d-])",
    re.IGNORECASE,
)
_REACH = 60
_TIME: Final = re.compile(r" ?(?:days?|weeks?|wks?|months?|hours?|hrs?)\b", re.IGNORECASE)


def in_full(text: str) -> str:
    """Texting forms written out."""
    for rule, plain in _SHORT:
        text = rule.sub(plain, text)
    return text


def retold(text: str) -> str:
    """ "3.5 gal, no sorry, 4 gal" -> "4 gal": the last number of that kind gives way."""
    for _ in range(3):
        turn = _TURN.search(text)
        if turn is None:
            return text
        rest = text[turn.end() :]
        after = [i for i in scan(rest[:_REACH]) if isinstance(i, Quantity)]
        before = [i for i in scan(text[: turn.start()]) if isinstance(i, Quantity)]
        if not after or after[0].start > 2:
            return text
        new = after[0]
        fits = [i for i in before if i.kind == new.kind or (new.kind == "number" and not new.unit)]
        if not fits:
            return text
        old = fits[-1]
        told = rest[new.start : new.end]
        gone = _TIME.match(text[old.end :])
        if gone and _TIME.match(rest[new.end :]):  # "10 days, no, make it 5 wks"
            return (
                text[: old.start]
                + told
                + rest[new.end :]
                + text[old.end + gone.end() : turn.start()]
            )
        if new.kind == "number" and old.unit:
            told += text[old.start : old.end].lstrip("0123456789.,")
        text = text[: old.start] + told + text[old.end : turn.start()] + rest[new.end :]
    return text
