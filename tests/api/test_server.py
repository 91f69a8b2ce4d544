"""What only shows over a real connection."""

import socket
from urllib.parse import urlsplit

import httpx
import pytest

from tests.api.busy_service import LIMIT_S

PATH = "/v1/recommendations"
JSON = {"Content-Type": "application/json"}


def exchange(server, request, *, until=b"}"):
    """Send bytes as they are; read until the answer ends so."""
    address = urlsplit(server)
    with socket.create_connection((address.hostname, address.port), timeout=LIMIT_S) as connection:
        connection.sendall(request)
        received = b""
        while not received.endswith(until):
            part = connection.recv(65536)
            if not part:
                break
            received += part
    return received


def test_a_body_of_two_megabytes_gets_its_413_over_a_connection(server):
    answer = httpx.post(server + PATH, content=b" " * 2_000_000, headers=JSON, timeout=LIMIT_S)

    assert answer.status_code == 413


def test_a_body_without_a_length_is_refused_at_the_limit(server):
    answer = httpx.post(server + PATH, content=iter([b" " * 100_000] * 20), headers=JSON, timeout=LIMIT_S)

    assert answer.status_code == 413


def test_a_caller_that_waits_for_leave_to_send_is_refused_without_it(server):
    head = f"POST {PATH} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    received = exchange(server, f"{head}Content-Length: 2000000\r\nExpect: 100-continue\r\n\r\n".encode())

    assert received.startswith(b"HTTP/1.1 413 ")


def test_the_connection_stays_usable_after_a_refusal(server, toy_case):
    with httpx.Client(base_url=server, timeout=LIMIT_S) as client:
        refused = client.post(PATH, content=b"{", headers=JSON)
        answered = client.post(PATH, json=toy_case)

    assert (refused.status_code, answered.status_code) == (400, 200)


def test_no_answer_names_the_software_that_serves_it(server):
    for path in ("/livez", "/nowhere"):
        assert "server" not in httpx.get(server + path, timeout=LIMIT_S).headers


def test_head_sends_no_byte_of_the_body(server):
    received = exchange(server, b"HEAD /v1/rules HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", until=b"never")

    assert received.endswith(b"\r\n\r\n")
    assert b"content-length: " in received


@pytest.mark.parametrize("path", ["/livez", "/readyz", "/v1/rules", "/docs"])
def test_what_the_service_says_without_a_server_it_says_over_a_connection_too(server, ask, path):
    ask.app.state.service.ready.set()

    assert httpx.get(server + path, timeout=LIMIT_S).content == ask("GET", path).content
