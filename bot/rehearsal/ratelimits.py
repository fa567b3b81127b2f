"""Rate limits: fixed windows per bucket, and the global one."""

import hashlib
import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from bot.rehearsal.rules.errors import Json


@dataclass(slots=True)
class Window:
    """So many requests in so many seconds."""

    limit: int
    seconds: float


@dataclass(slots=True)
class _Count:
    started: float
    used: int


class RateLimits:
    """Counts requests and says no. Every field may be set by a test."""

    def __init__(self, now: Callable[[], datetime], *, enabled: bool) -> None:
        self._now = now
        self.enabled = enabled
        self.buckets: dict[str, Window] = {
            "message-create": Window(5, 5.0),
            "message-edit": Window(5, 5.0),
            "message-delete": Window(5, 1.0),
            "webhook": Window(5, 2.0),
            "other": Window(10, 1.0),
        }
        self.global_window = Window(50, 1.0)
        self._counts: dict[tuple[str, str], _Count] = {}
        self._global = _Count(-math.inf, 0)
        self._hashes = {
            name: hashlib.sha256(name.encode()).hexdigest()[:32] for name in self.buckets
        }
        self.refused = 0

    def count(
        self, bucket: str, key: str, *, counts_globally: bool
    ) -> tuple[dict[str, str], Json | None]:
        """The headers for this request and, if it is one too many, the 429's body."""
        moment = time.monotonic()
        if counts_globally:
            wait = _spend(self._global, self.global_window, moment)
            if wait is not None:
                self.refused += 1
                headers = {"X-RateLimit-Global": "true", "X-RateLimit-Scope": "global"}
                return self._refusal(headers, wait, everywhere=True)
        window = self.buckets[bucket]
        count = self._counts.setdefault((bucket, key), _Count(-math.inf, 0))
        wait = _spend(count, window, moment)
        reset_after = max(count.started + window.seconds - moment, 0.001)
        headers = {
            "X-RateLimit-Limit": str(window.limit),
            "X-RateLimit-Remaining": str(max(window.limit - count.used, 0)),
            "X-RateLimit-Reset": f"{self._now().timestamp() + reset_after:.3f}",
            "X-RateLimit-Reset-After": f"{reset_after:.3f}",
            "X-RateLimit-Bucket": self._hashes.get(bucket, bucket),
        }
        if len(self._counts) > 10_000:
            self._forget(moment)
        if wait is None:
            return headers, None
        self.refused += 1
        headers["X-RateLimit-Scope"] = "user"
        return self._refusal(headers, wait, everywhere=False)

    def _refusal(
        self, headers: dict[str, str], wait: float, *, everywhere: bool
    ) -> tuple[dict[str, str], Json]:
        headers["Retry-After"] = str(math.ceil(wait))
        headers["Via"] = "1.1 rehearsal"
        body: Json = {
            "message": "You are being rate limited.",
            "retry_after": round(wait, 3),
            "global": everywhere,
        }
        return headers, body

    def _forget(self, moment: float) -> None:
        longest = max(window.seconds for window in self.buckets.values())
        self._counts = {
            key: count for key, count in self._counts.items() if count.started + longest > moment
        }


def _spend(count: _Count, window: Window, moment: float) -> float | None:
    """Use one up; the seconds to wait if there is none left."""
    if moment - count.started >= window.seconds:
        count.started = moment
        count.used = 0
    if count.used >= window.limit:
        return max(count.started + window.seconds - moment, 0.001)
    count.used += 1
    return None
