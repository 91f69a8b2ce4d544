import re

import pytest

from api.identity import identify

TRACE = b"4bf92f3577b34da6a3ce929d0e0e4736"
TRACEPARENT = b"00-" + TRACE + b"-00f067aa0ba902b7-01"
FRESH = re.compile(rb"[0-9a-f]{32}")


@pytest.mark.parametrize("sent", [b"visit-2026-0117", b"a" * 8, b"A" * 64, b"0.1_2-3.4"])
def test_a_request_id_in_the_pattern_is_taken(sent):
    assert identify([(b"x-request-id", sent)]).request_id == sent


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"short",
        b"a" * 65,
        b"-begins-with-a-dash",
        b"two words here",
        b"line\nline line",
        b"line-line-line\n",
        "größer-als-gedacht".encode(),
        b'{"injected": true}',
    ],
)
def test_any_other_request_id_is_replaced(sent):
    assert FRESH.fullmatch(identify([(b"x-request-id", sent)]).request_id)


def test_two_requests_without_an_id_get_different_ones():
    assert identify([]).request_id != identify([]).request_id


def test_a_trace_is_carried_on_under_a_new_parent():
    returned = identify([(b"traceparent", TRACEPARENT)]).traceparent

    assert returned[:36] == b"00-" + TRACE + b"-"
    assert returned[-3:] == b"-01"
    assert returned != TRACEPARENT


def test_a_later_version_of_the_header_is_read_as_far_as_it_is_known():
    returned = identify([(b"traceparent", b"01" + TRACEPARENT[2:] + b"-what-comes")]).traceparent

    assert returned[:36] == b"00-" + TRACE + b"-"


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        TRACEPARENT[:-1],
        TRACEPARENT + b"-more",  # version 00 has no more
        TRACEPARENT.upper(),
        b"ff" + TRACEPARENT[2:],
        b"00-" + b"0" * 32 + b"-00f067aa0ba902b7-01",
        b"00-" + TRACE + b"-" + b"0" * 16 + b"-01",
    ],
)
def test_a_trace_that_cannot_be_read_is_replaced_by_a_new_one(sent):
    returned = identify([(b"traceparent", sent)]).traceparent

    assert re.fullmatch(rb"00-[0-9a-f]{32}-[0-9a-f]{16}-00", returned)
    assert TRACE not in returned
