"""A client that sends or reads too slowly or not at all does not keep its connection; what HTTP forbids is told."""

import contextlib
import json
import socket
import time
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest

from api.running.connection import HEAD_LIMIT_BYTES, LINGER_BYTES
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

        assert_problem(ended(connection), 431, "head-too-large")


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


def assert_problem(received, status, kind):
    """One answer, a problem document with a request id of its own, and the end."""
    head, _, body = received.partition(b"\r\n\r\n")
    named = dict(line.split(": ", 1) for line in head.decode().splitlines()[1:])
    assert head.startswith(f"HTTP/1.1 {status} ".encode()), received
    assert named["content-type"] == "application/problem+json"
    assert named["connection"] == "close"
    told = json.loads(body)
    assert (told["status"], told["type"]) == (status, f"/problems/{kind}")
    assert named["x-request-id"] == told["request_id"]


def answered(service, sent):
    with connected(service) as connection:
        connection.sendall(sent)
        return ended(connection)


@pytest.mark.parametrize(
    ("head", "status", "kind"),
    [
        (b"GET /livez HTTP/1.1\r\n\r\n", 400, "bad-request"),
        (b"GET /livez HTTP/1.1\r\nHost: a\r\nHost: a\r\n\r\n", 400, "bad-request"),
        (b"GET /livez HTTP/1.1\r\nHost: a b/<x>\r\n\r\n", 400, "bad-request"),
        (b"GET /livez HTTP/1.1\r\nHost: a/b\r\n\r\n", 400, "bad-request"),
        (b"GET /livez HTTP/1.1\r\nHost: a:port\r\n\r\n", 400, "bad-request"),
        (b"BREW /v1/rules HTTP/1.1\r\nHost: x\r\n\r\n", 501, "unknown-method"),
        (b"GET /caf\xc3\xa9 HTTP/1.1\r\nHost: x\r\n\r\n", 400, "bad-request"),
        (HEAD + b"Content-Length: 1\r\nContent-Length: 2\r\n\r\n{", 400, "bad-request"),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\nno size\r\n", 400, "bad-request"),
        (HEAD + b"X-Long: " + b"a" * HEAD_LIMIT_BYTES + b"\r\n\r\n", 431, "head-too-large"),
        (HEAD + b"X-Short: a\r\n" * 8_000 + b"\r\n", 431, "head-too-large"),
        (b"GET /" + b"a" * HEAD_LIMIT_BYTES + b" HTTP/1.1\r\nHost: x\r\n\r\n", 431, "head-too-large"),
    ],
)
def test_what_is_no_request_is_a_problem_and_the_end(service, head, status, kind):
    assert_problem(answered(service, head), status, kind)
    assert httpx.get(f"{service.url}/problems/{kind}", timeout=SOON_S).json()["status"] == status


def test_a_request_id_that_was_read_is_given_back(service):
    received = answered(service, b"GET /livez HTTP/1.1\r\nX-Request-ID: visit-2026-0117\r\n\r\n")

    assert b"\r\nx-request-id: visit-2026-0117\r\n" in received


@pytest.mark.parametrize("host", [b"x", b"127.0.0.1:8000", b"[::1]:8000", b"records.example.org", b""])
def test_a_host_may_be_a_name_or_an_address_with_a_port_or_without(service, host):
    received = answered(service, b"GET /livez HTTP/1.1\r\nHost: " + host + b"\r\nConnection: close\r\n\r\n")

    assert received.startswith(b"HTTP/1.1 200 ")


def test_an_old_client_names_no_host(service):
    assert answered(service, b"GET /livez HTTP/1.0\r\n\r\n").startswith(b"HTTP/1.1 200 ")


def test_a_head_below_the_limit_is_taken(service):
    received = answered(service, HEAD + b"X-Long: " + b"a" * 60_000 + b"\r\nConnection: close\r\n\r\n")

    assert b"head-too-large" not in received


def test_a_long_body_before_the_next_head_is_no_part_of_it(service):
    body = b" " * 200_000
    first = HEAD + b"Content-Length: %d\r\n\r\n" % len(body) + body

    received = answered(service, first + b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")

    assert [one[:3] for one in received.split(b"HTTP/1.1 ")[1:]] == [b"400", b"200"]


@pytest.mark.parametrize("after", [b"BREW / HTTP/1.1\r\n\r\n", b"GET /livez HTTP/1.1\r\n\r\n"])
def test_behind_an_answer_that_is_still_to_come_nothing_is_said_of_what_is_no_request(service, after):
    case = json.dumps(a_case()).encode()

    received = answered(service, HEAD + b"Content-Length: %d\r\n\r\n" % len(case) + case + after)

    assert received.count(b"HTTP/1.1 ") == 1
    assert received.startswith(b"HTTP/1.1 200 ")


def test_a_bad_chunk_behind_the_first_lines_of_a_batch_ends_it_and_says_nothing_in_between(service):
    line = json.dumps(a_case()).encode() + b"\n"
    head = HEAD.replace(b"recommendations", b"batches").replace(b"/json", b"/x-ndjson")
    with connected(service) as connection:
        connection.sendall(head + b"Transfer-Encoding: chunked\r\n\r\n%x\r\n" % len(line) + line + b"\r\n")
        received = b""
        while b'"line":1' not in received:
            received += connection.recv(65536)
        connection.sendall(b"no size\r\n")
        received += ended(connection)

    assert received.count(b"HTTP/1.1 ") == 1
    assert not received.endswith(b"0\r\n\r\n")  # a client sees that it was cut


def test_an_old_client_gets_its_batch_without_chunks(service):
    lines = b"".join(json.dumps(a_case(longest_diameter_mm=width)).encode() + b"\n" for width in (1, 12, 3))
    head = b"POST /v1/batches HTTP/1.0\r\nContent-Type: application/x-ndjson\r\nContent-Length: %d\r\n\r\n"

    head, _, body = answered(service, head % len(lines) + lines).partition(b"\r\n\r\n")

    assert b"transfer-encoding" not in head.lower()
    assert b"connection: close" in head.lower()
    assert [json.loads(one)["line"] for one in body.splitlines()] == [1, 2, 3]


def test_a_body_that_is_too_large_gets_its_413_though_it_is_sent_to_its_end(service):
    size = 5_000_000
    with connected(service) as connection:
        connection.sendall(HEAD + b"Connection: close\r\nContent-Length: %d\r\n\r\n" % size)
        for _ in range(50):
            connection.sendall(b" " * (size // 50))
            time.sleep(0.01)  # of a client that is still sending when the answer has long been given
        received = ended(connection)

    assert received.startswith(b"HTTP/1.1 413 ")
    assert json.loads(received.partition(b"\r\n\r\n")[2])["type"] == "/problems/body-too-large"


def test_a_client_that_never_ends_sending_is_ended_nevertheless(service):
    with connected(service) as connection, pytest.raises(ConnectionError):
        connection.sendall(HEAD + b"Connection: close\r\nContent-Length: 999999999\r\n\r\n")
        for _ in range(4 * LINGER_BYTES // 100_000):
            connection.sendall(b" " * 100_000)
