"""Put a server under load from the loopback: with wrk where it is installed, else with a client of our own.

Both keep a number of connections busy and send every request body once. The latency is that of a closed loop: good for
comparing two servers, not for promising a capacity. At a fixed rate, below capacity, latency is counted from when a
request was due, so that one that waits for another is not forgotten.
"""

from __future__ import annotations

import asyncio
import itertools
import os
import re
import shutil
import subprocess
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Load", "cpu_s", "means", "put_at_rate", "put_under_load"]

# One thread, so that no two connections send the same body; the requests are written before the clock starts.
SCRIPT = """
local requests, sent = {}, 0
init = function()
  for body in io.lines("%s") do
    requests[#requests + 1] = wrk.format("POST", nil, {["Content-Type"] = "application/json"}, body)
  end
end
request = function()
  sent = sent + 1
  return requests[(sent - 1) %% #requests + 1]
end
"""
UNITS_MS = {"us": 0.001, "ms": 1.0, "s": 1000.0}


@dataclass(frozen=True, slots=True)
class Load:
    """What a server did under load."""

    requests_a_second: float
    p50_ms: float
    p99_ms: float
    refused: int


def means() -> str:
    """What makes the load on this machine."""
    return "wrk" if shutil.which("wrk") else "own client (slower than wrk, so ratios come out nearer to 1)"


def put_under_load(url: str, path: str, bodies: Path, *, seconds: float, connections: int) -> Load:
    """Post the lines of a file to a server for so many seconds."""
    if shutil.which("wrk"):
        return _by_wrk(url + path, bodies, seconds, connections)
    lines = bodies.read_bytes().splitlines()
    return asyncio.run(_by_own_client(url, path, lines, seconds, connections))


def put_at_rate(url: str, path: str, bodies: Path, *, seconds: float, connections: int, rate: float) -> Load:
    """Post the lines of a file to a server, so many a second: each when it is due, or once a connection is free."""
    lines = bodies.read_bytes().splitlines()[: int(rate * seconds)]
    return asyncio.run(_paced(url, path, lines, connections, 1 / rate))


def cpu_s(process: int) -> float | None:
    """Seconds of processor that a process has taken; None where the system does not tell (it is Linux that does)."""
    stat = Path(f"/proc/{process}/stat")
    if not stat.exists():
        return None
    fields = stat.read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _by_wrk(url: str, bodies: Path, seconds: float, connections: int) -> Load:
    script = bodies.with_suffix(".lua")
    script.write_text(SCRIPT % bodies)
    command = ["wrk", "-t1", f"-c{connections}", f"-d{seconds:g}s", "--latency", "-s", str(script), url]
    printed = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    rate = re.search(r"Requests/sec:\s+([0-9.]+)", printed)
    refused = re.search(r"Non-2xx or 3xx responses: ([0-9]+)", printed)
    errors = re.search(r"Socket errors: connect ([0-9]+), read ([0-9]+), write ([0-9]+), timeout ([0-9]+)", printed)
    assert rate, printed
    failed = int(refused[1]) if refused else 0
    failed += sum(map(int, errors.groups())) if errors else 0
    return Load(float(rate[1]), _latency(printed, "50%"), _latency(printed, "99%"), failed)


def _latency(printed: str, share: str) -> float:
    found = re.search(rf"{share}\s+([0-9.]+)(us|ms|s)", printed)
    assert found, printed
    return float(found[1]) * UNITS_MS[found[2]]


async def _by_own_client(url: str, path: str, bodies: Sequence[bytes], seconds: float, connections: int) -> Load:
    end = time.perf_counter() + seconds

    async def now() -> float | None:
        started = time.perf_counter()
        return started if started < end else None

    return await _load(url, path, bodies, connections, now)


async def _paced(url: str, path: str, bodies: Sequence[bytes], connections: int, apart_s: float) -> Load:
    due = itertools.count(time.perf_counter() + 0.1, apart_s)

    async def when_due() -> float | None:
        mine = next(due)
        await asyncio.sleep(max(0.0, mine - time.perf_counter()))
        return mine

    return await _load(url, path, bodies, connections, when_due)


async def _load(
    url: str, path: str, bodies: Sequence[bytes], connections: int, start: Callable[[], Awaitable[float | None]]
) -> Load:
    """Send every body once, each after `start` gave the time from which it is counted, or None to end."""
    host, _, port = url.removeprefix("http://").partition(":")
    waiting = iter(bodies)
    taken: list[float] = []
    refused = 0

    async def connection() -> None:
        nonlocal refused
        reader, writer = await asyncio.open_connection(host, int(port))
        for body in waiting:
            started = await start()
            if started is None:
                break
            writer.write(_request(host, path, body))
            head = await reader.readuntil(b"\r\n\r\n")
            length = re.search(rb"content-length: ([0-9]+)", head)
            assert length, head
            await reader.readexactly(int(length[1]))
            taken.append(time.perf_counter() - started)
            refused += not head.startswith(b"HTTP/1.1 200")
        writer.close()

    began = time.perf_counter()
    await asyncio.gather(*(connection() for _ in range(connections)))
    taken_ms = sorted(1000 * one for one in taken)
    rate = len(taken) / (time.perf_counter() - began)
    return Load(rate, taken_ms[len(taken) // 2], taken_ms[len(taken) * 99 // 100], refused)


def _request(host: str, path: str, body: bytes) -> bytes:
    head = (
        f"POST {path} HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body
