"""The terminal's entrance: records in a file, a sentence, a reply as JSON. Nothing is stored."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path

from bot.clock import Clock
from bot.errors import NotStarted
from bot.records.answer import Answer
from bot.records.book import Book
from bot.render import plain
from bot.services import answer
from bot.services.exchange import BadRecords, book
from bot.understanding import hear
from bot.words import sentence


def ask(records: Path, text: str, clock: Clock) -> dict[str, object]:
    """The reply to one sentence from the records in a file.

    Raises
    ------
    NotStarted
        The file is missing or no records.
    """
    try:
        data = json.loads(records.read_text(encoding="utf-8"))
        facts = book(data, now=clock.now())
    except (OSError, ValueError, RecursionError) as error:
        raise NotStarted("operator.records", path=records, reason=error) from None
    return _reply(text, facts)


def ask_batch(lines: Iterable[str], clock: Clock) -> Iterator[dict[str, object]]:
    """A reply for each line of {id, text, records}; a bad line gets an error reply, not a stop."""
    for row in lines:
        if not row.strip():
            continue
        key: object = None
        try:
            asked = json.loads(row)
            key = asked["id"] if isinstance(asked["id"], str | int) else None
            yield {"id": key, **_reply(str(asked["text"]), book(asked["records"], now=clock.now()))}
        except BadRecords as error:
            yield _refused(key, str(error))
        except Exception as error:  # one line's fault, whatever it is, must not end the batch
            yield _refused(key, type(error).__name__)


def _refused(key: object, reason: str) -> dict[str, object]:
    text = sentence("operator.bad_line").format(reason=reason)
    return {"id": key, "outcome": "refuse", "intent": "bad_input", "amounts": [], "text": text}


def _reply(text: str, facts: Book) -> dict[str, object]:
    found = answer(hear(text, facts), facts)
    return {
        "outcome": found.outcome,
        "intent": found.intent,
        "amounts": _amounts(found),
        "text": plain(found, facts),
    }


def _amounts(found: Answer) -> list[Mapping[str, object]]:
    return [
        *({"name": a.name, "value": round(a.value, 6), "unit": a.unit} for a in found.amounts),
        *(
            {
                "name": one.name,
                "value": one.on.isoformat(),
                "unit": "datetime" if isinstance(one.on, datetime) else "date",
            }
            for one in found.days
        ),
    ]
