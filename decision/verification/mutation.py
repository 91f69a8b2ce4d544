"""Change a rule by one small step, in each way in which its author may have erred.

A limit one step off, a limit that no longer includes itself, a yes for a no, a code left out of a list or every code
let in, a condition forgotten. Whether the examples of the rule notice is judged in verification.py.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest, in_words
from decision.vocabulary import Input

__all__ = ["Mutant", "mutants_of", "step_of"]

COUNTED = frozenset({"cycles", "days", "freezes", "lesions", "sessions", "weeks"})

Change = tuple[str, UnaryTest]


@dataclass(frozen=True, slots=True)
class Mutant:
    """A rule with one thing changed, and the change in words."""

    rule: Rule
    change: str


def mutants_of(rule: Rule, inputs: Mapping[str, Input]) -> list[Mutant]:
    """Make every mutant of a rule.

    Args:
        rule: The rule.
        inputs: Every input it asks about, by name.

    Returns:
        The mutants, each a rule that the language allows. A rule's only condition is never dropped.
    """
    found = []
    for place, test in enumerate(rule.when):
        for said, tests in _changed(rule.when, place, inputs[test.input]):
            if tests:
                found.append(Mutant(replace(rule, when=tests), f"when.{test.input}: {said}"))
    for place, test in enumerate(rule.unless):
        for said, tests in _changed(rule.unless, place, inputs[test.input]):
            found.append(Mutant(replace(rule, unless=tests), f"unless.{test.input}: {said}"))
    return found


def step_of(about: Input) -> float:
    """The smallest step in which a number is stated in practice, in the unit of the input.

    >>> step_of(Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300))
    0.5
    >>> step_of(Input("weeks_present", "lesion", "number", "How long?", "weeks", 0, 2000))
    1.0
    """
    return 1.0 if about.unit in COUNTED else 0.5


def _changed(tests: tuple[UnaryTest, ...], place: int, about: Input) -> Iterable[tuple[str, tuple[UnaryTest, ...]]]:
    """The block of tests with one of them changed, or gone."""
    before, after = tests[:place], tests[place + 1 :]
    for said, test in _changes(tests[place], about):
        yield said, (*before, test, *after)
    yield "dropped", (*before, *after)


def _changes(test: UnaryTest, about: Input) -> Iterable[Change]:
    if isinstance(test, Truth):
        yield f"{str(not test.value).lower()} for {str(test.value).lower()}", replace(test, value=not test.value)
    elif isinstance(test, Among):
        yield from _code_changes(test, about)
    else:
        original = in_words(test, about)
        for changed in _limit_changes(test, about):
            yield f'"{in_words(changed, about)}" for "{original}"', changed


def _code_changes(test: Among, about: Input) -> Iterable[Change]:
    """Each listed code left out, and every code of the input let in: some code outside must be shown to fail."""
    if len(test.codes) > 1:
        for code in test.codes:
            yield f"{code} left out", replace(test, codes=tuple(one for one in test.codes if one != code))
    yield "any code", replace(test, codes=tuple(about.allowed), inside=True)


def _limit_changes(test: Interval, about: Input) -> Iterable[Interval]:
    step = step_of(about)
    if test.low == test.high:
        yield replace(test, low=-math.inf)
        yield replace(test, high=math.inf)
        moved = [replace(test, low=limit, high=limit) for limit in (test.low - step, test.low + step)]
    else:
        moved = [replace(test, low=test.low + by) for by in (-step, step) if test.low != -math.inf]
        moved += [replace(test, high=test.high + by) for by in (-step, step) if test.high != math.inf]
        if test.low != -math.inf:
            yield replace(test, low_included=not test.low_included)
        if test.high != math.inf:
            yield replace(test, high_included=not test.high_included)
    yield from (one for one in moved if _possible(one, about))


def _possible(test: Interval, about: Input) -> bool:
    """Whether a moved limit still says something: inside the range of the input, and the interval not empty."""
    limits = [limit for limit in (test.low, test.high) if math.isfinite(limit)]
    return all(about.low <= limit <= about.high for limit in limits) and test.low <= test.high
