"""Ask a running service random cases, many at once, and check every answer.

python -m tests.soak [--cases 1000000] [--seed 1] [--workers 1] [--clients 2]

The service runs over the shipped rules in processes of its own; each client is a process with a rule book of its own,
and keeps one connection. Prints what was asked and answered; ends with 1 if anything was not as it must be.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from tests.benchmarks.http import running
from tests.soak.client import asked

SHOWN = 20


def main() -> int:
    """Run the service and the clients, and print what came of it."""
    wanted = _arguments()
    began = time.perf_counter()
    shares = [wanted.cases // wanted.clients + (i < wanted.cases % wanted.clients) for i in range(wanted.clients)]
    seeds = [wanted.seed * 1000 + i for i in range(wanted.clients)]
    counts: Counter[str] = Counter()
    broken: list[str] = []
    with (
        running("ours", wanted.workers) as url,
        ProcessPoolExecutor(wanted.clients, multiprocessing.get_context("spawn")) as clients,
    ):
        for counted, found in clients.map(asked, [url] * wanted.clients, shares, seeds):
            counts += counted
            broken += found
    took = time.perf_counter() - began
    print(
        f"{wanted.cases:,} cases, seed {wanted.seed}, {wanted.workers} workers, {wanted.clients} clients, {took:.0f} s"
    )
    print(*(f"  {what}: {many:,}" for what, many in sorted(counts.items())), sep="\n")
    print(f"{len(broken)} faults", *broken[:SHOWN], sep="\n")
    return 1 if broken or counts.total() == 0 else 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--cases", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--clients", type=int, default=2)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
