"""Scripted faults: what a test asks the server to do wrong."""

import json
import math
import re
from dataclasses import dataclass, field

from bot.rehearsal.rules.errors import Json


@dataclass(slots=True, kw_only=True)
class Fault:
    """One scripted fault, matched in order and used up after `times` (None = for ever).

    `created` says whether the request takes effect before it goes wrong. A fault with neither
    status nor drop is a slow answer: the effect comes before the delay when `created`, else after.
    `drop` closes the socket without an answer; `reset` closes it with a TCP reset.
    """

    method: str | None = None
    path_regex: str = ""
    status: int | None = None
    created: bool = False
    code: int = 0
    body: Json | str | None = None
    drop: bool = False
    reset: bool = False
    delay_s: float = 0.0
    times: int | None = 1
    html: bool = False
    retry_after: float | None = None
    global_: bool = False
    without_via: bool = False
    used: int = field(default=0, init=False)

    def matches(self, method: str, path: str) -> bool:
        """Whether this request is meant."""
        return self.method in (None, method) and re.search(self.path_regex, path) is not None

    def answer(self) -> tuple[int, bytes, dict[str, str]]:
        """Status, body and headers of the wrong answer."""
        status = self.status or 500
        headers = {"Content-Type": "application/json"}
        if status == 429:
            self._limit_headers(headers)
        if self.html:
            headers["Content-Type"] = "text/html"
            text = self.body if isinstance(self.body, str) else "<html><body>Sorry</body></html>"
            return status, text.encode(), headers
        if isinstance(self.body, str):
            return status, self.body.encode(), headers
        body = self.body if self.body is not None else self._body(status)
        return status, json.dumps(body).encode(), headers

    def _limit_headers(self, headers: dict[str, str]) -> None:
        if not self.without_via:
            headers["Via"] = "1.1 rehearsal"
        headers["Retry-After"] = str(math.ceil(self._wait_s()))
        headers["X-RateLimit-Scope"] = "global" if self.global_ else "user"
        if self.global_:
            headers["X-RateLimit-Global"] = "true"

    def _wait_s(self) -> float:
        return 1.0 if self.retry_after is None else self.retry_after

    def _body(self, status: int) -> Json:
        if status == 429:
            return {
                "message": "You are being rate limited.",
                "retry_after": self._wait_s(),
                "global": self.global_,
                "code": self.code,
            }
        return {"message": f"{status}: scripted", "code": self.code}


class Script:
    """The faults still to come."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def take(self, method: str, path: str) -> Fault | None:
        """The first fault that means this request, used once more."""
        for fault in self.faults:
            if fault.matches(method, path):
                fault.used += 1
                if fault.times is not None and fault.used >= fault.times:
                    self.faults.remove(fault)
                return fault
        return None
