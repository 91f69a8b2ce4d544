"""Replace the rule book of a worker again and again while clients ask it, and see whether it grows or answers wrongly.

python -m tests.benchmarks.reloads_under_load [RELOADS]

Two rule books that differ in one verdict take turns. The script writes the notice board that the supervisor would
write, so that no time goes into trials; a worker is told of the change, loads it and turns to it as it always does.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import httpx

from api.worker.board import Board, Notice
from tests.api.busy_service import ROOT, Asked, busy, until
from tests.two_books import LASTING, first_book, right, second_book

__all__ = ["FIRST", "Reloads", "reload_under_load"]

FIRST = 20  # reloads that fill what is filled once
CLIENTS = 3
LIMIT_MB = 15.0  # over a thousand reloads; a network never given back costs 0.04 MB a rule, its Python part as much


@dataclass(frozen=True, slots=True)
class Reloads:
    """What came of it: reloads, answers, how many of them were wrong, shed or lost, and how much the worker grew."""

    reloads: int
    answers: int
    wrong: int
    shed: int
    lost: int
    p99_ms: float
    memory_mb: list[float]

    @property
    def growth_mb(self) -> float:
        """From the end of the first reloads to the last one."""
        return self.memory_mb[-1] - self.memory_mb[0]


def reload_under_load(reloads: int, folder: Path) -> Reloads:
    """Replace the rule book so many times under load; a folder to write to must be given."""
    books = [first_book(folder / "first" / "rules"), second_book(folder / "second" / "rules")]
    board = Board(folder)
    board.put(Notice(str(books[0])))
    memory: list[float] = []
    with _worker(folder) as (url, process):

        def reload(asked: list[Asked]) -> None:
            for i in range(1, reloads + 1):
                board.put(Notice(str(books[i % 2]), taken=i))
                version = ("2026.11.0", "2026.12.0")[i % 2]
                until(lambda version=version: _version(url) == version, lambda: "no reload within a minute")
                before = len(asked)
                until(lambda before=before: len(asked) > before, lambda: "no answer within a minute")
                if i == min(FIRST, reloads // 2) or i % 100 == 0 or i == reloads:
                    memory.append(_resident_mb(process))

        asked = asyncio.run(_meanwhile(url, reload))
    answered = Counter(one.body for one in asked if one.status == 200)
    times = sorted(one.took_s for one in asked if one.status == 200)
    return Reloads(
        reloads=reloads,
        answers=answered.total(),
        wrong=sum(count for body, count in answered.items() if not right(json.loads(body))),
        shed=sum(one.status == 503 for one in asked),
        lost=sum(one.status not in (200, 503) for one in asked),
        p99_ms=times[int(0.99 * len(times))] * 1000,
        memory_mb=memory,
    )


async def _meanwhile(url: str, do: Callable[[list[Asked]], None]) -> list[Asked]:
    async with busy(url, [json.dumps(LASTING).encode()], clients=CLIENTS) as asked:
        await asyncio.to_thread(do, asked)
    return asked


def _version(url: str) -> str:
    version: str = httpx.get(f"{url}/readyz", timeout=30).json()["rule_book"]["version"]
    return version


@contextlib.contextmanager
def _worker(state_folder: Path) -> Iterator[tuple[str, int]]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "uvicorn", "api.running.editions:create", "--factory", "--port", str(port)]
    command += ["--no-access-log", "--log-level", "warning", "--http", "api.running.connection:Connection"]
    environment = {**os.environ, "THAWLINE_STATE_FOLDER": str(state_folder)}
    worker = subprocess.Popen(command, cwd=ROOT, env=environment)
    url = f"http://127.0.0.1:{port}"
    try:
        until(lambda: httpx.get(f"{url}/readyz").status_code == 200, lambda: "the worker does not start")
        yield url, worker.pid
    finally:
        worker.terminate()
        worker.wait(timeout=60)


def _resident_mb(process: int) -> float:
    pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def main() -> None:
    """Measure and print."""
    reloads = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        found = reload_under_load(reloads, Path(folder))
    memory = ", ".join(f"{one:.0f}" for one in found.memory_mb)
    print(
        f"{found.reloads:,} reloads in {time.perf_counter() - began:.0f} s; {found.answers:,} answers, {found.wrong} "
        f"wrong, {found.lost} lost, {found.shed} shed, p99 {found.p99_ms:.1f} ms; resident MB: {memory}; "
        f"growth {found.growth_mb:+.1f} MB (limit {LIMIT_MB})"
    )
    raise SystemExit(found.wrong > 0 or found.lost > 0 or found.growth_mb > LIMIT_MB)


if __name__ == "__main__":
    main()
