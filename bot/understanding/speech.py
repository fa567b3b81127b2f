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


def _in_all(found: re.Match[str]) -> str:
    """ "2 10 litre cans" -> 20 litre."""
    return f"{int(found[1]) * float(found[2]):g} {found[3]}"


_EACH_HOLDS = r"(\d{1,3}(?:\.\d+)?)[ -]?(l|lit(?:re|er)s?|gal(?:lon)?s?|ml|cl)\b"
_VESSELS = "jerry can|watering can|can|jug|bottle|bucket|pail|carboy"

# Each with letters of which some must be there: most sentences need none of them.
_SHORT: Final = tuple(
    (needles.split("|"), re.compile(pattern, re.IGNORECASE), plain)
    for needles, pattern, plain in (
        (",", r"\b(\d{1,2}),(\d{3})\b(?! ?(?:l|lit\w*|gal\w*|ml|g|kg)\b)", r"\1\2"),
        ("s down", r",? (?:and )?it'?s down (?=\d)", ". down "),
        ("half a", r"\bhalf an? (?=inch|gal|lit|quart|cup|ounce|oz|pint)", "0.5 "),
        ("half past", r"\bhalf past (\d{1,2})(?: in the (evening|morning|afternoon))?", _half_past),
        (" back", r"\b(\d+|an?) (days?|weeks?|wks?|months?) back\b", r"\1 \2 ago"),
        ("day", r"\b(?:before|since) (\d+) days?\b(?! (?:ago|of))", r"\1 days ago"),
        (".", r"\bx ?0?\.([57])\b(?= (?:pen|scale|meter))", r"on the \g<1>00 scale "),
        (".5", r"\b0?\.5 (?=scale|kind|type)", "500 scale "),
        (".7", r"\b0?\.7 (?=scale|kind|type)", "700 scale "),
        ("factor", r"\bfactor (?:of )?0?\.5\b", "on the 500 scale"),
        ("factor", r"\bfactor (?:of )?0?\.7\b", "on the 700 scale"),
        (
            "less than",
            r"(?<=\d )(fingers?|inch\w*|cm|mm|centimet\w+)(?: of water)? less than ",
            r"\1 below ",
        ),
        ("l.", r"\bl(?=\.\d)", "1"),
        ("each|every", r"\b(?:for|to|in|on) (?:each|every) (?=lit|gal|l\b)", "per "),
        ("m", r"\bp\.? ?m\.?(?= |$|,)", "pm"),
        ("m", r"(?<=\d )a\.? ?m\.?(?= |$|,)", "am"),
        ("m", r"\b(\d{1,2})(\d{2}) ?(?=[ap]m\b)", r"\1:\2 "),
        ("scale", r"\((500|640|700) scale\)(.{0,30}?\d+ ?ppm)", r"\2 on the \1 scale"),
        (" 2 |2 ", rf"(?<![\d.])\b2(?= (?:{_TO})\b)", "to"),
        ("4 ", r"(?<![\d.])\b4(?= (?:the|my|a|me|it|lettuce|basil|this|that|now|today)\b)", "for"),
        (" n ", r"(?<=[a-z\d]) n (?=[a-z\d])", " and "),
        ("a half", r"\b(\d+) ?(?:n|and) a half\b", r"\1.5"),
        (
            "and a half",
            r"\b(?:an? |1 |one )?(gal\w*|lit\w+|fingers?|inch|cups?|pints?|quarts?|jugs?) and a half\b",
            r"1.5 \1",
        ),
        ("down", r"\bdown (?:by )?(?:a |1 )?half\b", "down half"),
        (
            "hole|slot|pocket|spot",
            r"\b(?:hole|slot|pocket|spot) (?:number |no\.? ?)?(?=\d)",
            "port ",
        ),
        ("drops", r"(?<=drops)[ /](?:a |per |/ ?)?(?=(?:gal\w*|l|lit\w+)\b)", " in 1 "),
        ("full", r"\b(?:is |was )?(?:not|isn'?t|isnt) (?:quite |yet |even )?full\b", "unfull"),
        (
            "in the",
            r"\b(\d{1,2})(?::(\d\d))?(?: o'?clock)? in the (?:afternoon|evening)\b",
            _evening,
        ),
        ("in the morning", r"\b(\d{1,2}(?::\d\d)?)(?: o'?clock)? in the morning\b", r"\1 am"),
        ("lower by", r"\b(?:is |was )?lower by\b", "down"),
        (
            "drop",
            r"\bdrop(?:s|ped) (?:by )?(?=(?:a |about |like )?(?:half|third|quarter|\d))",
            "down ",
        ),
        (
            "miss",
            r"\bmiss(?:es|ing) (?:about )?(?=(?:a |one |two )?(?:half|thirds?|quarters?|\d))",
            "down ",
        ),
        (
            "need|take",
            r"\b(?:needs?|takes?) (?:about )?(\d+(?:\.\d+)? ?(?:gal\w*|l|lit\w+|cups?|quarts?|jugs?)) "
            r"to (?:get|be|come|go|reach|bring)(?: the water| it)?(?: back)?(?: up)?(?: to)? the (?:full )?"
            r"(?:line|mark|top)",
            r"down \1",
        ),
        (
            _VESSELS,
            rf"\b(\d{{1,2}})(?: ?x)?(?: of (?:my|the|our))? {_EACH_HOLDS} ?(?:{_VESSELS})s?\b",
            _in_all,
        ),
        (
            _VESSELS,
            rf"\b(\d{{1,2}})(?: of (?:my|the|our))? (?:{_VESSELS})s? of {_EACH_HOLDS}(?: each)?\b",
            _in_all,
        ),
        ("x|×", rf"\b(\d{{1,2}}) ?[x×] ?{_EACH_HOLDS}", _in_all),
    )
)


