"""Say why: the reason for each statement, its tests held against the case.

Nothing is decided here. Each statement of an answer names its rule, the rule's tests with their findings, the
explanation its author wrote, and the evidence. The wording of a test comes from unary_test.in_words alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from decision.decisions import Decisions
from decision.recommendation import Evidence, Finding, OpenRule, Reason
from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest, in_words, met
from decision.vocabulary import Input, Value
from decision.written import Keep, as_data

__all__ = ["Explainer"]

MOST_KEPT = 100  # of one rule

Statement = TypeVar("Statement")

_Given = tuple[Value | None, ...]


class Explainer:
    """Tells the reasons of a run, with what can be prepared once for a rule book."""

    def __init__(self, decisions: Decisions, keep: Keep[Any] = as_data) -> None:
        """Prepare the words of every rule; what is kept of them for other cases is kept by `keep`."""
        rules = [rule for one in decisions.compiled for rule in one.rules]
        self._told = {rule.id: _Told.of(rule, decisions.inputs, keep) for rule in rules}

    def reason(self, rule: Rule, known: Mapping[str, Value]) -> Reason:
        """Why a rule that holds says what it says."""
        return self._told[rule.id].reason(known)

    def statement(
        self, rule: Rule, known: Mapping[str, Value], say: Callable[[Rule, list[Reason]], Statement]
    ) -> Statement:
        """What a rule that holds says, with its reason.

        Args:
            rule: The rule.
            known: What is known.
            say: Says it; of one rule always the same.
        """
        return self._told[rule.id].statement(known, say)

    def outlined(self, rules: Iterable[Rule], known: Mapping[str, Value]) -> list[OpenRule]:
        """Rules that do not hold, with their findings."""
        return [
            {"rule": rule.id, "title": rule.title, "because": self._told[rule.id].findings(known)} for rule in rules
        ]


@dataclass(frozen=True, slots=True)
class _Told:
    """The words of a rule that are the same in every case.

    What it says is kept with its reason, by what the case says to those of its tests that more than one value meets:
    in most cases that is one of few. Where it asks about numbers nothing is kept, since numbers are many. Its evidence
    has two forms, for a species in which it was measured and for every other one.
    """

    rule: Rule
    tests: tuple[_ToldTest, ...]
    inputs: tuple[str, ...]
    evidence: Mapping[bool, Evidence]
    numbers: bool
    keep: Keep[Any]
    reasons: dict[_Given, Reason]
    statements: dict[_Given, Any]

    @classmethod
    def of(cls, rule: Rule, inputs: Mapping[str, Input], keep: Keep[Any]) -> _Told:
        when = [_ToldTest(in_words(test, inputs[test.input]), test) for test in rule.when]
        unless = [_ToldTest(f"unless {in_words(test, inputs[test.input])}", test) for test in rule.unless]
        numbers = any(isinstance(test, Interval) for test in rule.tests)
        names = tuple(test.input for test in (*rule.when, *rule.unless) if test in rule.unless or _leaves_open(test))
        evidence = {direct: keep(rule.evidence.told(direct=direct)) for direct in (False, True)}
        return cls(rule, (*when, *unless), names, evidence, numbers, keep, {}, {})

    def reason(self, known: Mapping[str, Value]) -> Reason:
        direct = self.rule.evidence.direct_for(known.get("species"))
        given = (direct, *map(known.get, self.inputs))
        found = self.reasons.get(given)
        if found is None:
            rule = self.rule
            found = {
                "rule": rule.id,
                "title": rule.title,
                "because": self.findings(known),
                "explanation": rule.explanation,
                "evidence": self.evidence[direct],
            }
            found = self._kept(self.reasons, given, found)
        return found

    def statement(self, known: Mapping[str, Value], say: Callable[[Rule, list[Reason]], Statement]) -> Statement:
        given = (self.rule.evidence.direct_for(known.get("species")), *map(known.get, self.inputs))
        found: Statement | None = self.statements.get(given)
        if found is None:
            found = self._kept(self.statements, given, say(self.rule, [self.reason(known)]))
        return found

    def _kept(self, kept: dict[_Given, Statement], given: _Given, found: Statement) -> Statement:
        if not self.numbers and len(kept) < MOST_KEPT:
            found = kept[given] = self.keep(found)
        return found

    def findings(self, known: Mapping[str, Value]) -> list[Finding]:
        given = known.get
        return [test.found.get(given(test.input)) or test.finding(given(test.input)) for test in self.tests]


def _leaves_open(test: UnaryTest) -> bool:
    """Whether a test that is met leaves open by which value."""
    return not (isinstance(test, Truth) or (isinstance(test, Among) and test.inside and len(test.codes) == 1))


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
