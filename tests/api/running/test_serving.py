"""`thawline serve` stays up: a worker that dies or hangs is replaced, and a stop lets what is open end."""

import asyncio
import json
import os
import signal
import time
from pathlib import Path

import httpx
import pytest

from api.keys import hash_of
from tests.api.busy_service import Client, alive, busy, running, until_answered
from tests.api.conftest import a_case

TOY = Path(__file__).parents[2] / "toy_rules"
CRASHING = "tests.api.crashing:create"
CLIENTS = 6
ENOUGH = 60  # answers, before and after
NDJSON = {"Content-Type": "application/x-ndjson"}


def cases():
    """Forty cases that differ."""
    return [json.dumps(a_case(longest_diameter_mm=1 + i / 4)).encode() for i in range(40)]


def under_load(service, do):
    """Do something while clients ask; what they asked before, meanwhile and after, and when it was begun."""

    async def load():
        async with busy(service.url, cases(), clients=CLIENTS) as asked:
            await until_answered(asked, ENOUGH)
            begun_at = time.monotonic()
            await asyncio.to_thread(do)
            await until_answered(asked, ENOUGH, since_s=time.monotonic())
        return asked, begun_at

    return asyncio.run(load())


def held_to_one_worker(asked, begun_at):
    """Only what was in flight on the worker that ended is lost, at most one request a client, and each client goes on.

    Or sent over a connection that lay idle when it ended: who was shed waits a second before the next request.
    """
    lost = [one for one in asked if one.status == 0]
    assert len({one.client for one in lost}) == len(lost)
    assert all(one.at_s + one.took_s >= begun_at for one in lost)
    assert {one.status for one in asked} <= {0, 200, 503}


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    with running(tmp_path_factory.mktemp("serving"), TOY, application=CRASHING, hang_limit_s="3") as service:
        yield service


def test_a_worker_that_is_killed_is_replaced_and_no_other_request_is_lost(service):
    before = service.workers()
    replaced = service.metric("thawline_workers_replaced_total")

    asked, begun_at = under_load(service, lambda: os.kill(before[0], signal.SIGKILL))

    held_to_one_worker(asked, begun_at)
    service.until(lambda: len(service.workers()) == 2)
    assert set(service.workers()) != set(before)
    assert service.metric("thawline_workers_replaced_total") == replaced + 1
    assert f"Worker {before[0]} ended by itself (SIGKILL)" in service.said(f"Worker {before[0]} ")[0]["message"]


def test_a_crash_of_the_c_matcher_costs_one_worker_and_no_other_request(service):
    service.until(lambda: len(service.workers()) == 2)

    def crash():
        with pytest.raises(httpx.RemoteProtocolError):
            httpx.get(f"{service.url}/crash", timeout=10)

    asked, begun_at = under_load(service, crash)

    held_to_one_worker(asked, begun_at)
    service.until(lambda: service.said("(SIGFPE)"))
    service.until(lambda: len(service.workers()) == 2)


def test_a_worker_in_which_the_c_matcher_hangs_is_replaced(service):
    service.until(lambda: len(service.workers()) == 2)
    before = set(service.workers())

    with pytest.raises(httpx.TransportError):
        httpx.get(f"{service.url}/hang", timeout=30)

    service.until(lambda: len(service.workers()) == 2 and len(before & set(service.workers())) == 1)
    assert httpx.get(f"{service.url}/readyz", timeout=10).status_code == 200


def test_no_line_of_the_log_is_anything_but_json(service):
    assert len(service.log()) > 5


@pytest.fixture
def stopping(tmp_path):
    with running(tmp_path, TOY, workers=1, drain_limit_s="3") as service:
        yield service


def half_a_batch(service, rest):
    """Send one line of a batch, stop the service, then do the rest; what came of it."""
    line = json.dumps(a_case()).encode() + b"\n"

    def lines():
        yield line
        service.signal(signal.SIGTERM)
        service.until(lambda: service.said("Shutting down"))
        yield from rest(line)

    with httpx.stream("POST", f"{service.url}/v1/batches", content=lines(), headers=NDJSON, timeout=30) as answer:
        return [json.loads(one) for one in answer.iter_lines()]


def test_a_stop_lets_an_open_batch_end(stopping):
    told = half_a_batch(stopping, lambda line: [line, line])

    assert [one["line"] for one in told] == [1, 2, 3]
    assert all("answer" in one for one in told)
    assert stopping.supervisor.wait(timeout=30) == 0
    assert not stopping.workers()


def test_a_stop_ends_though_a_batch_does_not(stopping):
    def for_ever(line):
        while stopping.workers():
            time.sleep(0.2)  # between two lines of a client, not of a test
            yield line

    with pytest.raises(httpx.TransportError):
        half_a_batch(stopping, for_ever)

    assert stopping.supervisor.wait(timeout=30) == 0


def test_a_stopped_service_leaves_nothing_behind(tmp_path):
    state = tmp_path / "state"
    with running(tmp_path, TOY, workers=1, state_folder=str(state)) as service:
        worker = service.workers()[0]
        assert {one.name for one in state.iterdir()} >= {"notice.json", "counts"}
        assert state.stat().st_mode & 0o777 == 0o700

    assert list(state.iterdir()) == []
    assert not alive(worker)


def test_a_worker_that_cannot_start_takes_no_other_along_and_is_tried_again(tmp_path):
    keys = tmp_path / "keys.yaml"
    good = f"keys:\n  - {{name: west, sha256: {hash_of('a-key')}}}\n"
    keys.write_text(good)
    with running(tmp_path, TOY, api_keys=str(keys)) as service:
        keys.write_text("keys: 3\n")
        os.kill(service.workers()[0], signal.SIGKILL)

        service.until(lambda: service.said("(exit code 3)"))
        assert service.said("This worker cannot start. keys.yaml:1")
        assert len(service.workers()) == 1
        assert service.ready()["status"] == "ready"

        keys.write_text(good)
        service.until(lambda: len(service.workers()) == 2)


def test_workers_do_not_outlive_their_supervisor(tmp_path):
    with running(tmp_path, TOY, workers=1) as service:
        worker = service.workers()[0]

        service.supervisor.kill()

        service.until(lambda: not alive(worker))


def test_a_client_is_answered_over_a_connection_that_is_kept(service):
    async def twice():
        client = Client(service.url)
        found = [await client.post("/v1/recommendations", cases()[0]) for _ in range(2)]
        client.close()
        return found

    assert [one.status for one in asyncio.run(twice())] == [200, 200]