_NUMBERED: Final = re.compile(rf"\b(?:{'|'.join(_ORDINALS)})\b", re.IGNORECASE)
_ORDINAL_RULES: Final = tuple(
    (re.compile(pattern, re.IGNORECASE), plain)
    for pattern, plain in (
        (rf"(?<=y |e |h |l |r |t )\b({'|'.join(_ORDINALS)})\b(?= at \w+)", _ordinal),
        (rf"\b({'|'.join(_ORDINALS)})(?= of (?:{_MONTH})| (?:{_MONTH}))", _ordinal),
        (rf"(?<=today,)(?: the)? ({'|'.join(_ORDINALS)})\b", _ordinal_day),
        (rf"(?<=\bthe )({'|'.join(_ORDINALS)})(?=[,.]| (?:at|it|and|each)\b)", _ordinal_day),
        (rf"\b(({_MONTH})[a-z]*) ({'|'.join(_ORDINALS)})\b", _month_first),
        (
            rf"\b({'|'.join(_ORDINALS)}) (?:port|hole|slot|pocket|place) (?:of|on|in) (?:the )?({'|'.join(_ORDINALS)}) level\b",
            _port,
        ),
    )
)
_LETTERS: Final = {
    "dn": "down",
    "tgt": "target",
    "chg": "change",
    "2gether": "together",
    "2day": "today",
    "2moro": "tomorrow",
    "2morow": "tomorrow",
    "2mor": "tomorrow",
    "2nite": "tonight",
    "h2o": "water",
    "b4": "before",
    "twr": "tower",
    "twrs": "tower",
    "wks": "weeks",
    "lvl": "level",
    "prt": "port",
    "mtr": "meter",
    "bk": "back",
    "blw": "below",
    "e c": "ec",
    "p h": "ph",
}
_LETTERED: Final = re.compile(rf"\b(?:{'|'.join(_LETTERS)})\b", re.IGNORECASE)


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
    text = _LETTERED.sub(lambda found: _LETTERS[found[0].casefold()], text)
    if _NUMBERED.search(text):
        for rule, said in _ORDINAL_RULES:
            text = rule.sub(said, text)
    low = text.casefold()
    for needles, rule, plain in _SHORT:
        if any(needle in low for needle in needles):
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
