"""How fast the service answers over HTTP, beside what the framework itself reaches on this machine.

The floor is the framework with a typed case as its body and a fixed answer, ready as bytes, of the same size as ours.
The door is our service with everything around an answer, and that same fixed answer instead of one. All run with the
same number of workers, in turns; each number is the median of its rounds. Every request of a round is a different case.
Latency is measured under full load and at half of the rate that each reaches. Only the ratios mean anything: a machine
with other work on it is slower for all. The processor time for a request is what such work moves least.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import orjson
from fastapi import APIRouter, FastAPI
from starlette.requests import Request
from starlette.responses import Response

from api.app import create
from api.body import json_body
from api.door import Door
from api.operations.service_operations import RECOMMEND
from api.service import service_of
from decision import load_rule_book
from decision.case import case_shape
from tests.benchmarks.load import Load, cpu_s, means, put_at_rate, put_under_load
from tests.benchmarks.many_cases import many_cases
from tests.benchmarks.report import Goal, Part

__all__ = ["WORKERS", "door", "floor", "measured", "ours", "running"]

PATH = "/v1/recommendations"
SERVERS = ("floor", "door", "ours")
WORKERS = (1, 2)
CONNECTIONS = 16
SAMPLE = 300
SMALL = 100
SEED = 1
SHARE, LEAST_SHARE, TAIL = 0.5, 0.35, 2.5
LATENCIES = ("p50, ms", "p99, ms", "p99.9, ms", "half load: p50, ms", "p99, ms")
HEAD = ("server", "workers", "requests/s", "of the floor", "processor, µs", *LATENCIES, "refused")

Rounds = Mapping[int, Mapping[str, Sequence["Round"]]]


@dataclass(frozen=True, slots=True)
class How:
    """For how long, how often, with how many workers and how many cases."""

    seconds: int
    rounds: int
    workers: tuple[int, ...]
    cases: int


@dataclass(frozen=True, slots=True)
class Round:
    """What one server did once: under full load, at half the rate it reached, and how much processor a request took."""

    full: Load
    half: Load
    cpu_us: float


WHOLE = How(seconds=5, rounds=3, workers=WORKERS, cases=90_000)
MOMENT = How(seconds=1, rounds=1, workers=WORKERS[:1], cases=5_000)


def floor() -> FastAPI:
    """The framework, a typed body, and an answer that is the same for every case."""
    app = FastAPI()
    shape = case_shape(load_rule_book().vocabulary)
    fixed = _fixed_answer()

    async def answer(case: Any) -> Response:
        return Response(fixed, media_type="application/json")

    answer.__annotations__["case"] = shape
    app.post(PATH)(answer)

    @app.get("/readyz")
    async def ready() -> Response:
        return Response(b"{}")

    return app


def door() -> FastAPI:
    """The service as it is run, which reads the body of a request and then gives an answer that is always the same."""
    app = create()
    router = APIRouter(route_class=Door)
    fixed = _fixed_answer()

    @router.post(PATH, **RECOMMEND)
    async def answer(request: Request) -> Response:
        await json_body(request, service_of(request).settings)
        return Response(fixed, media_type="application/json")

    app.router.routes[:0] = router.routes
    return app


def ours() -> FastAPI:
    """The service as it is run."""
    return create()


def measured(*, short: bool) -> Part:
    """Put both under load, with one worker and with two; for a moment with one."""
    how = MOMENT if short else WHOLE
    book = load_rule_book()
    cases = [orjson.dumps(case) for case in many_cases(book.vocabulary, how.cases, SEED)]
    size = round(statistics.mean(len(orjson.dumps(book.recommend(orjson.loads(one)))) for one in cases[:SAMPLE]))
    book.close()
    rounds = _rounds(cases, size, how)
    return Part(
        "Over HTTP, beside the framework's floor",
        f"The floor is FastAPI with the same typed body and a fixed answer of {size} bytes, our mean; the door is this "
        f"service with that fixed answer. {CONNECTIONS} connections for {how.seconds} s, {how.rounds} times, by "
        f"{means()}; server and client share the cores. Every request of a round is another case, and every answer of "
        "ours has its full reasons. At half load a request counts from when it was due, whatever waits before it.",
        HEAD,
        _rows(rounds),
        _goals(rounds),
    )


def _rounds(cases: Sequence[bytes], size: int, how: How) -> Rounds:
    """Run each server with each number of workers in turns, and put it under load."""
    found: dict[int, dict[str, list[Round]]] = {one: {name: [] for name in SERVERS} for one in how.workers}
    warming = len(cases) // 10
    with tempfile.TemporaryDirectory() as folder:
        first, rest = Path(folder) / "first.jsonl", Path(folder) / "rest.jsonl"
        first.write_bytes(b"\n".join(cases[:warming]) + b"\n")
        rest.write_bytes(b"\n".join(cases[warming:]) + b"\n")
        for _, workers, name in itertools.product(range(how.rounds), how.workers, SERVERS):
            with _process(name, workers, size) as (url, process):
                put_under_load(url, PATH, first, seconds=1, connections=CONNECTIONS)
                one = _round(url, process, rest, how.seconds)
            assert not one.full.refused, "refusals were counted as answers"
            assert name != "ours" or one.full.requests <= len(cases) - warming, "some cases were sent twice"
            found[workers][name].append(one)
    return found


def _round(url: str, process: int, bodies: Path, seconds: int) -> Round:
    before = cpu_s(process)
    full = put_under_load(url, PATH, bodies, seconds=seconds, connections=CONNECTIONS)
    spent = cpu_s(process) - before
    rate = full.requests_a_second / 2
    half = put_at_rate(url, PATH, bodies, seconds=seconds, connections=CONNECTIONS, rate=rate)
    return Round(full, half, 1e6 * spent / full.requests)


def _median(rounds: Sequence[Round], load: str, name: str) -> float:
    return statistics.median(getattr(getattr(one, load), name) for one in rounds)


def _rows(rounds: Rounds) -> list[tuple[str, ...]]:
    rows = []
    for workers, by_name in rounds.items():
        floor_rate = _median(by_name["floor"], "full", "requests_a_second")
        for name, found in by_name.items():
            rate = _median(found, "full", "requests_a_second")
            cpu_us = statistics.median(one.cpu_us for one in found)
            full = [f"{_median(found, 'full', one):.2f}" for one in ("p50_ms", "p99_ms", "p999_ms")]
            half = [f"{_median(found, 'half', one):.2f}" for one in ("p50_ms", "p99_ms")]
            refused = str(sum(one.full.refused + one.half.refused for one in found))
            shares = f"{rate:.0f}", f"{rate / floor_rate:.2f}", f"{cpu_us:.0f}"
            rows.append((name, str(workers), *shares, *full, *half, refused))
    return rows


def _goals(rounds: Rounds) -> list[Goal]:
    goals = []
    for workers, by_name in rounds.items():

        def share(load: str, name: str, by_name: Mapping[str, Sequence[Round]] = by_name) -> float:
            return _median(by_name["ours"], load, name) / _median(by_name["floor"], load, name)

        where = f"{workers} worker{'s' if workers > 1 else ''}"
        rate = share("full", "requests_a_second")
        goals += [
            Goal(f"requests a second, of the floor, {where}", f"{SHARE}", f"{rate:.2f}", rate >= SHARE),
            Goal(f"the least of that, {where}", f"{LEAST_SHARE}", f"{rate:.2f}", rate >= LEAST_SHARE),
        ]
        for load in ("full", "half"):
            tail = share(load, "p99_ms")
            said = f"p99 at {load} load, of the floor's, {where}"
            goals.append(Goal(said, f"at most {TAIL}", f"{tail:.2f}", tail <= TAIL))
    return goals


def _fixed_answer() -> bytes:
    return b'{"answer":"' + b"x" * (int(os.environ["ANSWER_BYTES"]) - 13) + b'"}'


@contextlib.contextmanager
def running(name: str, workers: int) -> Iterator[str]:
    """Run one of the servers of this module until the block ends, and give its address when it is ready."""
    with _process(name, workers, SMALL) as (url, _):
        yield url


@contextlib.contextmanager
def _process(name: str, workers: int, size: int) -> Iterator[tuple[str, int]]:
    """Run a server with answers of a size until the block ends; its address, when it is ready, and its process."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "uvicorn", f"tests.benchmarks.http:{name}", "--factory", "--port", str(port)]
    command += ["--workers", str(workers), "--no-server-header", "--no-access-log", "--log-level", "warning"]
    nobody_refused = {"THAWLINE_WAITING_LIMIT": "10000", "THAWLINE_OPEN_LIMIT": "10000"}  # a refusal is no answer
    server = subprocess.Popen(command, env={**os.environ, **nobody_refused, "ANSWER_BYTES": str(size)})
    url = f"http://127.0.0.1:{port}"
    try:
        _wait_until_ready(url, server)
        yield url, server.pid
    finally:
        server.terminate()
        server.wait(timeout=30)


def _wait_until_ready(url: str, server: subprocess.Popen[bytes]) -> None:
    for _ in range(600):
        assert server.poll() is None, "the server ended"
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{url}/readyz"):
            return
        time.sleep(0.05)
    raise AssertionError("the server was not ready after 30 s")
