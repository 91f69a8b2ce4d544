"""Load rules for both means of matching, again and again, and see whether memory grows.

Each time a case is answered and the memory is given back. The measuring is done in a process of its own, after some
reloads that fill what is filled once.
"""

from __future__ import annotations

import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from decision import load_rule_book
from decision.case import Facts
from decision.folder_reading import read_rule_folder
from tests.benchmarks.report import Goal, Part
from tests.small_folder import decisions_over, small_files, write

__all__ = ["LIMIT_MB", "growth_mb", "largest_mb", "measured"]

FIRST = 50  # at most, and no more than are measured; what is kept for the last 24 vocabularies is full by then
LIMIT_MB = 2.0  # a network never given back costs about 0.04 MB a rule: hundreds of MB over ten thousand reloads
CASE = {"as_of": "2026-11-24", "patient": {"species": "dog"}, "lesions": [{"lesion_id": "a", "base_width_mm": 4.0}]}


def growth_mb(reloads: int, what: str = "networks") -> float:
    """How much more memory a process held at most after so many reloads than after the first ones."""
    command = [sys.executable, "-m", "tests.benchmarks.reload", str(reloads), what]
    return float(subprocess.run(command, capture_output=True, text=True, check=True).stdout)


def measured(*, short: bool) -> Part:
    """Reload the networks of the small folder very often, and the whole shipped rule book often."""
    reloads = {"networks": 20 if short else 10_000, "book": 2 if short else 300}
    rows, goals = [], []
    for what, many in reloads.items():
        began = time.perf_counter()
        grown = growth_mb(many, what)
        each_ms = 1000 * (time.perf_counter() - began) / (many + min(FIRST, many))
        said = {"networks": "networks of a small folder", "book": "the shipped rule book, from its files"}[what]
        rows.append((said, f"{many:,}", f"{each_ms:.1f}", f"{grown:+.1f}"))
        goals.append(Goal(f"growth, {said}", f"under {LIMIT_MB:g} MB", f"{grown:+.1f} MB", grown < LIMIT_MB))
    return Part(
        "Reload",
        "Rules loaded, a case answered, the memory given back. Growth is that of the largest resident size after the "
        "first reloads, which fill what is filled once.",
        ("what", "reloads", "each, ms", "growth, MB"),
        rows,
        goals,
    )


def largest_mb() -> float:
    """The largest resident size of this process so far, in MB.

    Not from `getrusage` where it can be helped: on Linux a process begins with the size of the one that started it,
    and a large parent would hide that a small child grows.
    """
    status = Path("/proc/self/status")
    if status.exists():
        found = re.search(r"^VmHWM:\s*([0-9]+) kB$", status.read_text(encoding="ascii"), re.MULTILINE)
        assert found
        return int(found[1]) / 1024
    largest = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return largest / (1024 if sys.platform.startswith("linux") else 1024 * 1024)


def main() -> None:
    """Reload in this process, and print the growth of its largest resident size."""
    reloads, what = int(sys.argv[1]), sys.argv[2]
    with tempfile.TemporaryDirectory() as made:
        reload = RELOADS[what](Path(made) / "rules")
        for _ in range(min(FIRST, reloads)):
            reload()
        before = largest_mb()
        for _ in range(reloads):
            reload()
        print(largest_mb() - before)


def _networks(folder: Path) -> Callable[[], None]:
    read = read_rule_folder(write(folder, small_files()))

    def reload() -> None:
        decisions = decisions_over(read)
        decisions.run(Facts({"base_width_mm": 4.0}, {"base_width_mm": 4.0}, ()))
        decisions.close()

    return reload


def _book(_: Path) -> Callable[[], None]:
    def reload() -> None:
        book = load_rule_book()
        book.recommend(CASE)
        book.close()

    return reload


RELOADS: Mapping[str, Callable[[Path], Callable[[], None]]] = {"networks": _networks, "book": _book}

if __name__ == "__main__":
    main()
