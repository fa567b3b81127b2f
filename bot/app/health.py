"""/healthz and /metrics, for whoever watches the bot: on loopback, and for nobody else."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from typing import Any

import structlog
from aiohttp import web

from bot.clock import Clock
from bot.records.reminders import Standing
from bot.storage import Store, Unavailable
from bot.storage.reminding.plans import standing
from bot.watch import Pulse
from bot.words import sentence

_LATE_S = 120.0  # a backlog is said with its lateness; a fresh reminder is never so late
_LAG_S = 5.0
_LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})


class Health:
    """What the two pages say."""

    def __init__(self, store: Store, clock: Clock, pulse: Pulse) -> None:
        self._store = store
        self._clock = clock
        self._pulse = pulse

    async def healthz(self, request: web.Request) -> web.Response:
        """200 when all is well, else 503 with the reasons; the numbers either way."""
        _only_loopback(request)
        queue = await self._queue()
        wrong = list(self._wrong(queue))
        told: dict[str, Any] = {"ok": not wrong, "wrong": wrong, **self._numbers(queue)}
        return web.json_response(told, status=503 if wrong else 200)

    async def metrics(self, request: web.Request) -> web.Response:
        """The same numbers in Prometheus's text form."""
        _only_loopback(request)
        from prometheus_client import generate_latest  # nobody may ever ask
        from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily
        from prometheus_client.registry import Collector, CollectorRegistry

        gauges = self._numbers(await self._queue())
        pulse = self._pulse

        class Now(Collector):
            def collect(self) -> Iterator[Any]:
                for name, value in gauges.items():
                    yield GaugeMetricFamily(f"tankwren_{name}", _about(name), value=value)
                yield CounterMetricFamily("tankwren_sent", _about("sent"), value=pulse.sent)
                failed = CounterMetricFamily("tankwren_failed", _about("failed"), labels=["why"])
                for why, count in pulse.failed.items():
                    failed.add_metric([why], count)
                yield failed

        registry = CollectorRegistry()
        registry.register(Now())
        return web.Response(body=generate_latest(registry), content_type="text/plain")

    async def _queue(self) -> Standing | None:
        try:
            return await standing(self._store, self._clock.now())
        except Unavailable:
            return None

    def _numbers(self, queue: Standing | None) -> dict[str, float]:
        shown: dict[str, float] = {
            "loop_lag_seconds": round(self._pulse.loop_lag_s, 3),
            "gateway_connected": int(self._pulse.connected),
            "store_readable": int(queue is not None),
        }
        if queue is not None:
            shown |= {
                "reminders_backlog": queue.due,
                "reminders_late_seconds": round(queue.late_s, 1),
                "reminders_sending": queue.sending,
                "reminders_unsent": queue.unsent,
                "reminders_held": queue.held,
            }
        return shown

    def _wrong(self, queue: Standing | None) -> Iterator[str]:
        if queue is None:
            yield sentence("operator.sick_store")
        elif queue.late_s > _LATE_S:
            yield sentence("operator.sick_late").format(seconds=round(queue.late_s))
        if self._pulse.waits:
            yield sentence(f"operator.sick_waits_{self._pulse.waits}")
        if self._pulse.loop_lag_s > _LAG_S:
            yield sentence("operator.sick_lag").format(seconds=round(self._pulse.loop_lag_s))


def _about(name: str) -> str:
    return sentence(f"operator.metric_{name}")


def _only_loopback(request: web.Request) -> None:
    """A page in somebody's browser may not read it under another name."""
    if request.host.rpartition(":")[0] not in _LOOPBACK and request.host not in _LOOPBACK:
        raise web.HTTPForbidden(text="loopback only")


@asynccontextmanager
async def watched(health: Health, pulse: Pulse, port: int) -> AsyncIterator[None]:
    """Both pages served inside the block; a port in use is said, and stops nothing else."""
    beating = asyncio.create_task(pulse.beat())
    app = web.Application()
    app.add_routes([web.get("/healthz", health.healthz), web.get("/metrics", health.metrics)])
    runner = web.AppRunner(app, access_log=None)
    try:
        if port:
            await runner.setup()
            try:
                await web.TCPSite(runner, "127.0.0.1", port, shutdown_timeout=1.0).start()
            except OSError:
                structlog.get_logger().warning("no health page: port in use", port=port)
        yield
    finally:
        beating.cancel()
        await asyncio.gather(beating, return_exceptions=True)
        await runner.cleanup()
