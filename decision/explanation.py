"""Say why: reasons with findings, what is open, what to ask next, what was presumed.

Nothing is decided here. Each statement of an answer names its rule, the rule's tests held against the case, the
explanation its author wrote, and the evidence. The wording of a test comes from unary_test.in_words alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run, unknown_inputs
from decision.evaluator import Outcome
from decision.recommendation import Evidence, Finding, OpenRule, Presumed, Question, QuestionChange, Reason
from decision.rule import Rule
from decision.unary_test import UnaryTest, in_words, met
from decision.vocabulary import Input, Value

__all__ = ["Explainer"]


class Explainer:
    """Tells the reasons of a run, with what can be prepared once for a rule book."""

    def __init__(self, decisions: Decisions) -> None:
        """Prepare the words of every rule."""
        self._decisions = decisions
        self._inputs = decisions.inputs
        nodes = [one.node for one in decisions.compiled]
        here = {node.name for node in nodes}
        self._borrowed = {node.name for node in nodes if not here.issuperset(node.requires)}
        self._nodes = sorted(nodes, key=lambda node: node.hit_policy != "priority")  # ladders first
        self._written = {name: place for place, name in enumerate(self._inputs)}
        self._asked = self._ever_asked(rule for one in decisions.compiled for rule in one.rules)
        self._told = {rule.id: _Told.of(rule, self._inputs) for one in decisions.compiled for rule in one.rules}

    def reason(self, rule: Rule, known: Mapping[str, Value]) -> Reason:
        """Why a rule that holds says what it says."""
        told = self._told[rule.id]
        return {
            "rule": rule.id,
            "title": rule.title,
            "because": told.met(known) if not rule.unless else told.findings(known),
            "explanation": rule.explanation,
            "evidence": told.evidence,
        }

    def outlined(self, rules: Iterable[Rule], known: Mapping[str, Value]) -> list[OpenRule]:
        """Rules that do not hold, with their findings."""
        return [
            {"rule": rule.id, "title": rule.title, "because": self._told[rule.id].findings(known)} for rule in rules
        ]

    def questions(self, run: Run) -> list[Question]:
        """What to ask next: each input not stated that an open rule reads, the most telling first.

        Questions that can move a ladder come before those of decisions that only collect; within a decision the
        order is by how cautious the answers are that the question could bring, and by how many rules wait for it.
        """
        found: dict[str, _Weighed] = {}
        for place, node in enumerate(self._nodes):
            for answer, rule in self._open_rules(node, run):
                self._weigh(found, place, node, answer, rule, run.known)
        ordered = sorted(found.values(), key=lambda one: one.order)
        return [one.question(self._inputs) for one in ordered]

    def presumed(self, run: Run) -> list[Presumed]:
        """Each presumption with the answers it could bring if it is wrong."""
        asked = [name for name in run.presumed if name in self._asked]
        if not asked:
            return []
        ladder = next(node for node in self._nodes if node.hit_policy == "priority")
        wrong: dict[str, set[str]] = {name: set() for name in asked}
        held = {
            rule.id for _, rule, outcome in self._decisions.rated(ladder.name, run.hits) if outcome == Outcome.HOLDS
        }
        for answer, rule, outcome in self._decisions.rated(ladder.name, run.stated_hits):
            if outcome != Outcome.UNKNOWN or rule.id in held:
                continue
            for name in self._asked_for(rule, run.stated_known):
                if name in wrong:
                    wrong[name].add(answer)
        at_least = ladder.rank(run.ranges[ladder.name].at_least)
        return [self._presumption(name, wrong[name], ladder, at_least) for name in asked]

    def _presumption(self, name: str, wrong: set[str], ladder: DecisionNode, at_least: int) -> Presumed:
        one = self._inputs[name]
        worse = [answer for answer in wrong if ladder.rank(answer) > at_least]
        assert one.presumed is not None
        return {
            "input": name,
            "question": one.question,
            "presumed": one.presumed,
            "because": one.presumed_because,
            "if_wrong": sorted(worse, key=ladder.rank, reverse=True),
        }

    def _ever_asked(self, rules: Iterable[Rule]) -> set[str]:
        """The statable inputs that some rule asks about, by itself or through a derived quantity."""
        names = {test.input for rule in rules for test in rule.tests}
        return names | {parent for name in names for parent in self._inputs[name].parents}

    def _open_rules(self, node: DecisionNode, run: Run) -> Iterable[tuple[str | None, Rule]]:
        """The open rules of a decision; for a ladder only those that could raise its answer.

        Of a plan that was made before and is only read here, those count that give a number which others read.
        """
        if node.name not in run.hits:
            return
        if node.hit_policy != "priority":
            raising = {key for key, one in node.fields.items() if one["answer_of"]}
            read = node.as_inputs() if node.name in self._borrowed else None
            for rule in run.hits[node.name].having(Outcome.UNKNOWN):
                if raising & rule.conclude.keys():
                    continue
                if read is None or read.keys() & rule.conclude.keys():
                    yield None, rule
            return
        least = node.rank(run.ranges[node.name].at_least)
        for answer, rule, outcome in self._decisions.rated(node.name, run.hits):
            if outcome == Outcome.UNKNOWN and node.rank(answer) > least:
                yield answer, rule

    def _weigh(
        self,
        found: dict[str, _Weighed],
        place: int,
        node: DecisionNode,
        answer: str | None,
        rule: Rule,
        known: Mapping[str, Value],
    ) -> None:
        names = self._asked_for(rule, known)
        for name in names:
            one = found.get(name)
            if one is None:
                one = found[name] = _Weighed(name, place, node, self._written[name])
            if one.node is node:
                one.add(answer, rule, alone=len(names) == 1)

    def _asked_for(self, rule: Rule, known: Mapping[str, Value]) -> list[str]:
        """The statable inputs behind the open tests of a rule."""
        names: dict[str, None] = {}
        for name in unknown_inputs(rule, known):
            names.update(dict.fromkeys(self._statable(name, known)))
        return list(names)

    def _statable(self, name: str, known: Mapping[str, Value]) -> Iterable[str]:
        one = self._inputs[name]
        if one.about == "decision":
            return
        if not one.derived:
            yield name
            return
        for parent in one.parents:
            if parent not in known:
                yield from self._statable(parent, known)


@dataclass(frozen=True, slots=True)
class _Told:
    """The words of a rule that are the same in every case."""

    tests: tuple[tuple[str, str, UnaryTest], ...]
    evidence: Evidence

    @classmethod
    def of(cls, rule: Rule, inputs: Mapping[str, Input]) -> _Told:
        when = [(test.input, in_words(test, inputs[test.input]), test) for test in rule.when]
        unless = [(test.input, f"unless {in_words(test, inputs[test.input])}", test) for test in rule.unless]
        one = rule.evidence
        return cls(
            tests=(*when, *unless),
            evidence={
                "certainty": one.certainty,
                "strength": one.strength,
                "citations": list(one.citations),
                "species_direct": one.species_direct,
                "cryogen_direct": one.cryogen_direct,
                "limits": one.limits,
            },
        )

    def met(self, known: Mapping[str, Value]) -> list[Finding]:
        """The findings of a rule without exception that holds: every test is met."""
        return [
            {"input": name, "test": words, "given": known.get(name), "finding": "met"} for name, words, _ in self.tests
        ]

    def findings(self, known: Mapping[str, Value]) -> list[Finding]:
        found: list[Finding] = []
        for name, words, test in self.tests:
            given = known.get(name)
            said = "not stated" if given is None else "met" if met(test, given) else "not met"
            found.append({"input": name, "test": words, "given": given, "finding": said})  # type: ignore[typeddict-item]
        return found


class _Weighed:
    """A question in the making: which open rules wait for it, and what they could bring."""

    def __init__(self, name: str, place: int, node: DecisionNode, written: int) -> None:
        self.name = name
        self.place = place
        self.node = node
        self.written = written
        self.changes: dict[str, bool] = {}
        self.weight = 0
        self.title = ""
        self._top = -2

    def add(self, answer: str | None, rule: Rule, *, alone: bool) -> None:
        rank = self.node.rank(answer)
        self.weight += (rank + 2) * (2 if alone else 1)
        if answer is not None:
            self.changes[answer] = self.changes.get(answer, False) or alone
        if rank > self._top:
            self._top, self.title = rank, rule.title

    @property
    def order(self) -> tuple[int, int, int]:
        ladder = 0 if self.node.hit_policy == "priority" else 1
        return ladder, -self.weight if not ladder else self.place, self.written

    def question(self, inputs: Mapping[str, Input]) -> Question:
        one = inputs[self.name]
        changes: Sequence[QuestionChange] = [
            {"answer": answer, "alone": alone}
            for answer, alone in sorted(self.changes.items(), key=lambda item: self.node.rank(item[0]), reverse=True)
        ]
        return {
            "input": self.name,
            "question": one.question,
            "unit": one.unit,
            "allowed": dict(one.allowed) or None,
            "decision": self.node.name,
            "why": self.title,
            "could_change_to": list(changes),
        }
