"""What a part of the benchmarks found, and how it is written down."""

from __future__ import annotations

import datetime
import os
import platform
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Goal", "Part", "in_markdown", "machine", "microseconds"]

INTRODUCTION = """\
# Benchmarks

Written by `bash .ci/benchmarks`, all in one run on one machine. Ratios mean something; times are those of this
machine, and another one has others. Goals that were missed are shown as missed.
"""


@dataclass(frozen=True, slots=True)
class Goal:
    """Something that was to be reached. `found` of None: the part that would tell was not run."""

    says: str
    wanted: str
    found: str | None
    met: bool = False

    @property
    def word(self) -> str:
        """How it stands."""
        return "not measured" if self.found is None else "met" if self.met else "**missed**"


@dataclass(frozen=True, slots=True)
class Part:
    """One table: what was measured, how, and the goals that it decides."""

    title: str
    about: str
    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    goals: Sequence[Goal] = ()


def in_markdown(parts: Iterable[Part], skipped: Sequence[str]) -> str:
    """The whole page."""
    parts = list(parts)
    goals = [(one.says, one.wanted, one.found or "", one.word) for part in parts for one in part.goals]
    written = [INTRODUCTION, *(f"- {line}" for line in machine())]
    if skipped:
        written.append(f"- left out of this run: {', '.join(skipped)}")
    if goals:
        written += ["\n## Goals\n", *_table(("goal", "wanted", "found", ""), goals)]
    for part in parts:
        written += [f"\n## {part.title}\n", f"{part.about}\n", *_table(part.head, part.rows)]
    return "\n".join(written) + "\n"


def machine() -> list[str]:
    """The day, and what was measured on; nothing that names the machine."""
    today = datetime.datetime.now(tz=datetime.UTC).date()
    memory_gb = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return [
        f"{today.isoformat()}, {platform.system()}, Python {platform.python_version()}",
        f"{_processor()}, {os.cpu_count()} cores, {memory_gb:.0f} GiB; load when this ended {os.getloadavg()[0]:.1f}",
    ]


def microseconds(seconds: float) -> str:
    """A time for a table."""
    return f"{1e6 * seconds:.1f}"


def _processor() -> str:
    listed = Path("/proc/cpuinfo")
    lines = listed.read_text(encoding="utf-8").splitlines() if listed.exists() else []
    named = (line.partition(":")[2].strip() for line in lines if line.startswith("model name"))
    return next(named, platform.processor() or platform.machine())


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A table of which every column but the first holds figures."""
    yield f"| {' | '.join(head)} |"
    yield f"| {' | '.join(['---', *['---:'] * (len(head) - 1)])} |"
    for row in rows:
        yield f"| {' | '.join(row)} |"
