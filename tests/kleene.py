"""A naive judge of rules, three-valued, by the book and without any care for speed.

It reads the tests as they stand in the rule file and shares no code with the engine: neither its parser nor its
objects. Both means of matching are held against it.

Truth is a number: 1 true, 0 false, 1/2 unknown. Then `and` is the least, `or` the greatest, `not` is one minus.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

__all__ = ["outcome", "outcomes", "truth"]

TRUE, FALSE, UNKNOWN = Fraction(1), Fraction(0), Fraction(1, 2)
WORDS = {TRUE: "holds", FALSE: "fails", UNKNOWN: "unknown"}


def outcomes(rules: Sequence[Mapping[str, Any]], facts: Mapping[str, Any]) -> list[str]:
    """Judge each rule, given as the data of its file, by what is known.

    >>> outcomes([{"when": {"width": "> 3"}, "unless": {"wet": True}}], {"width": 4.0})
    ['unknown']
    """
    return [outcome(rule, facts) for rule in rules]


def outcome(rule: Mapping[str, Any], facts: Mapping[str, Any]) -> str:
    """Judge one rule: everything under `when`, and not everything under `unless`."""
    wanted = [truth(test, facts.get(name)) for name, test in rule["when"].items()]
    excepted = [truth(test, facts.get(name)) for name, test in rule.get("unless", {}).items()]
    if excepted:
        wanted.append(1 - min(excepted))
    return WORDS[min(wanted)]


def truth(test: Any, value: Any) -> Fraction:
    """Answer one test as it is written.

    >>> truth("[5..20)", 20.0) == FALSE, truth({"not": ["dog"]}, "cat") == TRUE, truth(True, None) == UNKNOWN
    (True, True, True)
    """
    if value is None:
        return UNKNOWN
    if isinstance(test, dict):
        return 1 - truth(test["not"], value)
    if isinstance(test, list):
        return max(truth(one, value) for one in test)
    if isinstance(value, bool) or isinstance(test, bool):
        return Fraction(type(value) is type(test) and value == test)
    if isinstance(value, str):
        return Fraction(value == test)
    return Fraction(all(_compare(sign, limit, Fraction(value)) for sign, limit in _limits(test)))


def _limits(written: str) -> list[tuple[str, Fraction]]:
    """Take a comparison or an interval apart into signs and limits.

    A limit is the double nearest to its decimals, since that is what a number in a case is.
    """
    text = "".join(written.split())
    if ".." in text:
        low, high = text[1:-1].split("..")
        signs = {"[": ">=", "(": ">", "]": "<=", ")": "<"}
        return [(signs[text[0]], _number(low)), (signs[text[-1]], _number(high))]
    sign = text.rstrip("-.0123456789")
    return [(sign, _number(text[len(sign) :]))]


def _number(decimals: str) -> Fraction:
    return Fraction(float(decimals))


def _compare(sign: str, limit: Fraction, value: Fraction) -> bool:
    difference = value - limit
    return {
        ">": difference > 0,
        ">=": difference >= 0,
        "<": difference < 0,
        "<=": difference <= 0,
        "=": difference == 0,
    }[sign]
