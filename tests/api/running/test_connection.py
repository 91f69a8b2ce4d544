"""A client that sends or reads too slowly, or not at all, does not keep its connection."""

import contextlib
import json
import socket
import time
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from api.running.connection import HEAD_LIMIT_BYTES
from tests.api.busy_service import running
from tests.api.conftest import a_case

TOY = Path(__file__).parents[2] / "toy_rules"
HEAD = b"POST /v1/recommendations HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
SOON_S = 60  # of limits of 1 and 2 seconds; a busy machine is no fault
LIMITS = {"header_limit_s": "2", "body_limit_s": "1", "idle_limit_s": "1", "reader_limit_s": "1"}


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    folder = tmp_path_factory.mktemp("connection")
    with running(folder, TOY, workers=1, **LIMITS) as service:
        yield service


@contextlib.contextmanager
def connected(service):
    address = urlsplit(service.url)
    with socket.create_connection((address.hostname, address.port), timeout=SOON_S) as connection:
        yield connection


def ended(connection):
    """All that is still received until the other side ends the connection; a timeout fails the test."""
    received = b""
    with contextlib.suppress(ConnectionResetError):
        while part := connection.recv(65536):
            received += part
    return received


def test_a_connection_that_says_nothing_is_ended(service):
    with connected(service) as connection:
        assert ended(connection) == b""


def test_a_head_that_comes_letter_by_letter_is_given_up(service):
    with connected(service) as connection, pytest.raises(ConnectionError):
        for letter in HEAD * 10:
            connection.sendall(bytes([letter]))
            time.sleep(0.1)  # of a slow client, not of a test


def test_a_head_without_end_is_given_up(service):
    with connected(service) as connection:
        with contextlib.suppress(ConnectionError):
            connection.sendall(HEAD + b"X-Long: " + b"a" * 4 * HEAD_LIMIT_BYTES)

        assert ended(connection) == b""


def test_a_second_head_has_its_limit_too(service):
    with connected(service) as connection:
        connection.sendall(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\nGET /livez HT")

        assert ended(connection).count(b"HTTP/1.1 200 ") == 1


def test_a_body_that_does_not_come_is_a_408_and_the_end(service):
    with connected(service) as connection:
        connection.sendall(HEAD + b"Content-Length: 100\r\n\r\n{")
        head, _, body = ended(connection).partition(b"\r\n\r\n")

    assert head.startswith(b"HTTP/1.1 408 ")
    assert b"connection: close" in head.lower()
    assert json.loads(body)["type"] == "/problems/body-too-slow"
    assert json.loads(body)["detail"] == "the body did not arrive within 1 seconds."


def test_a_batch_whose_next_line_does_not_come_is_told_so_in_its_answer(service):
    line = json.dumps(a_case()).encode() + b"\n"
    head = b"POST /v1/batches HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
    with connected(service) as connection:
        # Head and first line go together: a busy machine may not put the limit between them.
        connection.sendall(head + b"Transfer-Encoding: chunked\r\n\r\n%x\r\n%b\r\n" % (len(line), line))
        answered = ended(connection)
    first, last = [json.loads(one) for one in answered.splitlines() if one.startswith(b"{")]

    assert "answer" in first
    assert (last["line"], last["problem"]["type"]) == (2, "/problems/body-too-slow")


def test_a_client_that_stops_reading_is_ended(service):
    with connected(service) as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        with pytest.raises(ConnectionError):
            for _ in range(10_000):  # ask for the longest page again and again, and read nothing
                connection.sendall(b"GET /openapi.json HTTP/1.1\r\nHost: x\r\n\r\n" * 200)


def test_an_idle_connection_is_ended_after_an_answer(service):
    with connected(service) as connection:
        connection.sendall(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")

        assert ended(connection).startswith(b"HTTP/1.1 200 ")


def test_a_connection_too_many_is_ended_at_once_and_the_others_stay(tmp_path):
    with running(tmp_path, TOY, workers=1, connection_limit="20") as service, contextlib.ExitStack() as stack:
        held = [stack.enter_context(connected(service)) for _ in range(20)]
        one_more = stack.enter_context(connected(service))

        assert ended(one_more) == b""
        held[0].sendall(b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        assert ended(held[0]).startswith(b"HTTP/1.1 200 ")
