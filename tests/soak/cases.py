"""Random cases of the shipped vocabulary, as many as wanted: the same seed gives the same cases.

typical    a whole patient of tests/cases, varied: one to several lesions
stated     a patient of which everything that can be together is stated, mostly what is harmless
partial    the stated case before it, of which much of patient and lesion is left unsaid
extreme    a patient with figures on a limit, beside it, at the ends of the range, and rare codes
unusable   a case with one thing in it that cannot be
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from decision.rule_book import RuleBook
from decision.vocabulary import Input
from tests.benchmarks.many_cases import many_cases
from tests.random_rules import case_values, limits_of, message, that_can_be, written_cases

__all__ = ["KINDS", "SoakCase", "soak_cases"]

KINDS = ("typical", "stated", "partial", "extreme", "unusable")
ABOUT = ("patient", "lesion", "equipment", "operator")
LEARNT = ("patient", "lesion")  # equipment and operator never unsettle a verdict: they stay as they are
HARMLESS = 0.93


@dataclass(frozen=True, slots=True)
class SoakCase:
    """A case as JSON data."""

    kind: str
    data: dict[str, Any]


def soak_cases(book: RuleBook, many: int, seed: int) -> Iterator[SoakCase]:
    """Make cases, every kind in its turn."""
    making = _Making(book, many, seed)
    for number in range(many):
        yield making.case(KINDS[number % len(KINDS)])


class _Making:
    def __init__(self, book: RuleBook, many: int, seed: int) -> None:
        self._chance = random.Random(seed)
        self._vocabulary = book.vocabulary
        self._contradictions = book.folder.contradictions
        self._inputs = [one for one in book.vocabulary.inputs.values() if one.about in ABOUT]
        rules = [rule for listed in book.folder.rules.values() for rule in listed]
        limits = limits_of(rules)
        single = [one for one in self._inputs if one.type != "numbers"]
        self._values = {one.name: case_values(one, limits.get(one.name, ())) for one in single}
        self._starts = [_facts_in(case) for case in written_cases(book).values()]
        self._typical = many_cases(book.vocabulary, many, seed)
        self._stated: dict[str, Any] = {}

    def case(self, kind: str) -> SoakCase:
        if kind == "typical":
            return SoakCase(kind, next(self._typical))
        if kind == "partial":
            return SoakCase(kind, message(self._less(), self._vocabulary))
        if kind == "unusable":
            return SoakCase(kind, self._unusable())
        facts = self._all_stated() if kind == "stated" else self._extreme()
        return SoakCase(kind, message(facts, self._vocabulary))

    def _all_stated(self) -> dict[str, Any]:
        start = self._chance.choice(self._starts)
        self._stated = {one.name: start.get(one.name, self._value(one)) for one in self._inputs}
        for name in self._chance.sample(sorted(self._values), self._chance.randint(0, 3)):
            self._stated[name] = self._chance.choice(self._values[name])
        self._stated = that_can_be(self._stated, self._contradictions)
        return self._stated

    def _value(self, one: Input) -> Any:
        """What is harmless, mostly: absent, as presumed, or else anything."""
        if one.type == "numbers":
            return [round(self._chance.uniform(one.low, one.high), 1) for _ in range(self._chance.randint(1, 4))]
        harmless = one.presumed if one.absent is None else one.absent
        if harmless is not None and self._chance.random() < HARMLESS:
            return harmless
        return self._chance.choice(self._values[one.name])

    def _less(self) -> dict[str, Any]:
        kept = self._chance.choice((0.2, 0.5, 0.8, 0.95))
        about = {one.name: one.about for one in self._inputs}
        return {
            name: value
            for name, value in self._stated.items()
            if about[name] not in LEARNT or self._chance.random() < kept
        }

    def _extreme(self) -> dict[str, Any]:
        facts = dict(self._chance.choice(self._starts))
        for name in self._chance.sample(sorted(self._values), self._chance.randint(1, 8)):
            facts[name] = self._chance.choice((*self._values[name][:3], *self._values[name][-3:]))
        return that_can_be(facts, self._contradictions)

    def _unusable(self) -> dict[str, Any]:
        case = next(self._typical)
        one = self._chance.choice([one for one in self._inputs if one.about == "lesion"])
        wrong = {"number": (one.high + 1, one.low - 1, "5", None), "code": ("none of these", 1, None)}
        case["lesions"][0][one.name] = self._chance.choice(wrong.get(one.type, ("yes", 1, None)))
        return case


def _facts_in(case: Any) -> dict[str, Any]:
    """What a case states of its first lesion, sizes at hand included."""
    sizes: Mapping[str, Any] = {name: list(listed) for name, listed in case.sizes_at_hand.items()}
    return {**case.stated, **sizes, **case.lesions[0].stated}
