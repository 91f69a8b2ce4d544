"""Answer many past cases by two rule books, and count which would now be answered differently, and how.

`score_range` answers one range of a file. It is all that a worker runs, here in processes of this machine and on
several machines alike (replay_dask.py), so that the result is the same wherever it is counted.
"""

from __future__ import annotations

import functools
import multiprocessing
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from decision import load_rule_book
from decision.reviewer.case_file import cases_between, ranges_of
from decision.reviewer.released import read_release
from decision.reviewer.replay_tally import ReplayTally, added, empty_tally
from decision.reviewer.scored_case import Scorer
from decision.rule_book import RuleBook

__all__ = ["PARTS_PER_WORKER", "book_at", "replay", "score_range"]

PARTS_PER_WORKER = 8


def replay(
    cases: Path, before: str, after: str, workers: int, done: Callable[[int, int], None] = lambda done, whole: None
) -> ReplayTally:
    """Answer cases by two rule books, in processes of this machine.

    Args:
        cases: JSON Lines, or Parquet with a column `case`.
        before: The rule folder, or released rule book, as it was.
        after: The one as it is to be.
        workers: How many processes; with one, this one does the work.
        done: Told how many ranges are done, of how many.

    Returns:
        The counts, the same for any number of workers.
    """
    ranges = ranges_of(cases, workers * PARTS_PER_WORKER)
    if not ranges:
        return empty_tally(book_at(rules).digest for rules in (before, after))
    return added(_told(_scored(str(cases), before, after, workers, ranges), len(ranges), done))


def score_range(cases: str, start: int, stop: int, before: str, after: str) -> ReplayTally:
    """Answer the cases of one range by two rule books, and count.

    Args:
        cases: The file.
        start: Where the range begins: a byte of JSON Lines, a row of Parquet.
        stop: Where it ends.
        before: The rule folder, or released rule book, as it was.
        after: The one as it is to be.
    """
    scorer = _scorer(before, after)
    tally = scorer.empty()
    for place, text in cases_between(Path(cases), start, stop):
        scorer.score(place, text, tally)
    return tally


def book_at(rules: str) -> RuleBook:
    """Load a rule folder, or a released rule book (a JSON file).

    Raises:
        RuleBookError: It has a fault, or is not what was released.
    """
    path = Path(rules)
    return read_release(path).book() if path.suffix == ".json" else load_rule_book(path)


@functools.lru_cache(maxsize=2)
def _scorer(before: str, after: str) -> Scorer:
    return Scorer(book_at(before), book_at(after))


def _scored(cases: str, before: str, after: str, workers: int, ranges: list[tuple[int, int]]) -> Iterator[ReplayTally]:
    if workers == 1:
        _scorer.cache_clear()  # the rules may have changed since they were last read
        yield from (score_range(cases, start, stop, before, after) for start, stop in ranges)
        return
    # A fresh process each: one that is forked would share the state of the matcher's C code.
    with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn")) as pool:
        waiting = [pool.submit(score_range, cases, start, stop, before, after) for start, stop in ranges]
        for one in as_completed(waiting):
            yield one.result()


def _told(parts: Iterable[ReplayTally], whole: int, done: Callable[[int, int], None]) -> Iterator[ReplayTally]:
    for count, part in enumerate(parts, 1):
        done(count, whole)
        yield part
