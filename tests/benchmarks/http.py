"""How fast the service answers over HTTP, beside what the framework itself reaches on this machine.

The floor is the framework with a typed case as its body and a fixed answer, ready as bytes, of the same size as ours.
Both run with the same number of workers, in turns; each number is the median of its rounds. Every request of a round
is a different case. Only the ratios mean anything: a machine with other work on it is slower for both.
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
from fastapi import FastAPI
from starlette.responses import Response

from api.app import create
from decision import load_rule_book
from decision.case import case_shape
from tests.benchmarks.load import Load, means, put_under_load
from tests.benchmarks.many_cases import many_cases
from tests.benchmarks.report import Goal, Part

__all__ = ["WORKERS", "floor", "measured", "ours", "running"]

PATH = "/v1/recommendations"
SERVERS = ("floor", "ours")
WORKERS = (1, 2)
CONNECTIONS = 16
SAMPLE = 300
SEED = 1
SHARE, LEAST_SHARE, TAIL = 0.5, 0.35, 2.5

Loads = Mapping[int, Mapping[str, Sequence[Load]]]


@dataclass(frozen=True, slots=True)
class How:
    """For how long, how often, with how many workers and how many cases."""

    seconds: int
    rounds: int
    workers: tuple[int, ...]
    cases: int


WHOLE = How(seconds=6, rounds=5, workers=WORKERS, cases=90_000)
MOMENT = How(seconds=1, rounds=1, workers=WORKERS[:1], cases=5_000)


def floor() -> FastAPI:
    """The framework, a typed body, and an answer that is the same for every case."""
    app = FastAPI()
    shape = case_shape(load_rule_book().vocabulary)
    fixed = b'{"answer":"' + b"x" * (int(os.environ["ANSWER_BYTES"]) - 13) + b'"}'

    async def answer(case: Any) -> Response:
        return Response(fixed, media_type="application/json")

    answer.__annotations__["case"] = shape
    app.post(PATH)(answer)

    @app.get("/readyz")
    async def ready() -> Response:
        return Response(b"{}")

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
    loads = _loads(cases, size, how)
    return Part(
        "Over HTTP, beside the framework's floor",
        f"The floor is FastAPI with the same typed body and a fixed answer of {size} bytes, our mean. {CONNECTIONS} "
        f"connections for {how.seconds} s, {how.rounds} times, by {means()}; server and client share the cores. Every "
        "request of a round is another case, and every answer has its full reasons.",
        ("server", "workers", "requests/s", "of the floor", "p50, ms", "p99, ms", "p99.9, ms", "refused"),
        _rows(loads),
        _goals(loads),
    )


def _loads(cases: Sequence[bytes], size: int, how: How) -> Loads:
    """Run each server with each number of workers in turns, and put it under load."""
    loads: dict[int, dict[str, list[Load]]] = {one: {name: [] for name in SERVERS} for one in how.workers}
    warming = len(cases) // 10
    with tempfile.TemporaryDirectory() as folder:
        first, rest = Path(folder) / "first.jsonl", Path(folder) / "rest.jsonl"
        first.write_bytes(b"\n".join(cases[:warming]) + b"\n")
        rest.write_bytes(b"\n".join(cases[warming:]) + b"\n")
        for _, workers, name in itertools.product(range(how.rounds), how.workers, SERVERS):
            with running(name, workers, size) as url:
                put_under_load(url, PATH, first, seconds=1, connections=CONNECTIONS)
                load = put_under_load(url, PATH, rest, seconds=how.seconds, connections=CONNECTIONS)
            assert name == "floor" or load.requests <= len(cases) - warming, "some cases were sent twice"
            loads[workers][name].append(load)
    return loads


def _median(loads: Sequence[Load], name: str) -> float:
    return statistics.median(getattr(one, name) for one in loads)


def _rows(loads: Loads) -> list[tuple[str, ...]]:
    rows = []
    for workers, by_name in loads.items():
        floor_rate = _median(by_name["floor"], "requests_a_second")
        for name, found in by_name.items():
            rate = _median(found, "requests_a_second")
            latencies = [f"{_median(found, one):.2f}" for one in ("p50_ms", "p99_ms", "p999_ms")]
            refused = str(sum(one.refused for one in found))
            rows.append((name, str(workers), f"{rate:.0f}", f"{rate / floor_rate:.2f}", *latencies, refused))
    return rows


def _goals(loads: Loads) -> list[Goal]:
    goals = []
    for workers, by_name in loads.items():
        ours, floor = by_name["ours"], by_name["floor"]
        share = _median(ours, "requests_a_second") / _median(floor, "requests_a_second")
        tail = _median(ours, "p99_ms") / _median(floor, "p99_ms")
        where = f"{workers} worker{'s' if workers > 1 else ''}"
        goals += [
            Goal(f"requests a second, of the floor, {where}", f"{SHARE}", f"{share:.2f}", share >= SHARE),
            Goal(f"the least of that, {where}", f"{LEAST_SHARE}", f"{share:.2f}", share >= LEAST_SHARE),
            Goal(f"p99, of the floor's, {where}", f"at most {TAIL}", f"{tail:.2f}", tail <= TAIL),
        ]
    return goals


@contextlib.contextmanager
def running(name: str, workers: int, size: int = 100) -> Iterator[str]:
    """Run one of the servers of this module until the block ends, and give its address when it is ready."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "uvicorn", f"tests.benchmarks.http:{name}", "--factory", "--port", str(port)]
    command += ["--workers", str(workers), "--no-server-header", "--no-access-log", "--log-level", "warning"]
    server = subprocess.Popen(command, env={**os.environ, "ANSWER_BYTES": str(size)})
    url = f"http://127.0.0.1:{port}"
    try:
        _wait_until_ready(url, server)
        yield url
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
