"""How many past cases a core replays in a second, and how that scales: `python -m tests.benchmarks.replay [COUNT]`.

Invented cases are answered by the shipped rules and by a copy with one rule fewer, what is asked by both means of
matching: by one process, by one process a core, and on a Dask cluster of as many, all with the same result. A copy with
another word in its vocabulary shows what it costs when both must be run on every case.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from decision.reviewer.replay import replay
from decision.rule_folder import shipped_rules
from tests.benchmarks.practice_cases import practice_cases

SEED = 20261124
ANOTHER = "{about: patient, type: boolean, question: Is this another question?, risk: none}"
GONE = "suitability/dark_unsampled.yaml"


def main(count: int) -> None:
    """Measure and print."""
    cores = os.cpu_count() or 1
    with tempfile.TemporaryDirectory() as made:
        cases, after = Path(made) / "cases.jsonl", Path(made) / "rules"
        shutil.copytree(shipped_rules(), after)
        (after / GONE).unlink()
        with cases.open("w") as file:
            file.writelines(f"{json.dumps(case)}\n" for case in practice_cases(count, SEED))
        print(f"{count} cases, {cases.stat().st_size / 1e6:.0f} MB, seed {SEED}, {cores} cores, rules {GONE} withdrawn")
        rules = str(shipped_rules()), str(after)
        first, alone = _measured("one process", 1, lambda: replay(cases, *rules, workers=1), count)
        again, together = _measured(f"{cores} processes", cores, lambda: replay(cases, *rules, workers=cores), count)
        print(f"scaling: {alone / together:.2f} with {cores} processes; the same result: {first == again}")
        _on_dask(cases, rules, count, cores, first)
        print(f"changed: {first['verdicts']} by {list(first['rules'])[:3]}")
        vocabulary = after / "vocabulary.yaml"
        vocabulary.write_text(f"{vocabulary.read_text()}\n  another_input: {ANOTHER}\n")
        _measured("one process, both run on every case", 1, lambda: replay(cases, *rules, workers=1), count)


def _on_dask(cases: Path, rules: tuple[str, str], count: int, cores: int, wanted: Any) -> None:
    try:
        from distributed import Client, LocalCluster
    except ImportError:
        print("no Dask here: install the extra `scale`")
        return
    from decision.reviewer.replay_dask import replay_on

    with (
        LocalCluster(n_workers=cores, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        found, _ = _measured(f"Dask, {cores} workers", cores, lambda: replay_on(client, cases, *rules), count)
    print(f"the same result: {found == wanted}")


def _measured(name: str, cores: int, run: Callable[[], Any], count: int) -> tuple[Any, float]:
    began = time.perf_counter()
    found = run()
    took = time.perf_counter() - began
    print(f"{name}: {took:.1f} s, {count / took:.0f} cases/s, {count / took / cores:.0f} cases/s a core", flush=True)
    return found, took


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
