"""Can two rules hold together? Decided exactly, input by input, from their tests.

Used at load: under hit policy `unique` two rules that give one quantity different values must never meet. Derived
quantities are taken as free of their parents, so the check may refuse a pair that no patient shows, never the reverse.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest, met, opposite
from decision.vocabulary import Input, Value

__all__ = ["common_case"]


def common_case(one: Rule, other: Rule, inputs: Mapping[str, Input]) -> dict[str, Value] | None:
    """A case, as input to value, in which both rules hold; None when there is none."""
    for mine, theirs in itertools.product(_ways(one), _ways(other)):
        found = _meeting((*one.when, *mine, *other.when, *theirs), inputs)
        if found is not None:
            return found
    return None


def _ways(rule: Rule) -> list[tuple[UnaryTest, ...]]:
    """The ways in which the exception of a rule is not met."""
    if not rule.unless:
        return [()]
    return [(part,) for test in rule.unless for part in opposite(test)]


def _meeting(tests: tuple[UnaryTest, ...], inputs: Mapping[str, Input]) -> dict[str, Value] | None:
    case: dict[str, Value] = {}
    for name in dict.fromkeys(test.input for test in tests):
        asked = [test for test in tests if test.input == name]
        value = next((v for v in _candidates(asked, inputs[name]) if all(met(t, v) for t in asked)), None)
        if value is None:
            return None
        case[name] = value
    return case


def _candidates(tests: list[UnaryTest], about: Input) -> list[Value]:
    """Values of which one meets all tests, if any does: every code, both booleans, or each limit and gap."""
    if isinstance(tests[0], Truth):
        return [True, False]
    if isinstance(tests[0], Among):
        return list(about.allowed)
    limits = {about.low, about.high}
    for test in tests:
        if isinstance(test, Interval):
            limits |= {limit for limit in (test.low, test.high) if math.isfinite(limit)}
    ordered = sorted(limits)
    between = [(low + high) / 2 for low, high in itertools.pairwise(ordered)]
    return [*ordered, *between]
