"""A span for each request, for operators who follow traces (OpenTelemetry, extra `trace`): names and codes, no person.

The span has the very ids that the answer carries in `traceparent`, so that what a caller kept is found again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.settings import Settings, UnusableSetting

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import SpanProcessor
    from opentelemetry.sdk.trace.export import SpanExporter

__all__ = ["Spans", "Traced", "spans_of", "spans_to"]

UNNAMED = "page"  # what is no operation of the OpenAPI document


class Spans:
    """Where spans are begun: with ids that are given to it, not drawn."""

    def __init__(self, processor: SpanProcessor) -> None:
        """Let ended spans go to a processor."""
        from opentelemetry.propagators.textmap import default_getter
        from opentelemetry.sdk.resources import Resource
        from opentelemetry.sdk.trace import TracerProvider
        from opentelemetry.sdk.trace.sampling import ALWAYS_ON, ParentBased
        from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

        self._given = _given_ids()
        resource = Resource.create({"service.name": "thawline"})
        provider = TracerProvider(ParentBased(ALWAYS_ON), resource, id_generator=self._given, shutdown_on_exit=False)
        provider.add_span_processor(processor)
        self._tracer = provider.get_tracer("thawline")
        self._propagator, self._getter = TraceContextTextMapPropagator(), default_getter
        self.close = provider.shutdown

    def begin(self, traceparent: str, carried: Mapping[str, str]) -> Any:
        """Begin the span of a request.

        Args:
            traceparent: The trace and the span, as the answer names them.
            carried: What the caller sent of its own trace.
        """
        _, trace, span, _ = traceparent.split("-")
        self._given.ids = int(trace, 16), int(span, 16)
        return self._tracer.start_span(UNNAMED, self._propagator.extract(carried, getter=self._getter))


def spans_of(settings: Settings) -> Spans | None:
    """Where the spans of a process are begun; None where nobody wants any.

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
    """Where spans are begun that go to an exporter one by one."""
    from opentelemetry.sdk.trace.export import SimpleSpanProcessor

    return Spans(SimpleSpanProcessor(exporter))


class Traced:
    """ASGI middleware that begins and ends the span of each request."""

    def __init__(self, app: ASGIApp, spans: Spans) -> None:
        """Watch an application."""
        self._app = app
        self._spans = spans

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        carried = {name.decode(): value.decode("latin-1") for name, value in scope["headers"] if name == b"traceparent"}
        span = self._spans.begin(scope["state"]["traceparent"], carried)

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                span.set_attribute("http.response.status_code", message["status"])
            await send(message)

        try:
            await self._app(scope, receive, sent)
        finally:
            operation = getattr(scope.get("route"), "operation_id", None) or UNNAMED
            span.update_name(operation)
            span.set_attribute("http.request.method", scope["method"])
            span.set_attribute("thawline.rule_book", scope["app"].state.service.book.digest)
            span.end()


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
