"""How fast the service answers over HTTP, beside what the framework itself reaches on this machine.

python -m tests.benchmarks.http [--seconds 4] [--rounds 3] [--connections 16] [--cases 30000] [--seed 1]

The floor is the framework with a typed case as its body and a fixed answer, ready as bytes, of the same size as ours.
The door is our service with everything around an answer, and that same fixed answer instead of one. Each runs on one
worker, one after the other, several times; each number is the median of its rounds. Every request is a different case.
Latency is measured under full load and at half of the rate that each reaches. Only the ratios mean anything: a machine
with other work on it is slower for all. The processor time of the server for a request is what such work moves least.
"""

from __future__ import annotations

import argparse
import contextlib
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator, Sequence
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
from api.operations import RECOMMEND
from api.service import service_of
from decision import load_rule_book
from decision.case import case_shape
from tests.benchmarks.load import Load, cpu_s, means, put_at_rate, put_under_load
from tests.benchmarks.many_cases import many_cases

PATH = "/v1/recommendations"
PORT = 8021
SAMPLE = 300


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


def ours() -> FastAPI:
    """The service as it is run."""
    return create()


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


@dataclass(frozen=True, slots=True)
class Measured:
    """One round of one server."""

    full: Load
    half: Load
    cpu_us: float


def main() -> int:
    """Measure all three and print what came out."""
    asked = _arguments()
    book = load_rule_book()
    cases = list(many_cases(book.vocabulary, asked.cases, asked.seed))
    size = round(statistics.mean(len(orjson.dumps(book.recommend(case))) for case in cases[:SAMPLE]))
    print(f"{len(cases)} cases, answers of {size} bytes in the mean; load by {means()}")
    found: dict[str, list[Measured]] = {"floor": [], "door": [], "ours": []}
    with tempfile.TemporaryDirectory() as folder:
        bodies = Path(folder) / "cases.jsonl"
        bodies.write_bytes(b"".join(orjson.dumps(case) + b"\n" for case in cases))
        for _ in range(asked.rounds):
            for name, rounds in found.items():
                with _running(name, size) as (url, process):
                    rounds.append(_measured(url, process, bodies, asked))
    return _report(found)


def _measured(url: str, process: int, bodies: Path, asked: Any) -> Measured:
    put_under_load(url, PATH, bodies, seconds=1, connections=asked.connections)
    before = cpu_s(process) or math.nan
    full = put_under_load(url, PATH, bodies, seconds=asked.seconds, connections=asked.connections)
    spent = (cpu_s(process) or math.nan) - before
    rate = full.requests_a_second
    half = put_at_rate(url, PATH, bodies, seconds=asked.seconds, connections=asked.connections, rate=rate / 2)
    return Measured(full, half, spent / (rate * asked.seconds) * 1e6)


def _report(found: dict[str, list[Measured]]) -> int:
    print(
        f"{'':8}{'requests/s':>12}{'cpu us':>9}{'p50 ms':>9}{'p99 ms':>9}{'half load: p50':>16}{'p99':>8}{'refused':>9}"
    )
    shown = {name: _medians(rounds) for name, rounds in found.items()}
    for name, (rate, cpu, p50, p99, half_p50, half_p99, refused) in shown.items():
        print(f"{name:8}{rate:12.0f}{cpu:9.0f}{p50:9.2f}{p99:9.2f}{half_p50:16.2f}{half_p99:8.2f}{refused:9.0f}")
    floor = shown["floor"]
    for name in ("door", "ours"):
        rate, cpu, _, p99, _, half_p99, _ = shown[name]
        print(
            f"{name} is {rate / floor[0]:.2f} of the floor by requests, {floor[1] / cpu:.2f} by processor time; "
            f"its p99 is {p99 / floor[3]:.1f} times the floor's under full load, {half_p99 / floor[5]:.1f} at half load"
        )
    return 1 if any(one[-1] for one in shown.values()) else 0


def _medians(rounds: Sequence[Measured]) -> tuple[float, ...]:
    """Requests a second, processor time in us, p50 and p99 under full load and at half load in ms, and all refusals."""
    rows = [
        (one.full.requests_a_second, one.cpu_us, one.full.p50_ms, one.full.p99_ms, one.half.p50_ms, one.half.p99_ms)
        for one in rounds
    ]
    refused = sum(one.full.refused + one.half.refused for one in rounds)
    return *(statistics.median(column) for column in zip(*rows, strict=True)), refused


def _fixed_answer() -> bytes:
    return b'{"answer":"' + b"x" * (int(os.environ["ANSWER_BYTES"]) - 13) + b'"}'


@contextlib.contextmanager
def _running(name: str, size: int) -> Iterator[tuple[str, int]]:
    command = [sys.executable, "-m", "uvicorn", f"tests.benchmarks.http:{name}", "--factory", "--port", str(PORT)]
    command += ["--no-server-header", "--no-access-log", "--log-level", "warning"]
    server = subprocess.Popen(command, env={**os.environ, "ANSWER_BYTES": str(size)})
    url = f"http://127.0.0.1:{PORT}"
    try:
        for _ in range(200):
            with contextlib.suppress(OSError):
                urllib.request.urlopen(f"{url}/readyz").close()
                break
            time.sleep(0.1)
        yield url, server.pid
    finally:
        server.terminate()
        server.wait()


def _arguments() -> Any:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--seconds", type=float, default=4)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--connections", type=int, default=16)
    parser.add_argument("--cases", type=int, default=30_000)
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
