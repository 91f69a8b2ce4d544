"""A log line is one JSON object, and of a fault it says where and what kind, never what was in it."""

import json
import logging
import sys

from api.running.log_lines import LOGGING, JsonLine


def line_of(message, *arguments, fault=None, **more):
    record = logging.LogRecord("thawline", logging.ERROR, __file__, 1, message, arguments, fault)
    for name, value in more.items():
        setattr(record, name, value)
    return json.loads(JsonLine().format(record))


def test_a_line_says_when_how_bad_who_and_what():
    line = line_of("request %s failed", "r-1", request_id="r-1")

    assert line["timestamp"].endswith("+00:00")
    assert (line["level"], line["logger"], line["message"], line["request_id"]) == (
        "error",
        "thawline",
        "request r-1 failed",
        "r-1",
    )
    assert isinstance(line["process"], int)


def test_a_message_of_two_lines_stays_one_line():
    record = logging.LogRecord("thawline", logging.ERROR, __file__, 1, "one\ntwo", (), None)

    assert "\n" not in JsonLine().format(record)


def test_the_text_of_a_fault_is_left_out():
    try:
        raise ValueError("Bella Wanderley")
    except ValueError:
        line = line_of("it failed", fault=sys.exc_info())

    assert line["exception"] == "ValueError"
    assert line["places"][0].endswith("test_the_text_of_a_fault_is_left_out")
    assert "Bella" not in json.dumps(line)


def test_the_server_logs_no_request():
    assert "uvicorn.access" not in LOGGING["loggers"]
