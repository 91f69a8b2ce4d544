"""A span for each request, for operators who follow traces (OpenTelemetry, extra `trace`): names and codes, no person.

The span has the very ids that the answer carries in `traceparent`, so that what a caller kept is found again.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from starlette.types import Scope

from api.settings import Settings, UnusableSetting

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import SpanProcessor
    from opentelemetry.sdk.trace.export import SpanExporter

__all__ = ["Spans", "spans_of", "spans_to"]


class Spans:
    """Where spans are recorded: with ids that are given, not drawn."""

    def __init__(self, processor: SpanProcessor) -> None:
        """Let ended spans go to a processor."""
        from opentelemetry.sdk.resources import Resource
        from opentelemetry.sdk.trace import TracerProvider
        from opentelemetry.sdk.trace.sampling import ALWAYS_ON, ParentBased
        from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

        self._given = _given_ids()
        resource = Resource.create({"service.name": "thawline"})
        provider = TracerProvider(ParentBased(ALWAYS_ON), resource, id_generator=self._given, shutdown_on_exit=False)
        provider.add_span_processor(processor)
        self._tracer = provider.get_tracer("thawline")
        self._propagator = TraceContextTextMapPropagator()
        self.close = provider.shutdown

    def record(self, scope: Scope, operation: str, status: int, took_s: float) -> None:
        """Record the span of a request that was answered."""
        _, trace, own, _ = scope["state"]["traceparent"].split("-")
        self._given.ids = int(trace, 16), int(own, 16)
        carried = {name.decode(): value.decode("latin-1") for name, value in scope["headers"] if name == b"traceparent"}
        ended_ns = time.time_ns()
        span = self._tracer.start_span(
            operation,
            self._propagator.extract(carried),
            attributes={
                "http.request.method": scope["method"],
                "http.response.status_code": status,
                "thawline.rule_book": scope["app"].state.service.book.digest,
            },
            start_time=ended_ns - int(took_s * 1e9),
        )
        span.end(ended_ns)


def spans_of(settings: Settings) -> Spans | None:
    """Where the spans of a process are recorded; None where nobody wants any.

    Raises:
        UnusableSetting: The extra `trace` is not installed.
    """
    if not settings.trace_endpoint:
        return None
    try:
        from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
        from opentelemetry.sdk.trace.export import BatchSpanProcessor
    except ImportError:
        raise UnusableSetting("THAWLINE_TRACE_ENDPOINT needs the extra trace: pip install 'thawline[trace]'.") from None
    return Spans(BatchSpanProcessor(OTLPSpanExporter(endpoint=settings.trace_endpoint)))


def spans_to(exporter: SpanExporter) -> Spans:
    """Where spans are recorded that go to an exporter one by one."""
    from opentelemetry.sdk.trace.export import SimpleSpanProcessor

    return Spans(SimpleSpanProcessor(exporter))


def _given_ids() -> Any:
    """A generator of ids that gives those which it was told last."""
    from opentelemetry.sdk.trace.id_generator import IdGenerator

    class Given(IdGenerator):
        ids = (1, 1)

        def generate_trace_id(self) -> int:
            return self.ids[0]

        def generate_span_id(self) -> int:
            return self.ids[1]

    return Given()
