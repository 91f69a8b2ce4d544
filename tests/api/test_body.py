import asyncio

import pytest

from api.app import create_app
from api.settings import Settings

PATH = "/v1/recommendations"


def post_in_parts(app, parts, headers=()):
    """Send a body part by part; return the status and how many parts were taken."""
    waiting = list(parts)
    sent = []

    async def receive():
        return {"type": "http.request", "body": waiting.pop(0), "more_body": bool(waiting)}

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": PATH,
        "raw_path": PATH.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": [(b"content-type", b"application/json"), *headers],
        "client": None,
        "server": None,
    }
    asyncio.run(app(scope, receive, send))
    return sent[0]["status"], len(parts) - len(waiting)


def test_a_body_of_two_megabytes_is_refused(ask):
    answer = ask.recommend(b" " * 2_000_000)

    assert answer.status_code == 413
    assert answer.json()["type"] == "/problems/body-too-large"
    assert answer.json()["detail"] == "the body may have at most 1000000 bytes."


def test_bytes_are_counted_as_they_come_and_no_more_are_taken_than_the_limit(toy_book):
    app = create_app(toy_book, Settings(body_limit_bytes=10_000))

    status, taken = post_in_parts(app, [b" " * 1000] * 100)

    assert status == 413
    assert taken == 11  # the part that was one too many


def test_a_content_length_that_understates_the_body_changes_nothing(toy_book):
    app = create_app(toy_book, Settings(body_limit_bytes=10_000))

    status, taken = post_in_parts(app, [b" " * 1000] * 100, [(b"content-length", b"10")])

    assert (status, taken) == (413, 11)


def test_a_content_length_over_the_limit_is_refused_before_a_byte_is_read(toy_book):
    app = create_app(toy_book, Settings(body_limit_bytes=10_000))

    assert post_in_parts(app, [b"{}"], [(b"content-length", b"10001")]) == (413, 0)


def test_a_body_that_comes_in_parts_is_put_together(toy_book):
    app = create_app(toy_book, Settings())
    parts = [b'{"patient": {}, "les', b"", b'ions": [{"lesion_id', b'": "a"}]}']

    assert post_in_parts(app, parts) == (200, 4)


def test_a_body_of_exactly_the_limit_is_read(toy_book):
    app = create_app(toy_book, Settings(body_limit_bytes=1_000))
    body = b'{"patient": {}, "lesions": [{"lesion_id": "a"}]}'.ljust(1_000)

    assert post_in_parts(app, [body])[0] == 200
    assert post_in_parts(app, [body + b" "])[0] == 413


@pytest.mark.parametrize(
    "written",
    [
        "application/json",
        "Application/JSON",
        "application/json; charset=utf-8",
        'application/json;charset="UTF-8"',
        "application/json ; charset=UTF-8;",
    ],
)
def test_json_in_utf8_is_read_however_it_is_written(ask, toy_case, written):
    assert ask.recommend(toy_case, headers={"Content-Type": written}).status_code == 200


@pytest.mark.parametrize(
    "written",
    [
        "",
        "text/plain",
        "text/json",
        "application/jsonp",
        "application/problem+json",
        "application/json; charset=iso-8859-1",
        "application/json; charset=utf-16",
        "application/json, text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=application/json",
    ],
)
def test_any_other_media_type_is_a_415_that_says_which_is_read(ask, toy_case, written):
    answer = ask.recommend(toy_case, headers={"Content-Type": written})

    assert answer.status_code == 415
    assert answer.json()["type"] == "/problems/unsupported-media-type"
    assert answer.headers["accept"] == "application/json"


def test_a_body_without_a_media_type_is_a_415(ask):
    assert ask("POST", PATH, content=b"{}").status_code == 415


def test_a_compressed_body_is_a_415_that_asks_for_a_plain_one(ask, toy_case):
    answer = ask.recommend(toy_case, headers={"Content-Encoding": "gzip"})

    assert answer.status_code == 415
    assert answer.headers["accept-encoding"] == "identity"
