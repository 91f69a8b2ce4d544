"""A span for each request, under the ids that the answer carries, with nothing of a case."""

import dataclasses
import sys

import pytest
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter

from api.app import app_in
from api.settings import Settings, UnusableSetting
from api.worker.house import house_of
from api.worker.spans import spans_of, spans_to
from tests.api.conftest import Asking

CALLER = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"
NOT_SAMPLED = CALLER[:-1] + "0"


@pytest.fixture
def kept():
    return InMemorySpanExporter()


@pytest.fixture
def traced(toy_book, kept):
    house = dataclasses.replace(house_of(Settings()), spans=spans_to(kept))
    return Asking(app_in(house, toy_book))


def test_a_request_is_a_span_of_the_trace_that_the_caller_names(traced, kept, toy_case, toy_book):
    answer = traced.recommend(toy_case, headers={"traceparent": CALLER})

    (span,) = kept.get_finished_spans()
    _, trace, own, _ = answer.headers["traceparent"].split("-")
    assert f"{span.context.trace_id:032x}" == trace == CALLER.split("-")[1]
    assert f"{span.context.span_id:016x}" == own
    assert f"{span.parent.span_id:016x}" == CALLER.split("-")[2]
    assert span.name == "recommend"
    assert dict(span.attributes) == {
        "http.request.method": "POST",
        "http.response.status_code": 200,
        "thawline.rule_book": toy_book.digest,
    }


def test_a_request_of_no_trace_begins_one_under_the_ids_it_is_told(traced, kept):
    answer = traced("GET", "/livez")

    (span,) = kept.get_finished_spans()
    assert f"{span.context.trace_id:032x}-{span.context.span_id:016x}" in answer.headers["traceparent"]
    assert span.parent is None


def test_a_trace_that_is_not_sampled_is_left_alone(traced, kept, toy_case):
    traced.recommend(toy_case, headers={"traceparent": NOT_SAMPLED})

    assert kept.get_finished_spans() == ()


def test_an_address_is_told_as_its_operation_only(traced, kept):
    traced("GET", "/v1/Bella-Wanderley?owner=Wanderley")

    (span,) = kept.get_finished_spans()
    assert "Wanderley" not in span.to_json()
    assert span.name == "page"


def test_nobody_is_traced_unless_the_operator_says_so():
    assert spans_of(Settings()) is None


def test_spans_without_the_extra_stop_the_start(monkeypatch):
    monkeypatch.setitem(sys.modules, "opentelemetry.exporter.otlp.proto.http.trace_exporter", None)

    with pytest.raises(UnusableSetting, match="needs the extra trace"):
        spans_of(Settings(trace_endpoint="http://127.0.0.1:4318/v1/traces"))
