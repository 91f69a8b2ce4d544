"""How fast the service answers over HTTP, beside what the framework itself reaches on this machine.

python -m tests.benchmarks.http [--seconds 4] [--rounds 3] [--connections 16] [--cases 30000] [--seed 1]

The floor is the framework with a typed case as its body and a fixed answer, ready as bytes, of the same size as ours.
Both run on one worker, one after the other, several times; each number is the median of its rounds. Every request is
a different case. Only the ratios mean anything: a machine with other work on it is slower for both.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
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

PATH = "/v1/recommendations"
PORT = 8021
SAMPLE = 300


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


def main() -> int:
    """Measure both and print what came out."""
    asked = _arguments()
    book = load_rule_book()
    cases = list(many_cases(book.vocabulary, asked.cases, asked.seed))
    size = round(statistics.mean(len(orjson.dumps(book.recommend(case))) for case in cases[:SAMPLE]))
    print(f"{len(cases)} cases, answers of {size} bytes in the mean; load by {means()}")
    found: dict[str, list[Load]] = {"floor": [], "ours": []}
    with tempfile.TemporaryDirectory() as folder:
        bodies = Path(folder) / "cases.jsonl"
        bodies.write_bytes(b"".join(orjson.dumps(case) + b"\n" for case in cases))
        for _ in range(asked.rounds):
            for name, loads in found.items():
                with _running(name, size) as url:
                    put_under_load(url, PATH, bodies, seconds=1, connections=asked.connections)
                    load = put_under_load(url, PATH, bodies, seconds=asked.seconds, connections=asked.connections)
                    loads.append(load)
    return _report(found)


def _report(found: dict[str, list[Load]]) -> int:
    print(f"{'':8}{'requests/s':>12}{'p50 ms':>9}{'p99 ms':>9}{'refused':>9}")
    medians = {}
    for name, loads in found.items():
        rate = statistics.median(one.requests_a_second for one in loads)
        p50, p99 = (statistics.median(getattr(one, field) for one in loads) for field in ("p50_ms", "p99_ms"))
        refused = sum(one.refused for one in loads)
        medians[name] = (rate, p99, refused)
        print(f"{name:8}{rate:12.0f}{p50:9.2f}{p99:9.2f}{refused:9}")
    ours, floor = medians["ours"], medians["floor"]
    print(f"ours is {ours[0] / floor[0]:.2f} of the floor; its p99 is {ours[1] / floor[1]:.1f} times the floor's")
    return 1 if ours[2] or floor[2] else 0


@contextlib.contextmanager
def _running(name: str, size: int) -> Iterator[str]:
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
        yield url
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
