"""The three-valued evaluator: for each rule, whether it holds, fails or is unknown.

All rules are evaluated together, a bit of a whole number for each. At load every fact that could be stated is given a
mark: the rules that it makes fail, and the exceptions that it rules out. The marks of what is stated, and those of what
is not, are laid over each other; what is then not marked holds. Marks are made from the unary tests alone, never from
what the matcher makes of them, so that the two are independent means. A test on an input that is not stated is unknown;
a rule holds when every test of `when` is met and the exception is not.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import reduce
from operator import or_
from typing import NamedTuple, TypeVar

from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest, met
from decision.vocabulary import Value

__all__ = ["Evaluate", "Evaluator", "Found", "Known", "Outcome", "chosen", "compile_rules", "outcome_of", "places"]

Thing = TypeVar("Thing")
Known = Mapping[str, Value]
Evaluate = Callable[[Known], Sequence[int]]


class Outcome(IntEnum):
    """What becomes of a rule in a case."""

    FAILS = 0
    HOLDS = 1
    UNKNOWN = 2

    @property
    def word(self) -> str:
        """As rule files and answers say it."""
        return self.name.lower()


class Found(NamedTuple):
    """Which rules hold and which are unknown, a bit for each rule; all others fail."""

    holding: int
    unknown: int

    def outcome(self, place: int) -> Outcome:
        """The outcome of one rule."""
        if self.holding >> place & 1:
            return Outcome.HOLDS
        return Outcome.UNKNOWN if self.unknown >> place & 1 else Outcome.FAILS

    def outcomes(self, count: int) -> list[int]:
        """The outcome of each of so many rules, as whole numbers of `Outcome`.

        >>> Found(holding=0b010, unknown=0b100).outcomes(3)
        [0, 1, 2]
        """
        found = [0] * count
        for outcome, bits in ((Outcome.HOLDS, self.holding), (Outcome.UNKNOWN, self.unknown)):
            for place in places(bits):
                found[place] = int(outcome)
        return found


class Evaluator:
    """Some rules, ready to be evaluated together.

    Marks are whole numbers with two fields of a bit for each rule. That of what is known: rules that fail, and
    exceptions of several tests of which one is not met, which is enough. That of what is not: rules that are open, and
    such exceptions that are open.
    """

    def __init__(self, rules: Sequence[Rule]) -> None:
        """Give every fact that the rules tell apart its mark."""
        self._count = len(rules)
        self._all = (1 << self._count) - 1
        self._several = sum(1 << place for place, rule in enumerate(rules) if len(rule.unless) > 1)
        asked: dict[str, list[_Asked]] = {}
        for place, rule in enumerate(rules):
            for one in _asked_by(rule, place, self._count):
                asked.setdefault(one.test.input, []).append(one)
        self._missing = {name: _together(one.while_open for one in every) for name, every in asked.items()}
        self._codes: dict[str, tuple[dict[Value, int], int]] = {}
        self._cells: dict[str, tuple[Sequence[float], Sequence[int]]] = {}
        for name, every in asked.items():
            if isinstance(every[0].test, Interval):
                self._cells[name] = _cells_of(every)
            else:
                self._codes[name] = _codes_of(every)

    def told(self, facts: Known) -> int:
        """The mark of what is known."""
        codes, cells, mark = self._codes, self._cells, 0
        for name, value in facts.items():
            if name in codes:
                named, other = codes[name]
                mark |= named.get(value, other)
            elif name in cells:
                limits, marks = cells[name]
                mark |= marks[bisect_left(limits, value) + bisect_right(limits, value)]
        return mark

    def untold(self, names: Iterable[str]) -> int:
        """The mark of inputs that are not known; each is one of `inputs`."""
        missing = self._missing
        return _together([missing[name] for name in names])

    @property
    def inputs(self) -> frozenset[str]:
        """The inputs that the rules ask about."""
        return frozenset(self._missing)

    def found(self, told: int, untold: int) -> Found:
        """What comes of the rules when everything known and everything not known was marked."""
        count, everything = self._count, self._all
        failing, opened = told & everything, untold & everything
        if self._several:
            excepted = self._several & ~(told >> count)
            waiting = untold >> count
            failing |= excepted & ~waiting
            opened |= excepted & waiting
        return Found(everything & ~(failing | opened), opened & ~failing)

    def evaluated(self, known: Known) -> Found:
        """What comes of the rules when this is known and nothing else."""
        return self.found(self.told(known), self.untold([name for name in self._missing if name not in known]))


def compile_rules(rules: Sequence[Rule]) -> Evaluate:
    """Make the function that evaluates rules together.

    Args:
        rules: The rules of one decision.

    Returns:
        A function from what is known to the outcomes (as whole numbers of `Outcome`), in the order of the rules.
    """
    evaluator, count = Evaluator(rules), len(rules)
    return lambda known: evaluator.evaluated(known).outcomes(count)


def outcome_of(rule: Rule, known: Known) -> Outcome:
    """Evaluate one rule by itself, for examples."""
    return Outcome(compile_rules([rule])(known)[0])


def places(bits: int) -> list[int]:
    """The places of the bits that are set, from the lowest.

    >>> places(0b1010)
    [1, 3]
    """
    found = []
    while bits:
        lowest = bits & -bits
        found.append(lowest.bit_length() - 1)
        bits ^= lowest
    return found


def chosen(bits: int, things: Sequence[Thing] | Mapping[int, Thing]) -> list[Thing]:
    """The things at the places of the bits that are set.

    >>> chosen(0b101, "abc")
    ['a', 'c']
    """
    return [things[place] for place in places(bits)]


@dataclass(frozen=True, slots=True)
class _Asked:
    """One test of a rule: the bits that a value that meets it sets, one that does not, and none at all."""

    test: UnaryTest
    when_met: int
    when_not: int
    while_open: int


def _asked_by(rule: Rule, place: int, count: int) -> Iterable[_Asked]:
    """The tests of a rule. An exception of one test is that test turned round; of several, each can rule it out."""
    itself, its_exception = 1 << place, 1 << place + count
    for test in rule.when:
        yield _Asked(test, 0, itself, itself)
    if len(rule.unless) == 1:
        yield _Asked(rule.unless[0], itself, 0, itself)
    else:
        for test in rule.unless:
            yield _Asked(test, 0, its_exception, its_exception)


def _together(marks: Iterable[int]) -> int:
    """Marks laid over each other."""
    return reduce(or_, marks, 0)


def _codes_of(every: Iterable[_Asked]) -> tuple[dict[Value, int], int]:
    """The mark of each code that some test names, or of both truth values; and that of every other code."""
    named: dict[Value, int] = {}
    for one in every:
        named.update(dict.fromkeys(one.test.codes if isinstance(one.test, Among) else (True, False), 0))
    other = 0
    for one in every:
        test, within, without = one.test, one.when_met, one.when_not
        codes: tuple[Value, ...] = ()
        if isinstance(test, Among):
            codes = test.codes
            if not test.inside:
                within, without = without, within
        elif isinstance(test, Truth):
            codes = (test.value,)
        other |= without
        for value in named:
            named[value] |= within if value in codes else without
    return named, other


def _cells_of(every: Sequence[_Asked]) -> tuple[Sequence[float], Sequence[int]]:
    """The limits of all tests on a number, and a mark for each cell: under the first, on it, over it, and so on."""
    tests = [one.test for one in every if isinstance(one.test, Interval)]
    ends = {end for test in tests for end in (test.low, test.high)}
    limits = sorted(end for end in ends if math.isfinite(end))
    inside = [math.nextafter(limits[0], -math.inf) if limits else 0.0]
    for limit in limits:
        inside += [limit, math.nextafter(limit, math.inf)]
    marks = [_together(one.when_met if met(one.test, value) else one.when_not for one in every) for value in inside]
    return limits, marks
