"""Replay on several machines: the ranges of a file go to the workers of a Dask cluster (the extra `scale`).

Every worker must reach the file and the rule folders at the same paths. A worker that dies loses nothing: its ranges
are answered again by another one.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from decision.reviewer.case_file import ranges_of
from decision.reviewer.replay import PARTS_PER_WORKER, score_range
from decision.reviewer.replay_tally import ReplayTally, added

__all__ = ["replay_on"]

TRIES_AGAIN = 5


def replay_on(client: Any, cases: Path, before: str, after: str) -> ReplayTally:
    """Answer cases by two rule books on a Dask cluster.

    Args:
        client: A `distributed.Client`.
        cases: The file, where every worker finds it.
        before: The rule folder, or released rule book, as it was.
        after: The one as it is to be.

    Returns:
        The counts, the same as from `replay`.
    """
    workers = max(len(client.scheduler_info(n_workers=-1)["workers"]), 1)
    ranges = ranges_of(cases, workers * PARTS_PER_WORKER)
    waiting = [
        client.submit(score_range, str(cases), start, stop, before, after, retries=TRIES_AGAIN, pure=False)
        for start, stop in ranges
    ]
    return added(client.gather(waiting))
