"""Which pairs of facts are worth asking the engine about, where neither fact changes the verdict alone.

A higher rule that lacks two facts, or two facts that together make every deciding rule fail. Pairs that only work
through a third fact are not looked for, since the third one must then change as well.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from decision.evaluator import Outcome
from decision.reviewer.trial import Trial, Tried
from decision.rule import Rule
from decision.unary_test import UnaryTest, met
from decision.vocabulary import Input, Value

__all__ = ["Move", "pairs_worth_asking"]

Known = Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Move:
    """One fact with another value, and what the engine then found."""

    input: Input
    value: Value
    tried: Tried


def pairs_worth_asking(trial: Trial, found: Tried, moves: Sequence[Move]) -> list[tuple[Move, Move]]:
    """The pairs, each once; those of which both facts can change come first.

    Args:
        trial: The decisions behind the verdict.
        found: What the engine found for the case as it is.
        moves: Moves of inputs that change no verdict alone, the nearest value of each input first.
    """
    pairs: dict[tuple[str, Value, str, Value], tuple[Move, Move]] = {}
    for one, other in (*_raising(trial, found, moves), *_releasing(trial, found, moves)):
        first, second = sorted((one, other), key=lambda move: move.input.name)
        pairs.setdefault((first.input.name, first.value, second.input.name, second.value), (first, second))
    return sorted(pairs.values(), key=lambda pair: sum(_FIXED[move.input.changes] for move in pair))


_FIXED = {"can": 0, "time": 1, "never": 2}


def _raising(trial: Trial, found: Tried, moves: Sequence[Move]) -> Iterator[tuple[Move, Move]]:
    """Pairs that together meet the two conditions that a more cautious rule lacks."""
    known, at_least = found.run.known, trial.node.rank(found.range.at_least)
    for rank, rule, outcome in trial.rated(found.run):
        if rank <= at_least or outcome == Outcome.HOLDS:
            continue
        lacking = _lacking(rule, known)
        if len(lacking) != 2:
            continue
        meeting = [_nearest(move for move in moves if meets(move.tried.run.known)) for meets in lacking]
        for one, other in itertools.product(*meeting):
            if one.input.name != other.input.name:
                yield one, other


def _lacking(rule: Rule, known: Known) -> list[Callable[[Known], bool]]:
    """The conditions of a rule that are not met, each as the question whether other facts meet it."""
    lacking: list[Callable[[Known], bool]] = [
        functools.partial(_met, test) for test in rule.when if not _met(test, known)
    ]
    if rule.unless and not _released(rule.unless, known):
        lacking.append(functools.partial(_released, rule.unless))
    return lacking


def _released(unless: Sequence[UnaryTest], known: Known) -> bool:
    """Whether one test of an exception is surely not met."""
    return any(test.input in known and not met(test, known[test.input]) for test in unless)


def _releasing(trial: Trial, found: Tried, moves: Sequence[Move]) -> Iterator[tuple[Move, Move]]:
    """Pairs that together make every deciding rule fail."""
    deciding = {rule.id for rule in trial.deciding(found.run)}
    if len(deciding) < 2:
        return
    failed = {id(move): _failing(move.tried, deciding) for move in moves}
    helping: dict[tuple[str, frozenset[str]], Move] = {}
    for move in moves:
        if failed[id(move)]:
            helping.setdefault((move.input.name, failed[id(move)]), move)
    for one, other in itertools.combinations(helping.values(), 2):
        if one.input.name != other.input.name and failed[id(one)] | failed[id(other)] == deciding:
            yield one, other


def _failing(tried: Tried, rules: set[str]) -> frozenset[str]:
    return frozenset(
        rule.id
        for hits in tried.run.hits.values()
        for rule, outcome in zip(hits.rules, hits.outcomes, strict=True)
        if rule.id in rules and outcome != Outcome.HOLDS
    )


def _nearest(moves: Iterator[Move]) -> list[Move]:
    """The first move of each input."""
    first: dict[str, Move] = {}
    for move in moves:
        first.setdefault(move.input.name, move)
    return list(first.values())


def _met(test: UnaryTest, known: Known) -> bool:
    return test.input in known and met(test, known[test.input])
