"""The audit log: one line of JSON a request where the operator asks for it, with nothing of a person in it."""

import json

import pytest

from api.app import create_app
from api.audit import open_audit_log
from api.keys import hash_of
from api.settings import Settings, UnusableSetting


@pytest.fixture
def audited(ask, toy_book, tmp_path):
    """A service that writes a line for each request, and a way to read the lines."""
    keys = tmp_path / "keys.yaml"
    keys.write_text(f"keys:\n  - {{name: west, sha256: {hash_of('k')}}}\n")
    log = tmp_path / "audit.jsonl"
    asked = type(ask)(create_app(toy_book, Settings(audit_log=str(log), api_keys=keys)))
    yield asked, lambda: [json.loads(one) for one in log.read_text().splitlines()]
    open_audit_log(Settings())


def test_a_request_leaves_one_line(audited, toy_case):
    asked, lines = audited

    answer = asked.recommend(toy_case, headers={"X-API-Key": "k"})

    (line,) = lines()
    named = {"timestamp", "request_id", "trace_id", "key"}
    assert line.keys() == named | {"operation", "method", "status", "duration_ms"}
    assert line["request_id"] == answer.headers["x-request-id"]
    assert line["trace_id"] == answer.headers["traceparent"].split("-")[1]
    assert (line["operation"], line["method"], line["status"], line["key"]) == ("recommend", "POST", 200, "west")


def test_refusals_leave_a_line_too(audited):
    asked, lines = audited

    asked("GET", "/v1/rules")
    asked("GET", "/nowhere/Rosalinde?name=Rosalinde")

    assert [(one["operation"], one["status"]) for one in lines()] == [("page", 401), ("page", 404)]
    assert "Rosalinde" not in json.dumps(lines())


def test_nothing_of_a_case_and_no_key_is_in_a_line(audited, toy_case):
    asked, lines = audited
    toy_case["lesions"][0]["lesion_id"] = "Rosalinde"

    asked.recommend(toy_case, headers={"X-API-Key": "k", "User-Agent": "Rosalinde"})

    assert "Rosalinde" not in json.dumps(lines())
    assert hash_of("k") not in json.dumps(lines())


def test_without_an_audit_log_requests_leave_no_line(ask, toy_case, caplog):
    caplog.set_level("INFO", logger="thawline.audit")

    ask.recommend(toy_case)

    assert [one for one in caplog.records if one.name == "thawline.audit"] == []


def test_feedback_leaves_a_line_on_standard_error_by_default(ask, capsys):
    card = "4ef426ac-f3a2-5a27-9b6e-309f7b5c4191"
    entry = {"card": card, "outcome": "overridden", "outcomeTimestamp": "2026-11-24T10:07:31Z"}

    ask("POST", "/cds-services/skin-lesion-freeze/feedback", json={"feedback": [entry]})

    (line,) = capsys.readouterr().err.splitlines()
    assert json.loads(line)["feedback"] == [{"card": card, "outcome": "overridden"}]


def test_a_log_that_cannot_be_written_stops_the_start(toy_book, tmp_path):
    with pytest.raises(UnusableSetting, match="THAWLINE_AUDIT_LOG"):
        create_app(toy_book, Settings(audit_log=str(tmp_path / "nowhere" / "audit.jsonl")))

    open_audit_log(Settings())
