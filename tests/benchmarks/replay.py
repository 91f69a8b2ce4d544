"""How many past cases a core replays in a second, and how that scales.

Invented cases are answered by the shipped rules and by a copy with one rule fewer, by both means of matching each:
by one process, by one process a core, and on a Dask cluster of as many, all with the same result.
"""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from decision.folder_reading import shipped_rules
from decision.reviewer.replay import replay
from tests.benchmarks.practice_cases import practice_cases
from tests.benchmarks.report import Part

__all__ = ["measured"]

SEED = 20261124
MANY, FEW = 1_000_000, 20_000
ANOTHER = "{about: patient, type: boolean, question: Is this another question?, risk: none}"
GONE = "suitability/dark_unsampled.yaml"


def measured(*, short: bool) -> Part:
    """Replay cases by one process, by one a core, and on Dask where it is installed."""
    many, few, cores = (100, 100, os.cpu_count() or 1) if short else (MANY, FEW, os.cpu_count() or 1)
    with tempfile.TemporaryDirectory() as made:
        cases, fewer, after = Path(made) / "cases.jsonl", Path(made) / "fewer.jsonl", Path(made) / "rules"
        shutil.copytree(shipped_rules(), after, ignore=shutil.ignore_patterns("released"))
        (after / GONE).unlink()
        for path, count in ((cases, many), (fewer, few)):
            with path.open("w") as file:
                file.writelines(f"{json.dumps(case)}\n" for case in practice_cases(count, SEED))
        rules = str(shipped_rules()), str(after)
        ways: dict[str, tuple[int, Callable[[], Any]]] = {
            "one process": (1, lambda: replay(cases, *rules, workers=1)),
            f"{cores} processes": (cores, lambda: replay(cases, *rules, workers=cores)),
        }
        if importlib.util.find_spec("distributed") and not short:
            ways[f"Dask, {cores} workers"] = (cores, lambda: _on_dask(cases, rules, cores))
        rows, results = [], []
        for name, (workers, run) in ways.items():
            found, row = _timed(name, workers, many, run)
            results.append(found)
            rows.append(row)
        assert all(one == results[0] for one in results), "not all ways gave the same result"
        other = rules[0], str(_with_another_input(after))
        rows.append(_timed("one process, another vocabulary", 1, few, lambda: replay(fewer, *other, workers=1))[1])
    return Part(
        "Replay of past cases",
        f"{many:,} invented cases ({few:,} where the vocabularies differ), each answered by the shipped rules and by a "
        f"copy without `{GONE}`, with both means of matching; start-up included. All ways give the same result. A copy "
        "with one input more shares less.",
        ("by", "cases/s", "cases/s a core"),
        rows,
    )


def _timed(name: str, workers: int, many: int, run: Callable[[], Any]) -> tuple[Any, tuple[str, ...]]:
    """The result of a replay, and its row."""
    began = time.perf_counter()
    found = run()
    rate = many / (time.perf_counter() - began)
    return found, (name, f"{rate:.0f}", f"{rate / workers:.0f}")


def _with_another_input(rules: Path) -> Path:
    """A copy of a folder, with one input more in its vocabulary."""
    copied = shutil.copytree(rules, rules.with_name("other"))
    vocabulary = copied / "vocabulary.yaml"
    written = vocabulary.read_text(encoding="utf-8")
    vocabulary.write_text(f"{written}\n  another_input: {ANOTHER}\n", encoding="utf-8")
    return copied


def _on_dask(cases: Path, rules: tuple[str, str], cores: int) -> Any:
    from distributed import Client, LocalCluster

    from decision.reviewer.replay_dask import replay_on

    with (
        LocalCluster(n_workers=cores, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        return replay_on(client, cases, *rules)
