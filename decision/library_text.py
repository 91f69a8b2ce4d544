"""Write rules and facts as durable-rules is asked: conjunctions of comparisons, and one flat fact, as JSON text.

Lists of codes and exceptions are expanded here into plain conjunctions, before the library sees them. Numbers are
written so that it accepts them. A fact of the case is written only where a test could be met by it: what no test asks
for cannot make a rule hold, and the library spends time on every field of a fact at every step of a rule.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from json.encoder import encode_basestring_ascii

from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest, opposite
from decision.vocabulary import Input, Value

__all__ = ["Conjunction", "FactWriter", "all_of", "conjunctions", "fragment"]

MOST_ALTERNATIVES = 3  # a longer list of codes is asked as "none of the others", for conjunctions multiply

Conjunction = tuple[UnaryTest, ...]


class FactWriter:
    """Writes what is known of a case, as far as some of its tests could be met by it.

    `texts` are the facts that are written beforehand, `ranges` the numbers by name.
    """

    def __init__(self, tests: Iterable[UnaryTest], inputs: Mapping[str, Input]) -> None:
        """Write every code and truth value beforehand.

        Args:
            tests: The tests that rules ask, expanded into conjunctions.
            inputs: The inputs that they ask about.
        """
        asked = set(tests)
        self.ranges = _ranges(test for test in asked if isinstance(test, Interval))
        self.texts: dict[str, dict[Value, str]] = {}
        for test in asked:
            if not isinstance(test, Interval):
                for value in _meeting(test, inputs[test.input]):
                    self.texts.setdefault(test.input, {})[value] = fragment(test.input, value)

    def text(self, name: str, value: Value) -> str | None:
        """A fact as a fragment of JSON; None where no test could be met by it."""
        if name in self.texts:
            return self.texts[name].get(value)
        if name in self.ranges:
            low, high = self.ranges[name]
            if low <= value <= high:  # type: ignore[operator]
                return fragment(name, value)
        return None


def fragment(name: str, value: Value) -> str:
    """Write a fact as a fragment of JSON that the library reads as it was meant.

    >>> fragment("base_width_mm", 1e-05)
    ',"base_width_mm":1.0e-05'
    """
    return f',"{name}":{_written(value)}'


def conjunctions(rule: Rule, inputs: Mapping[str, Input]) -> list[Conjunction]:
    """Expand a rule into conjunctions of which one is true exactly when the rule holds."""
    exceptions: list[tuple[UnaryTest, ...]] = [()]
    if rule.unless:
        exceptions = [(test,) for one in rule.unless for test in opposite(one)]
    expanded: list[Conjunction] = []
    for exception in exceptions:
        tests = [_shorter(test, inputs) for test in (*rule.when, *exception)]
        choices = [_choices(test) for test in tests]
        expanded += itertools.product(*choices)
    return expanded


def _choices(test: UnaryTest) -> list[UnaryTest]:
    """A list of codes as one test for each code; any other test as it is."""
    if isinstance(test, Among) and test.inside:
        return [Among(test.input, (code,)) for code in test.codes]
    return [test]


def _shorter(test: UnaryTest, inputs: Mapping[str, Input]) -> UnaryTest:
    """Ask a long list of codes as none of the codes it leaves out: the same for every stated value."""
    if not isinstance(test, Among) or not test.inside:
        return test
    others = tuple(code for code in inputs[test.input].allowed if code not in test.codes)
    few = len(test.codes) <= MOST_ALTERNATIVES and len(test.codes) < len(others)
    return test if few or len(test.codes) == 1 else Among(test.input, others, inside=False)


def all_of(tests: Conjunction, uses: Counter[UnaryTest]) -> str:
    """Write a conjunction; conditions that many rules share come first, which the library does fastest."""
    ordered = sorted(tests, key=lambda test: (-uses[test], test.input))
    comparisons = [comparison for test in ordered for comparison in _comparisons(test)]
    together = f'{{"$and":[{",".join(comparisons)}]}}' if len(comparisons) > 1 else comparisons[0]
    return f'{{"all":[{{"m":{together}}}]}}'


def _comparisons(test: UnaryTest) -> list[str]:
    if isinstance(test, Truth):
        return [_equal(test.input, test.value)]
    if isinstance(test, Among):
        equal = [_equal(test.input, code) for code in test.codes]
        return equal if test.inside else [f'{{"$neq":{one}}}' for one in equal]
    return _limits(test)


def _limits(test: Interval) -> list[str]:
    written = []
    if test.low != -math.inf:
        written.append(f'{{"{"$gte" if test.low_included else "$gt"}":{_equal(test.input, test.low)}}}')
    if test.high != math.inf:
        written.append(f'{{"{"$lte" if test.high_included else "$lt"}":{_equal(test.input, test.high)}}}')
    return written


def _equal(name: str, value: Value) -> str:
    return f'{{"{name}":{_written(value)}}}'


def _ranges(tests: Iterable[Interval]) -> dict[str, tuple[float, float]]:
    """By input, the range outside which no number meets any of some tests."""
    found: dict[str, tuple[float, float]] = {}
    for test in tests:
        low, high = found.get(test.input, (math.inf, -math.inf))
        found[test.input] = min(low, test.low), max(high, test.high)
    return found


def _meeting(test: Among | Truth, one: Input) -> Iterable[Value]:
    """The values that meet a test on an input that has few."""
    if isinstance(test, Truth):
        return (test.value,)
    return test.codes if test.inside else one.allowed.keys() - set(test.codes)


def _written(value: Value) -> str:
    """Write a value as JSON, in rules and in facts alike: the library compares texts byte by byte."""
    if value is True:
        return "true"
    if value is False:
        return "false"
    if isinstance(value, str):
        return encode_basestring_ascii(value)
    text = repr(value)
    if "e" in text and "." not in text:  # the library refuses 1e-05 and accepts 1.0e-05
        text = text.replace("e", ".0e", 1)
    return text
