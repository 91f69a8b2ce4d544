"""Read one unary test from a rule, state its opposite, say it in English.

A unary test asks one question about one input: at least 10, one of dog or cat, none of horse. The meaning is
FEEL's, the clothing is YAML's. This module never answers a test for a case: evaluator.py does, three-valued,
and matcher.py confirms what holds.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TypeAlias

from decision.errors import UnreadableTest
from decision.fact_words import amount
from decision.nearest import nearest
from decision.vocabulary import Input, Value

__all__ = [
    "Among",
    "Interval",
    "Truth",
    "UnaryTest",
    "in_words",
    "met",
    "opposite",
    "read_test",
]

_COMPARISON = re.compile(r"(>=|<=|>|<|=)\s*(-?[0-9]+(?:\.[0-9]+)?)")
_INTERVAL = re.compile(r"([\[(])\s*(-?[0-9]+(?:\.[0-9]+)?)\s*\.\.\s*(-?[0-9]+(?:\.[0-9]+)?)\s*([\])])")


@dataclass(frozen=True, slots=True)
class Interval:
    """A number lies between two limits; an infinite limit is no limit."""

    input: str
    low: float = -math.inf
    high: float = math.inf
    low_included: bool = True
    high_included: bool = True


@dataclass(frozen=True, slots=True)
class Among:
    """A code is one of some (`inside`), or none of them."""

    input: str
    codes: tuple[str, ...]
    inside: bool = True


@dataclass(frozen=True, slots=True)
class Truth:
    """A yes-or-no input has this value."""

    input: str
    value: bool


UnaryTest: TypeAlias = Interval | Among | Truth


def read_test(written: object, *, about: Input) -> UnaryTest:
    """Read a test as a rule author wrote it.

    Args:
        written: What stands in the rule file: a code, a list of codes, `{not: [...]}`, true, false, or a quoted
            comparison or interval.
        about: The input asked about.

    Returns:
        The test.

    Raises:
        UnreadableTest: It is none of these, or does not fit the input.

    >>> from decision.vocabulary import Input
    >>> width = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
    >>> read_test(">= 10", about=width)
    Interval(input='base_width_mm', low=10.0, high=inf, low_included=True, high_included=True)
    >>> read_test(10, about=width)
    Traceback (most recent call last):
    decision.errors.UnreadableTest: a number is compared in quotes, for example ">= 10" or "[5..20)".
    """
    if about.type == "number":
        return _read_number(written, about)
    if about.type == "boolean":
        if isinstance(written, bool):
            return Truth(about.name, written)
        raise UnreadableTest("a yes-or-no input is asked with true or false.")
    if about.type == "code":
        return _read_codes(written, about)
    raise UnreadableTest(f"{about.name} is a list of numbers; a rule asks a quantity derived from it.")


def met(test: UnaryTest, value: Value) -> bool:
    """Say whether a stated value meets a test."""
    if isinstance(test, Truth):
        return value is test.value
    if isinstance(test, Among):
        return (value in test.codes) is test.inside
    number = float(value)
    above = number >= test.low if test.low_included else number > test.low
    below = number <= test.high if test.high_included else number < test.high
    return above and below


def opposite(test: UnaryTest) -> tuple[UnaryTest, ...]:
    """State the tests of which one is met exactly when this one is not (for a stated value).

    >>> opposite(Interval("base_width_mm", 5, 20, True, False))  # doctest: +NORMALIZE_WHITESPACE
    (Interval(input='base_width_mm', low=-inf, high=5, low_included=True, high_included=False),
     Interval(input='base_width_mm', low=20, high=inf, low_included=True, high_included=True))
    """
    if isinstance(test, Truth):
        return (Truth(test.input, not test.value),)
    if isinstance(test, Among):
        return (Among(test.input, test.codes, not test.inside),)
    parts: list[UnaryTest] = []
    if test.low != -math.inf:
        parts.append(Interval(test.input, high=test.low, high_included=not test.low_included))
    if test.high != math.inf:
        parts.append(Interval(test.input, low=test.high, low_included=not test.high_included))
    return tuple(parts)


def in_words(test: UnaryTest, about: Input) -> str:
    """Say a test in English, with the unit.

    >>> from decision.vocabulary import Input
    >>> width = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
    >>> in_words(Interval("base_width_mm", 5, 20, True, False), width)
    'base width is at least 5 mm and under 20 mm'
    """
    if isinstance(test, Truth):
        return f"{about.label}: {'yes' if test.value else 'no'}"
    if isinstance(test, Among):
        named = [about.allowed.get(code, code) for code in test.codes]
        return f"{about.label}: {_either(named) if test.inside else _none_of(named)}"
    return f"{about.label} is {_limits_in_words(test, about.unit or '')}"


def _either(named: list[str]) -> str:
    """Alternatives; a semicolon parts them, since their words may hold commas."""
    return named[0] if len(named) == 1 else f"{'; '.join(named[:-1])}; or {named[-1]}"


def _none_of(named: list[str]) -> str:
    return f"not {named[0]}" if len(named) == 1 else f"none of: {'; '.join(named)}"


def _limits_in_words(test: Interval, unit: str) -> str:
    if test.low == test.high:
        return f"exactly {amount(test.low, unit)}"
    parts = []
    if test.low != -math.inf:
        parts.append(f"{'at least' if test.low_included else 'over'} {amount(test.low, unit)}")
    if test.high != math.inf:
        parts.append(f"{'at most' if test.high_included else 'under'} {amount(test.high, unit)}")
    return " and ".join(parts)


def _read_number(written: object, about: Input) -> Interval:
    if isinstance(written, bool) or not isinstance(written, str):
        raise UnreadableTest('a number is compared in quotes, for example ">= 10" or "[5..20)".')
    if found := _COMPARISON.fullmatch(written.strip()):
        limits = [float(found[2])]
        test = _comparison(about.name, found[1], limits[0])
    elif found := _INTERVAL.fullmatch(written.strip()):
        low, high = limits = [float(found[2]), float(found[3])]
        if low >= high:
            raise UnreadableTest(f'"{written}": the lower limit must be under the upper one.')
        test = Interval(about.name, low, high, found[1] == "[", found[4] == "]")
    else:
        raise UnreadableTest(f'"{written}" is not a comparison; write one like ">= 10" or "[5..20)".')
    for limit in limits:  # as written: one with too many digits is infinite, which is no limit
        if not about.low <= limit <= about.high:
            said = f"{about.low:g} to {about.high:g} {about.unit}"
            raise UnreadableTest(f'"{written}": the limit is outside the range of the input, {said}.')
    return test


def _comparison(name: str, sign: str, limit: float) -> Interval:
    if sign == "=":
        return Interval(name, limit, limit)
    if sign in (">=", ">"):
        return Interval(name, low=limit, low_included=sign == ">=")
    return Interval(name, high=limit, high_included=sign == "<=")


def _read_codes(written: object, about: Input) -> Among:
    inside = True
    if isinstance(written, dict):
        if list(written) != ["not"]:
            raise UnreadableTest("exceptions are written {not: [code, code]}.")
        inside, written = False, written["not"]
    codes: list[str] = []
    listed = written if isinstance(written, list) else [written]
    if not listed:
        raise UnreadableTest("the list of codes is empty.")
    for code in listed:
        if not isinstance(code, str) or code not in about.allowed:
            allowed = ", ".join(about.allowed)
            hint = nearest(str(code), about.allowed)
            raise UnreadableTest(f'"{code}" is not a value of {about.name}.{hint} Allowed: {allowed}.')
        codes.append(code)
    if len(set(codes)) < len(codes):
        raise UnreadableTest("a code stands twice in the list.")
    if len(codes) == len(about.allowed):
        raise UnreadableTest("the list names every allowed code, so the test says nothing.")
    return Among(about.name, tuple(codes), inside)
