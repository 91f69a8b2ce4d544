"""Write what was counted, by all workers together, as Prometheus reads it."""

from __future__ import annotations

import os
from collections.abc import Iterator

from prometheus_client import REGISTRY, CollectorRegistry, Metric, generate_latest
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector
from starlette.responses import Response

from api.worker.board import Board

__all__ = ["measured"]


def measured(board: Board | None) -> Response:
    """What was counted since the start.

    Args:
        board: Where the supervisor writes what it counts; None where there is none.
    """
    text = generate_latest(REGISTRY) if board is None else generate_latest(_of_all_workers(board))
    return Response(text, media_type=CONTENT_TYPE_PLAIN_0_0_4)


def _of_all_workers(board: Board) -> CollectorRegistry:
    registry = CollectorRegistry()
    if "PROMETHEUS_MULTIPROC_DIR" in os.environ:
        MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    registry.register(_Noticed(board))
    return registry


class _Noticed(Collector):
    """What the supervisor counts."""

    def __init__(self, board: Board) -> None:
        self._board = board

    def collect(self) -> Iterator[Metric]:
        notice = self._board.read()
        if notice is None:
            return
        reloads = CounterMetricFamily(
            "thawline_reloads", "Changed rule folders, by what came of them.", None, ["result"]
        )
        reloads.add_metric(["taken"], notice.taken)
        reloads.add_metric(["refused"], notice.turned_down)
        yield reloads
        refused = int(notice.refused is not None)
        yield GaugeMetricFamily("thawline_rules_refused", "1 while the last change of the rules is refused.", refused)
        yield CounterMetricFamily("thawline_workers_replaced", "Workers that died or hung.", notice.replaced)
