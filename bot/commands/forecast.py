"""The terminal's forecasts: lines of records in, when each tank comes to its mark out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Final

from bot.clock import Clock
from bot.services.exchange import BadRecords, book
from bot.services.log.forecast import forecast
from bot.words import sentence

_LARGEST_L: Final = 10_000


def forecast_batch(lines: Iterable[str], clock: Clock) -> Iterator[dict[str, object]]:
    """For each line of {id, records, mark_l}: its first tower's times as ISO 8601, and whether it
    leaks; a bad line gets an error, not a stop."""
    for row in lines:
        if not row.strip():
            continue
        key: object = None
        try:
            asked = json.loads(row)
            key = asked["id"] if isinstance(asked["id"], str | int) else None
            facts = book(asked["records"], now=clock.now())
            mark_l = asked["mark_l"]
            if isinstance(mark_l, bool | str) or not 0 <= mark_l <= _LARGEST_L:
                raise BadRecords(f"mark_l: {str(mark_l)[:20]} is no level")
            found = forecast(facts.towers[0], facts, float(mark_l))
            yield {
                "id": key,
                "at_median": found.likely.isoformat(),
                "at_low": found.early.isoformat(),
                "at_high": found.late.isoformat(),
                "leak": found.leak,
            }
        except BadRecords as error:
            yield _refused(key, str(error))
        except Exception as error:  # one line's fault, whatever it is, must not end the batch
            yield _refused(key, type(error).__name__)


def _refused(key: object, reason: str) -> dict[str, object]:
    return {"id": key, "error": sentence("operator.bad_line").format(reason=reason)}
