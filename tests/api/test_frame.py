import asyncio

import pytest
from starlette.requests import ClientDisconnect

from api.frame import Frame

PATHS = ["/livez", "/v1/rules", "/nowhere", "/v1/recommendations", "/livez?x=1"]


@pytest.mark.parametrize("path", PATHS)
def test_every_answer_has_the_security_headers_errors_too(ask, path):
    headers = ask("GET", path).headers

    assert headers["x-content-type-options"] == "nosniff"
    assert headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert headers["referrer-policy"] == "no-referrer"


@pytest.mark.parametrize("path", PATHS)
def test_every_answer_carries_request_id_and_trace_errors_too(ask, path):
    trace = "4bf92f3577b34da6a3ce929d0e0e4736"
    sent = {"X-Request-ID": "visit-2026-0117", "traceparent": f"00-{trace}-00f067aa0ba902b7-01"}

    headers = ask("GET", path, headers=sent).headers

    assert headers["x-request-id"] == "visit-2026-0117"
    assert headers["traceparent"].startswith(f"00-{trace}-")


def test_a_request_id_outside_the_pattern_is_replaced_and_nowhere_repeated(ask):
    answer = ask("GET", "/nowhere", headers={"X-Request-ID": "Rosalinde M. <b>"})

    assert "Rosalinde" not in answer.text + str(answer.headers)


def test_an_answer_to_a_case_is_stored_nowhere(ask, toy_case):
    assert ask.recommend(toy_case).headers["cache-control"] == "no-store"


def test_a_problem_is_stored_nowhere(ask):
    assert ask("GET", "/nowhere").headers["cache-control"] == "no-store"


@pytest.mark.parametrize("path", ["/livez", "/v1/rules", "/v1/rules/cautions/mind_the_cold", "/docs", "/nowhere"])
def test_head_is_get_without_the_body(ask, path):
    whole, head = ask("GET", path), ask("HEAD", path)

    assert head.content == b""
    assert head.status_code == whole.status_code
    assert head.headers["content-length"] == whole.headers["content-length"]
    assert head.headers["content-type"] == whole.headers["content-type"]


def run_framed(app, scope):
    sent = []

    async def send(message):
        sent.append(message)

    asyncio.run(Frame(app)(scope, None, send))
    return sent


def test_a_caller_that_went_away_is_not_answered():
    async def app(scope, receive, send):
        raise ClientDisconnect

    assert run_framed(app, {"type": "http", "method": "POST", "headers": []}) == []


def test_what_is_not_http_passes_untouched():
    async def app(scope, receive, send):
        await send(scope["type"])

    assert run_framed(app, {"type": "lifespan"}) == ["lifespan"]


def test_a_fault_after_the_answer_has_begun_ends_the_connection():
    async def app(scope, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        raise KeyError

    with pytest.raises(KeyError):
        run_framed(app, {"type": "http", "method": "GET", "headers": []})
