"""Measure everything, and write it into RESULTS.md beside this file: python -m tests.benchmarks [--skip NAME ...]

`--only` and `--skip` choose parts by name; `--short` runs each part for a moment, which shows that it works and
nothing else, and prints in place of writing. A whole run takes about twenty minutes on two cores. The exit code says
nothing about goals: they are judged in the table.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.benchmarks import (
    engine,
    freeze,
    http,
    memory,
    overload,
    peers,
    reload,
    replay,
    sizes,
    start,
    what_would_change,
)
from tests.benchmarks.report import Part, in_markdown

RESULTS = Path(__file__).with_name("RESULTS.md")
PARTS: Mapping[str, Callable[..., Part]] = {
    "peers": peers.measured,
    "http": http.measured,
    "crowd": overload.measured,
    "steps": engine.measured,
    "rules": sizes.by_rules,
    "inputs": sizes.by_inputs,
    "replay": replay.measured,
    "start": start.measured,
    "reload": reload.measured,
    "search": what_would_change.measured,
    "freeze": freeze.measured,
    "memory": memory.measured,
}


def main() -> None:
    """Run the parts that were asked for."""
    asked = _arguments()
    names = [name for name in PARTS if name in (asked.only or PARTS) and name not in asked.skip]
    parts = []
    for name in names:
        began = time.perf_counter()
        parts.append(PARTS[name](short=asked.short))
        print(f"{name}: {time.perf_counter() - began:.0f} s", file=sys.stderr, flush=True)
    page = in_markdown(parts, skipped=[name for name in PARTS if name not in names])
    if asked.short:
        print(page)
    else:
        RESULTS.write_text(page, encoding="utf-8")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--only", nargs="+", choices=PARTS, default=[], metavar="NAME")
    parser.add_argument("--skip", nargs="+", choices=PARTS, default=[], metavar="NAME")
    parser.add_argument("--short", action="store_true")
    return parser.parse_args()


if __name__ == "__main__":
    main()
