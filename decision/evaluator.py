"""The three-valued evaluator: for each rule of a decision, whether it holds, fails or is unknown.

At load one plain Python function is generated for a decision, in which each distinct test is asked once. It is made
from the unary tests alone, never from what the matcher makes of them, so that the two are independent means. A test
on an input that is not stated is unknown; a rule holds when every test of `when` is met and the exception is not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from enum import IntEnum

from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest
from decision.vocabulary import Value

__all__ = ["Evaluate", "Known", "Outcome", "compile_rules", "outcome_of"]

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


def compile_rules(rules: Sequence[Rule]) -> Evaluate:
    """Generate the function that evaluates rules together.

    Args:
        rules: The rules of one decision.

    Returns:
        A function from what is known to the outcomes (as whole numbers of `Outcome`), in the order of the rules.
    """
    constants: dict[str, object] = {}
    names: dict[UnaryTest, str] = {}
    lines = ["def evaluate(known):", "    get = known.get"]
    values: dict[str, str] = {}
    for test in (test for rule in rules for test in rule.tests):
        if test in names:
            continue
        if test.input not in values:
            values[test.input] = f"v{len(values)}"
            lines.append(f"    {values[test.input]} = get({test.input!r})")
        value = values[test.input]
        names[test] = f"t{len(names)}"
        lines.append(f"    {names[test]} = None if {value} is None else {_asked(test, value, constants)}")
    outcomes = ", ".join(_outcome(rule, names) for rule in rules)
    lines.append(f"    return ({outcomes}{',' if rules else ''})")
    exec(compile("\n".join(lines), "<generated evaluator>", "exec"), constants)
    generated: Evaluate = constants["evaluate"]  # type: ignore[assignment]
    return generated


def outcome_of(rule: Rule, known: Known) -> Outcome:
    """Evaluate one rule by itself, for examples."""
    return Outcome(compile_rules([rule])(known)[0])


def _asked(test: UnaryTest, value: str, constants: dict[str, object]) -> str:
    """Write the question as an expression that is True or False for a stated value."""
    if isinstance(test, Truth):
        return f"{value} is {test.value}"
    if isinstance(test, Among):
        if len(test.codes) == 1:
            return f"{value} {'==' if test.inside else '!='} {test.codes[0]!r}"
        name = f"c{len(constants)}"
        constants[name] = frozenset(test.codes)
        return f"{value} {'in' if test.inside else 'not in'} {name}"
    return _asked_of_number(test, value)


def _asked_of_number(test: Interval, value: str) -> str:
    low = "" if test.low == -math.inf else f"{test.low!r} {'<=' if test.low_included else '<'} "
    high = "" if test.high == math.inf else f" {'<=' if test.high_included else '<'} {test.high!r}"
    return f"{low}{value}{high}"


def _outcome(rule: Rule, names: Mapping[UnaryTest, str]) -> str:
    """Write Kleene's `and` of the tests and of the exception's opposite, as one expression."""
    when = [names[test] for test in rule.when]
    unless = [names[test] for test in rule.unless]
    fails = " or ".join(f"{name} is False" for name in when)
    holds = " and ".join(when)
    if unless:
        fails += f" or ({' and '.join(unless)})"
        holds += f" and ({' or '.join(f'{name} is False' for name in unless)})"
    return f"(0 if {fails} else 1 if {holds} else 2)"
