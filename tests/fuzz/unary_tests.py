"""Unary tests: `decision.unary_test`, and what the evaluator and the judge make of them.

An input is the number of an input of the vocabulary (one character), then a test as it would stand in a rule file.
"""

from __future__ import annotations

import dataclasses
import math
import string
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from decision.errors import UnreadableTest
from decision.evaluator import compile_rules
from decision.rule import Rule
from decision.strict_yaml import read_yaml
from decision.unary_test import Among, Interval, Truth, UnaryTest, in_words, met, opposite, read_test
from decision.vocabulary import Input, Value
from tests import kleene
from tests.fuzz.harness import Harness
from tests.random_rules import advice, case_values

__all__ = ["HARNESS", "INPUTS", "asks_alike"]

INPUTS = (
    Input("width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300),
    Input("cold_c", "lesion", "number", "How cold?", "C", -200, 60),
    Input("ratio", "derived", "number", "How much of it?", "ratio", 1e-05, 1e16),
    Input("species", "patient", "code", "Which?", allowed={"dog": "dog", "cat": "cat", "10": "ten", "no": "none"}),
    Input("many", "patient", "code", "Which?", allowed={one: one for one in string.ascii_lowercase}),
    Input("infected", "lesion", "boolean", "Is there pus?"),
    Input("bores_mm", "equipment", "numbers", "Which bores?", "mm", 1, 40),
)
WRITTEN = (
    *('">= 10"', '"< 0.5"', "'[5..20)'", '"(-1.5 .. 60]"', '"= 300"', '">=10"', '"> 1e5"', '"[20..5]"', "10"),
    *('">= 0.000000000000000000000000000001"', f'"<= {"9" * 40}"', '"[1..]"', '"> -0"', '"=  5.0000000000000001"'),
    *("dog", "[dog, cat]", "{not: [dog]}", "{not: dog}", '["10", no]', "[]", "[dog, dog]", "{not: []}", "{or: [dog]}"),
    *("true", "false", "yes", "null", "~", "[a, b, c, d, e, f, g, h]", "{not: [a, b, z]}", "{not: {not: [a]}}"),
)


def seeds() -> Iterable[bytes]:
    """Every written test about every input."""
    for number in range(len(INPUTS)):
        for one in WRITTEN:
            yield f"{number}{one}".encode()


def hold(data: bytes) -> None:
    """A test is refused as unreadable, or asks the same however it is asked."""
    about = INPUTS[(data[0] - ord("0")) % len(INPUTS) if data else 0]
    document, faults = read_yaml(data[1:].decode("utf-8", "replace"), file="test.yaml")
    if faults:
        return
    try:
        test = read_test(document.data, about=about)
    except UnreadableTest as refused:
        assert str(refused)
        return
    assert read_test(_written(test), about=about) == test, "written again it is another test"
    assert in_words(test, about)
    asks_alike(test, document.data, about)


def asks_alike(test: UnaryTest, written: Any, about: Input) -> None:
    """The reader, its opposite, the evaluator and the judge give the same answer for every value that matters."""
    limits = [one for one in (test.low, test.high) if math.isfinite(one)] if isinstance(test, Interval) else []
    ask, against = _evaluator(test), [_evaluator(one) for one in opposite(test)]
    assert ask({})[0] == 2
    for value in case_values(about, limits):
        said = met(test, value)
        assert kleene.truth(written, value) == said, f"the judge differs at {value!r}"
        assert ask({about.name: value})[0] == said, f"the evaluator differs at {value!r}"
        assert sum(one({about.name: value})[0] for one in against) == (not said), f"the opposite differs at {value!r}"


def _evaluator(test: UnaryTest) -> Any:
    return compile_rules([_rule(test)])


def _rule(test: UnaryTest) -> Rule:
    """A rule that asks a test and nothing else."""
    return dataclasses.replace(_LIKE.rules[0], when=(test,), unless=())


def _written(test: UnaryTest) -> Value | list[str] | dict[str, list[str]]:
    """Write a test as a rule author would."""
    if isinstance(test, Truth):
        return test.value
    if isinstance(test, Among):
        return list(test.codes) if test.inside else {"not": list(test.codes)}
    low, high = _decimals(test.low), _decimals(test.high)
    if test.low == test.high:
        return f"= {low}"
    if math.isinf(test.high):
        return f"{'>=' if test.low_included else '>'} {low}"
    if math.isinf(test.low):
        return f"{'<=' if test.high_included else '<'} {high}"
    return f"{'[' if test.low_included else '('}{low}..{high}{']' if test.high_included else ')'}"


def _decimals(number: float) -> str:
    return format(Decimal(repr(number)), "f")


_LIKE = advice({"x": {"about": "lesion", "type": "boolean", "question": "Is it so?", "risk": "none"}}, {"x": True})
HARNESS = Harness(seeds, hold)
