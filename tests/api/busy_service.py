"""Run `thawline serve` as an operator would, and clients that keep it busy; on the loopback, and all with limits."""

from __future__ import annotations

import asyncio
import contextlib
import dataclasses
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path

import httpx

ROOT = Path(__file__).parents[2]
LIMIT_S = 60  # of everything that waits for a process; a busy machine is no fault
SERVE = """
import sys
from api.running.serving import serve_until_stopped
from api.settings import settings_from
import os
serve_until_stopped(settings_from(os.environ), host="127.0.0.1", port=int(sys.argv[1]), workers=int(sys.argv[2]),
                    application=sys.argv[3])
"""


@dataclasses.dataclass
class Running:
    """A service that runs."""

    url: str
    supervisor: subprocess.Popen[bytes]
    log_file: Path

    def log(self) -> list[dict]:
        """Every line of the log; each must be JSON."""
        return [json.loads(line) for line in self.log_file.read_text().splitlines()]

    def said(self, words: str) -> list[dict]:
        return [line for line in self.log() if words in line["message"]]

    def workers(self) -> list[int]:
        """The workers that have started and are alive."""
        started = [line["process"] for line in self.said("Application startup complete.")]
        return [one for one in started if alive(one)]

    def signal(self, number: int) -> None:
        self.supervisor.send_signal(number)

    def until(self, found: Callable[[], object]) -> object:
        """What was waited for."""
        return until(found, lambda: self.log_file.read_text())

    def ready(self) -> dict:
        return httpx.get(f"{self.url}/readyz", timeout=LIMIT_S).json()

    def metric(self, name: str) -> float:
        """A count without labels, or with the labels as they are written."""
        lines = httpx.get(f"{self.url}/metrics", timeout=LIMIT_S).text.splitlines()
        return next(float(line.removeprefix(name)) for line in lines if line.startswith(f"{name} "))


def alive(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except FileNotFoundError:
        return False


def until(found: Callable[[], object], explained: Callable[[], str]) -> object:
    """Ask again and again, with a limit."""
    ended = time.monotonic() + LIMIT_S
    while time.monotonic() < ended:
        with contextlib.suppress(httpx.TransportError, StopIteration):
            if got := found():
                return got
        time.sleep(0.05)  # of waiting for another process, not of a test
    raise AssertionError(explained())


@contextlib.contextmanager
def running(
    folder: Path, rules: Path, *, workers: int = 2, application: str = "api.running.editions:create", **settings: str
) -> Iterator[Running]:
    """Run the service over a rule folder; its log and nothing else is written to the folder."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    named = {f"THAWLINE_{name.upper()}": value for name, value in settings.items()}
    environment = {**os.environ, **named, "THAWLINE_RULES_FOLDER": str(rules), "PYTHONPATH": str(ROOT)}
    log = folder / "log.jsonl"
    command = [sys.executable, "-c", SERVE, str(port), str(workers), application]
    with log.open("wb") as written:
        supervisor = subprocess.Popen(command, cwd=folder, env=environment, stdout=written, stderr=written)
    service = Running(f"http://127.0.0.1:{port}", supervisor, log)
    try:
        until(lambda: supervisor.poll() is not None or len(service.workers()) >= workers, log.read_text)
        assert supervisor.poll() is None, log.read_text()
        yield service
    finally:
        supervisor.send_signal(signal.SIGTERM)
        try:
            supervisor.wait(timeout=LIMIT_S)
        except subprocess.TimeoutExpired:
            supervisor.kill()
            raise


@dataclasses.dataclass(frozen=True)
class Asked:
    """One request of a client: when it was sent, how long it took, its status (0: the connection broke), its answer."""

    client: int
    at_s: float
    took_s: float
    status: int
    body: bytes = b""
    head: bytes = b""


class Client:
    """One connection that is kept, over which one request at a time is sent."""

    def __init__(self, url: str, number: int = 0) -> None:
        self._host, _, port = url.removeprefix("http://").partition(":")
        self._port, self._number = int(port), number
        self._reader: asyncio.StreamReader | None = None
        self._writer: asyncio.StreamWriter | None = None

    async def post(self, path: str, body: bytes) -> Asked:
        began = time.monotonic()
        try:
            async with asyncio.timeout(LIMIT_S):
                status, head, got = await self._exchange(path, body)
        except (OSError, asyncio.IncompleteReadError):
            self.close()
            status, head, got = 0, b"", b""
        return Asked(self._number, began, time.monotonic() - began, status, got, head)

    def close(self) -> None:
        if self._writer is not None:
            self._writer.close()
        self._reader = self._writer = None

    async def _exchange(self, path: str, body: bytes) -> tuple[int, bytes, bytes]:
        if self._reader is None or self._writer is None:
            self._reader, self._writer = await asyncio.open_connection(self._host, self._port)
        said = (
            f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        self._writer.write(said.encode() + body)
        head = (await self._reader.readuntil(b"\r\n\r\n")).lower()
        length = int(head.split(b"content-length:")[1].split(b"\r\n")[0])
        got = await self._reader.readexactly(length)
        if b"connection: close" in head:
            self.close()
        return int(head.split()[1]), head, got


async def keep_busy(url: str, bodies: list[bytes], *, clients: int, asked: list[Asked], ended: asyncio.Event) -> None:
    """Clients that ask one case after the other until told to stop; who is shed waits as long as it was told to.

    What was asked is added to the list as it comes back.
    """
    bytes_of: dict[bytes, bytes] = {}  # the same case has the same answer, which is kept once

    async def one(number: int) -> None:
        client = Client(url, number)
        for i in _count(number):
            if ended.is_set():
                break
            told = await client.post("/v1/recommendations", bodies[i % len(bodies)])
            asked.append(dataclasses.replace(told, body=bytes_of.setdefault(told.body, told.body)))
            if asked[-1].status == 503:
                wait_s = int(asked[-1].head.split(b"retry-after:")[1].split(b"\r\n")[0])
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(ended.wait(), wait_s)
        client.close()

    await asyncio.gather(*(one(number) for number in range(clients)))


@contextlib.asynccontextmanager
async def busy(url: str, bodies: list[bytes], *, clients: int) -> AsyncIterator[list[Asked]]:
    """Keep a service busy meanwhile; what was asked is in the list, all of it afterwards."""
    ended, asked = asyncio.Event(), []
    working = asyncio.create_task(keep_busy(url, bodies, clients=clients, asked=asked, ended=ended))
    try:
        yield asked
    finally:
        ended.set()
        await working


async def until_answered(asked: list[Asked], count: int, *, since_s: float = 0.0) -> None:
    """Wait until so many requests that were sent since then are answered, however long a busy machine takes."""
    async with asyncio.timeout(LIMIT_S):
        while sum(one.status == 200 and one.at_s >= since_s for one in asked) < count:
            await asyncio.sleep(0.05)


def _count(start: int) -> Iterator[int]:
    while True:
        yield start
        start += 1
