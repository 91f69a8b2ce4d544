"""Send more clients than a worker can answer, and see what those wait who are answered, and what the others are told.

python -m tests.benchmarks.overload [SECONDS]

First one client alone, then a crowd that waits as long as it is told to, then, where wrk is installed, a crowd that
does not: it asks again at once, while one client is timed. One worker over the shipped rules, the client on the same
machine.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from decision.folder_reading import shipped_rules
from tests.api.busy_service import Asked, busy, running
from tests.benchmarks.practice_cases import practice_cases
from tests.benchmarks.report import Goal, Part

__all__ = ["Waits", "measured", "overload", "waits_of"]

CROWD = 64
MOST_OF_IDLE = 5.0
PATH = "/v1/recommendations"


@dataclass(frozen=True, slots=True)
class Waits:
    """What clients waited: those answered, and those told to come again, in milliseconds."""

    answered: int
    shed: int
    lost: int
    p50_ms: float
    p99_ms: float
    longest_ms: float
    shed_p99_ms: float

    def __str__(self) -> str:
        """In one line."""
        return (
            f"{self.answered:,} answered, p50 {self.p50_ms:.1f} ms, p99 {self.p99_ms:.1f} ms, longest "
            f"{self.longest_ms:.1f} ms; {self.shed:,} shed, p99 {self.shed_p99_ms:.1f} ms; {self.lost} lost"
        )


def waits_of(asked: list[Asked]) -> Waits:
    """The waits of what was asked."""
    answered = sorted(one.took_s * 1000 for one in asked if one.status == 200)
    shed = sorted(one.took_s * 1000 for one in asked if one.status == 503)
    return Waits(
        answered=len(answered),
        shed=len(shed),
        lost=len(asked) - len(answered) - len(shed),
        p50_ms=answered[len(answered) // 2],
        p99_ms=answered[int(0.99 * len(answered))],
        longest_ms=max(answered + shed),
        shed_p99_ms=shed[int(0.99 * len(shed))] if shed else 0.0,
    )


def overload(url: str, bodies: list[bytes], *, clients: int, seconds: float) -> Waits:
    """Keep a service busy with so many clients for so long."""

    async def crowd() -> list[Asked]:
        async with busy(url, bodies, clients=clients) as asked:
            await asyncio.sleep(seconds)
        return asked

    return waits_of(asyncio.run(crowd()))


@contextlib.contextmanager
def rude_crowd(url: str, body: bytes, folder: Path) -> Iterator[None]:
    """A crowd that asks again at once when it is shed."""
    script = folder / "rude.lua"
    said = f'wrk.method="POST"\nwrk.headers["Content-Type"]="application/json"\nwrk.body={json.dumps(body.decode())}\n'
    script.write_text(said)
    wrk = subprocess.Popen(
        ["wrk", "-t1", f"-c{CROWD}", "-d60s", "-s", str(script), url + PATH], stdout=subprocess.DEVNULL
    )
    try:
        yield
    finally:
        wrk.kill()
        wrk.wait()


@dataclass(frozen=True, slots=True)
class Crowded:
    """The waits of one client alone, of a crowd that waits as told and, with wrk, of a few among one that does not."""

    alone: Waits
    crowd: Waits
    among_rude: Waits | None


def crowded(seconds: float) -> Crowded:
    """Measure all three, each for so long."""
    bodies = [json.dumps(case).encode() for case in practice_cases(200, seed=9)]
    with tempfile.TemporaryDirectory() as made, running(Path(made), shipped_rules(), workers=1) as service:
        overload(service.url, bodies, clients=1, seconds=1)
        alone = overload(service.url, bodies, clients=1, seconds=seconds)
        crowd = overload(service.url, bodies, clients=CROWD, seconds=seconds)
        among_rude = None
        if shutil.which("wrk"):
            with rude_crowd(service.url, bodies[0], Path(made)):
                among_rude = overload(service.url, bodies, clients=4, seconds=seconds)
    return Crowded(alone, crowd, among_rude)


def measured(*, short: bool) -> Part:
    """What those wait who are answered, alone and in a crowd, as a table."""
    found = crowded(1 if short else 10)
    said = {"one client": found.alone, f"{CROWD} that wait as told": found.crowd}
    if found.among_rude is not None:
        said[f"4 among {CROWD} that do not"] = found.among_rude
    ratio = found.crowd.p99_ms / found.alone.p99_ms
    return Part(
        "More clients than a worker can answer",
        "One worker over the shipped rules, clients on the same cores. Who is refused is told to come again in a "
        "second; those that do not wait are of wrk, and only the four are timed.",
        (
            "clients",
            "answered",
            "p50, ms",
            "p99, ms",
            "longest, ms",
            "p99, of one client's",
            "refused",
            "p99, ms",
            "lost",
        ),
        [(name, *_cells(one, found.alone)) for name, one in said.items()],
        [
            Goal(
                "p99 of who is answered in a crowd, of one client's",
                f"at most {MOST_OF_IDLE:g}",
                f"{ratio:.2f}",
                ratio <= MOST_OF_IDLE,
            )
        ],
    )


def _cells(one: Waits, alone: Waits) -> tuple[str, ...]:
    return (
        f"{one.answered:,}",
        f"{one.p50_ms:.1f}",
        f"{one.p99_ms:.1f}",
        f"{one.longest_ms:.1f}",
        f"{one.p99_ms / alone.p99_ms:.2f}",
        f"{one.shed:,}",
        f"{one.shed_p99_ms:.1f}",
        f"{one.lost}",
    )


def main() -> None:
    """Measure and print."""
    found = crowded(float(sys.argv[1]) if len(sys.argv) > 1 else 5.0)
    print(f"one client:        {found.alone}")
    print(f"{CROWD} that wait:     {found.crowd}\n{19 * ' '}p99 {found.crowd.p99_ms / found.alone.p99_ms:.1f} of idle")
    if (rude := found.among_rude) is not None:
        print(f"4 among {CROWD} rude:  {rude}\n{19 * ' '}p99 {rude.p99_ms / found.alone.p99_ms:.1f} of idle")


if __name__ == "__main__":
    main()
