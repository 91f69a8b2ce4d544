"""Counts and times: names and codes only, of all workers together, and nothing of a case."""

import datetime
import json
import re
from pathlib import Path

import httpx
import pytest
from starlette.requests import Request

from api.service import matching_logged
from api.worker.board import Board, Notice, Refusal
from api.worker.metrics import measured
from decision.errors import MatcherFault
from tests.api.busy_service import running
from tests.api.conftest import a_case

TOY = Path(__file__).parents[2] / "toy_rules"


def counted(ask, name):
    """The value of a count, 0 while nothing was counted under these labels."""
    lines = ask("GET", "/metrics").text.splitlines()
    return sum(float(line.removeprefix(f"{name} ")) for line in lines if line.startswith(f"{name} "))


def test_requests_are_counted_and_timed_by_operation_and_status(ask, toy_case):
    names = (
        'thawline_answers_total{operation="recommend",status="200"}',
        'thawline_answers_total{operation="recommend",status="400"}',
        'thawline_request_seconds_count{operation="recommend"}',
    )
    before = [counted(ask, name) for name in names]

    ask.recommend(toy_case)
    ask.recommend("{")

    assert [counted(ask, name) - was for name, was in zip(names, before, strict=True)] == [1, 1, 2]


def test_verdicts_are_counted_by_kind_and_lines_of_batches_too(ask):
    suitable, none = 'thawline_verdicts_total{verdict="suitable"}', 'thawline_verdicts_total{verdict="none"}'
    before = [counted(ask, name) for name in (suitable, none)]
    lines = "\n".join(json.dumps(one) for one in (a_case(), a_case(longest_diameter_mm=7)))

    ask.recommend({"as_of": "2026-11-24", "patient": {}, "lesions": [{"lesion_id": "flank"}]})
    ask("POST", "/v1/batches", content=lines, headers={"Content-Type": "application/x-ndjson"})

    assert [counted(ask, name) - was for name, was in zip((suitable, none), before, strict=True)] == [2, 1]


def test_a_disagreement_of_the_two_means_is_counted(ask, toy_case):
    request = Request({"type": "http", "app": ask.app, "state": {"request_id": "r"}, "headers": []})
    case = ask.app.state.service.book.read(toy_case, today=datetime.date(2026, 11, 24))
    before = counted(ask, "thawline_matcher_disagreements_total")

    with pytest.raises(MatcherFault), matching_logged(request, case):
        raise MatcherFault("they differ.")

    assert counted(ask, "thawline_matcher_disagreements_total") == before + 1


def test_an_address_that_is_no_operation_is_not_told(ask):
    ask("GET", "/v1/Bella-Wanderley")

    assert "Bella" not in ask("GET", "/metrics").text


def test_what_the_supervisor_counts_is_told_by_whichever_worker_is_asked(tmp_path):
    board = Board(tmp_path)
    board.put(Notice("rules", Refusal("2026-11-24T10:00:00+00:00", ("rules/x.yaml:3",)), 4, 2, 1))

    lines = measured(board).body.decode().splitlines()

    assert 'thawline_reloads_total{result="taken"} 4.0' in lines
    assert 'thawline_reloads_total{result="refused"} 2.0' in lines
    assert "thawline_rules_refused 1.0" in lines
    assert "thawline_workers_replaced_total 1.0" in lines


def test_a_board_that_nobody_wrote_tells_nothing(tmp_path):
    assert b"thawline_reloads" not in measured(Board(tmp_path)).body


def test_a_replaced_notice_is_read_and_the_same_one_is_not_read_again(tmp_path):
    board = Board(tmp_path)
    board.put(Notice("one"))
    first = board.read()
    assert board.read() is first

    Board(tmp_path).put(Notice("two", None, 1))

    assert (first.rules, board.read()) == ("one", Notice("two", None, 1))


def test_two_workers_are_added_up(tmp_path):
    with running(tmp_path, TOY, workers=2) as service:
        for _ in range(20):  # each over a connection of its own, so that both workers get some
            httpx.post(f"{service.url}/v1/recommendations", json=a_case(), timeout=30)

        name = 'thawline_answers_total{operation="recommend",status="200"}'
        assert {service.metric(name) for _ in range(6)} == {20}


def test_the_format_is_the_one_that_prometheus_reads(ask):
    answer = ask("GET", "/metrics")

    assert answer.headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"
    for line in answer.text.splitlines():
        assert line.startswith("# ") or re.fullmatch(r'[a-z_]+(\{[a-z_]+="[^"]*"(,[a-z_]+="[^"]*")*\})? \S+', line), (
            line
        )


@pytest.mark.parametrize("accepted", ["application/openmetrics-text;version=1.0.0;q=0.5,text/plain;q=0.3,*/*;q=0.1"])
def test_prometheus_is_served_what_it_accepts(ask, accepted):
    assert ask("GET", "/metrics", headers={"Accept": accepted}).status_code == 200
