"""Batches: a case on each line in, an answer or a problem on each line out, in order, without gathering anything."""

import asyncio
import json
import tracemalloc

import pytest

NDJSON = {"Content-Type": "application/x-ndjson"}


@pytest.fixture
def batch(ask):
    """Sends lines; the lines of the answer."""

    def sent(*lines, **how):
        text = b"\n".join(one if isinstance(one, bytes) else json.dumps(one).encode() for one in lines)
        answer = ask("POST", "/v1/batches", content=text, headers=NDJSON, **how)
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"] == "application/x-ndjson"
        return [json.loads(one) for one in answer.text.splitlines()]

    return sent


def wide(toy_case, width):
    case = json.loads(json.dumps(toy_case))
    case["lesions"][0]["longest_diameter_mm"] = width
    return case


def test_each_line_is_answered_as_it_would_be_alone(ask, batch, toy_case):
    (line,) = batch(toy_case)

    assert line == {"line": 1, "answer": ask.recommend(toy_case).json()}


def test_the_order_is_that_of_the_lines(batch, toy_case):
    widths = [1, 2, 12, 3]

    lines = batch(*(wide(toy_case, width) for width in widths))

    assert [one["line"] for one in lines] == [1, 2, 3, 4]
    alone = [batch(wide(toy_case, width))[0]["answer"]["case_digest"] for width in widths]
    assert [one["answer"]["case_digest"] for one in lines] == alone


@pytest.mark.parametrize(
    ("bad", "kind"),
    [
        (b"{", "unreadable-json"),
        (b'{"a": 1, "a": 2}', "unreadable-json"),
        (b'{"x": NaN}', "unreadable-json"),
        (b"\xff\xfe", "unreadable-json"),
        ({"patient": {}}, "unusable-case"),
        ([], "unusable-case"),
        (b'"' + b"x" * 1_000_001 + b'"', "body-too-large"),
    ],
)
def test_a_bad_line_is_a_problem_in_its_place_and_loses_no_other(batch, toy_case, bad, kind):
    first, second, third = batch(toy_case, bad, toy_case)

    assert first["answer"] == third["answer"]
    assert second["line"] == 2
    assert second["problem"]["type"] == f"/problems/{kind}"
    assert second["problem"]["errors"] or kind == "body-too-large"


def test_a_rule_book_that_is_not_loaded_is_a_problem_of_its_line(batch, toy_case):
    first, second = batch({**toy_case, "rule_book_version": "1999.01.0"}, toy_case)

    assert first["problem"]["status"] == 404
    assert "answer" in second


def test_empty_lines_are_counted_and_not_answered(batch, toy_case):
    lines = batch(b"", toy_case, b"  ", b"", toy_case, b"")

    assert [one["line"] for one in lines] == [2, 5]


def test_lines_may_end_as_on_another_system(batch, toy_case):
    assert "answer" in batch(json.dumps(toy_case).encode() + b"\r", b"")[0]


def test_an_empty_body_has_an_empty_answer(batch):
    assert batch() == []


def test_a_value_that_was_sent_is_in_no_problem(batch):
    (line,) = batch({"patient": {"species": "Rosalinde"}, "lesions": [{"lesion_id": "x"}]})

    assert "Rosalinde" not in json.dumps(line)


@pytest.mark.parametrize("headers", [{"Content-Type": "application/json"}, {}, {**NDJSON, "Content-Encoding": "gzip"}])
def test_another_media_type_is_415(ask, headers):
    answer = ask("POST", "/v1/batches", content=b"{}", headers=headers)

    assert (answer.status_code, answer.headers["accept"]) == (415, "application/x-ndjson")


def streamed(app, parts):
    """Hand a body to the application part by part, as it asks for them; what was asked and answered, in order."""
    events = []

    async def receive():
        part = next(parts, None)
        events.append("asked")
        return {"type": "http.request", "body": part or b"", "more_body": part is not None}

    async def send(message):
        if message.get("body"):
            events.append("answered")

    scope = {
        "type": "http",
        "method": "POST",
        "path": "/v1/batches",
        "raw_path": b"/v1/batches",
        "query_string": b"",
        "headers": [(b"content-type", b"application/x-ndjson"), (b"host", b"x")],
        "scheme": "http",
        "server": ("x", 80),
        "http_version": "1.1",
        "asgi": {"version": "3.0", "spec_version": "2.4"},
    }
    asyncio.run(app(scope, receive, send))
    return events


def test_no_more_is_taken_than_was_answered(ask, toy_case):
    line = json.dumps(toy_case).encode() + b"\n"

    events = streamed(ask.app, iter([line] * 5))

    assert events == ["asked", "answered"] * 5 + ["asked"]


def test_a_line_may_arrive_in_pieces(ask, toy_case):
    line = json.dumps(toy_case).encode() + b"\n"
    pieces = [line[i : i + 7] for i in range(0, len(line), 7)]

    assert streamed(ask.app, iter(pieces * 2)).count("answered") == 2


def test_memory_does_not_grow_with_the_number_of_lines(ask, toy_case):
    line = json.dumps(toy_case).encode() + b"\n"
    streamed(ask.app, iter([line] * 200))

    def peak(lines):
        tracemalloc.start()
        streamed_quietly(ask.app, line, lines)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most

    few, many = peak(200), peak(2_000)

    assert many < 1.5 * few + 50_000


def streamed_quietly(app, line, lines):
    """As `streamed`, without keeping what happened."""
    left = lines

    async def receive():
        nonlocal left
        left -= 1
        return {"type": "http.request", "body": line if left >= 0 else b"", "more_body": left >= 0}

    async def send(message):
        pass

    scope = {
        "type": "http",
        "method": "POST",
        "path": "/v1/batches",
        "raw_path": b"/v1/batches",
        "query_string": b"",
        "headers": [(b"content-type", b"application/x-ndjson")],
        "scheme": "http",
        "http_version": "1.1",
        "asgi": {"version": "3.0", "spec_version": "2.4"},
    }
    asyncio.run(app(scope, receive, send))


def test_a_line_without_an_end_is_not_kept(ask):
    """Ten megabytes without a line end: each part goes as soon as it is too much."""
    parts = iter([b"x" * 100_000] * 100)

    tracemalloc.start()
    events = streamed(ask.app, parts)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert events.count("answered") == 1
    assert most < 5_000_000
