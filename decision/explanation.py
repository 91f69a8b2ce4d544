"""Say why: the reason for each statement, its tests held against the case.

Nothing is decided here. Each statement of an answer names its rule, the rule's tests with their findings, the
explanation its author wrote, and the evidence. The wording of a test comes from unary_test.in_words alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from decision.decisions import Decisions
from decision.recommendation import Evidence, Finding, OpenRule, Reason
from decision.rule import Rule
from decision.unary_test import UnaryTest, in_words, met
from decision.vocabulary import Input, Value

__all__ = ["Explainer"]


class Explainer:
    """Tells the reasons of a run, with what can be prepared once for a rule book."""

    def __init__(self, decisions: Decisions) -> None:
        """Prepare the words of every rule."""
        rules = [rule for one in decisions.compiled for rule in one.rules]
        self._told = {rule.id: _Told.of(rule, decisions.inputs) for rule in rules}

    def reason(self, rule: Rule, known: Mapping[str, Value]) -> Reason:
        """Why a rule that holds says what it says."""
        told = self._told[rule.id]
        return {
            "rule": rule.id,
            "title": rule.title,
            "because": told.findings(known),
            "explanation": rule.explanation,
            "evidence": told.evidence,
        }

    def outlined(self, rules: Iterable[Rule], known: Mapping[str, Value]) -> list[OpenRule]:
        """Rules that do not hold, with their findings."""
        return [
            {"rule": rule.id, "title": rule.title, "because": self._told[rule.id].findings(known)} for rule in rules
        ]


@dataclass(frozen=True, slots=True)
class _Told:
    """The words of a rule that are the same in every case."""

    tests: tuple[_ToldTest, ...]
    evidence: Evidence

    @classmethod
    def of(cls, rule: Rule, inputs: Mapping[str, Input]) -> _Told:
        when = [_ToldTest(in_words(test, inputs[test.input]), test) for test in rule.when]
        unless = [_ToldTest(f"unless {in_words(test, inputs[test.input])}", test) for test in rule.unless]
        return cls(tests=(*when, *unless), evidence=rule.evidence.as_data())

    def findings(self, known: Mapping[str, Value]) -> list[Finding]:
        given = known.get
        return [test.found.get(given(test.input)) or test.finding(given(test.input)) for test in self.tests]


class _ToldTest:
    """One test of a rule in words, and what was found of each value that it has met, but for numbers: codes are few."""

    __slots__ = ("_test", "_words", "found", "input")

    def __init__(self, words: str, test: UnaryTest) -> None:
        self.input, self._words, self._test = test.input, words, test
        self.found: dict[Value | None, Finding] = {}

    def finding(self, given: Value | None) -> Finding:
        """A finding that is not kept yet."""
        said = "not stated" if given is None else "met" if met(self._test, given) else "not met"
        made: Finding = {"input": self.input, "test": self._words, "given": given, "finding": said}  # type: ignore[typeddict-item]
        if given is None or isinstance(given, bool | str):
            self.found[given] = made
        return made
