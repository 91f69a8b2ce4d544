"""Load the rules of a folder for both means of matching, again and again, and see whether memory grows.

python -m tests.benchmarks.reload [RELOADS] [FOLDER]

Each time the networks are made, a case is matched, and the memory is given back. The measuring is done in a process
of its own, after fifty reloads that fill what is filled once.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from decision.case import Facts
from decision.rule_folder import RuleFolder, read_rule_folder
from tests.small_folder import decisions_over, small_files, write

__all__ = ["LIMIT_MB", "growth_mb"]

FIRST = 50
LIMIT_MB = 2.0  # a network never given back costs about 0.04 MB a rule: hundreds of MB over ten thousand reloads


def growth_mb(reloads: int, folder: Path | None = None) -> float:
    """How much more memory a process held at most after so many reloads than after the first fifty."""
    command = [sys.executable, "-m", "tests.benchmarks.reload", "--measure", str(reloads)]
    done = subprocess.run([*command, *([str(folder)] if folder else [])], capture_output=True, text=True, check=True)
    return float(done.stdout)


def measure(reloads: int, folder: Path) -> float:
    """Reload in this process; the growth of its largest resident size, in MB."""
    read = read_rule_folder(folder)
    for _ in range(FIRST):
        _reload(read)
    before = _largest_mb()
    for _ in range(reloads):
        _reload(read)
    return _largest_mb() - before


def main() -> None:
    """Measure and print."""
    if "--measure" in sys.argv:
        with tempfile.TemporaryDirectory() as made:
            named = [Path(one) for one in sys.argv[3:]] or [write(Path(made) / "rules", small_files())]
            print(measure(int(sys.argv[2]), named[0]))
        return
    reloads = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    began = time.perf_counter()
    grown = growth_mb(reloads, Path(sys.argv[2]) if len(sys.argv) > 2 else None)
    print(f"{reloads:,} reloads: {grown:+.1f} MB in {time.perf_counter() - began:.0f} s (limit {LIMIT_MB} MB)")
    raise SystemExit(grown > LIMIT_MB)


def _reload(read: RuleFolder) -> None:
    decisions = decisions_over(read)
    decisions.run(Facts({"base_width_mm": 4.0}, {"base_width_mm": 4.0}, ()))
    decisions.close()


def _largest_mb() -> float:
    largest = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return largest / (1024 if sys.platform == "linux" else 1024 * 1024)


if __name__ == "__main__":
    main()
