"""Why and why not: every rule of a case with its outcome, its findings, what outranks it and what it waits for.

Nothing is decided here. The outcomes are those of the run that answered; the wording is that of every other answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from typing_extensions import TypedDict

from decision.case import Case
from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run, unknown_inputs
from decision.evaluator import Outcome
from decision.explanation import Explainer
from decision.recommendation import Finding
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.vocabulary import Input

__all__ = ["Argued", "Argument", "DecisionArgument", "argue"]


class Argued(TypedDict):
    """One rule in one case. `outranked_by` and `needs` are empty where they do not apply."""

    rule: str
    title: str
    outcome: str
    says: str
    findings: list[Finding]
    outranked_by: list[str]
    needs: list[str]
    evidence: str


class DecisionArgument(TypedDict):
    """One decision: its range, and every rule, those that hold first. `asked` is false where it was not reached."""

    decision: str
    question: str
    asked: bool
    asked_only_where: str
    answer: str | None
    at_least: str | None
    could_become: str | None
    rules: list[Argued]


class Argument(TypedDict):
    """Everything that the rules had to say about one lesion, and what was presumed for it."""

    lesion_id: str
    presumed: list[str]
    decisions: list[DecisionArgument]


def argue(book: RuleBook, case: Case) -> list[Argument]:
    """Tell why and why not, for each lesion of a case.

    Args:
        book: The rule book.
        case: A case read by it.

    Raises:
        MatcherFault: The two means of matching differ; nothing is told.
    """
    teller = _Teller(book.decisions(case.moment))
    return [
        {
            "lesion_id": lesion.lesion_id,
            "presumed": [f"{teller.inputs[name].label}: {run.known[name]}" for name in run.presumed],
            "decisions": [teller.decision(one.node, one.rules, run) for one in teller.compiled],
        }
        for lesion, run in zip(case.lesions, book.runs(case), strict=True)
    ]


class _Teller:
    def __init__(self, decisions: Decisions) -> None:
        self._decisions = decisions
        self._explainer = Explainer(decisions)
        self.inputs: Mapping[str, Input] = decisions.inputs
        self.compiled = decisions.compiled

    def decision(self, node: DecisionNode, rules: Any, run: Run) -> DecisionArgument:
        found, hits = run.ranges.get(node.name), run.hits.get(node.name)
        outcomes = [] if hits is None else list(zip(hits.rules, hits.outcomes, strict=True))
        ordered = sorted(outcomes, key=lambda one: (_ORDER[one[1]], -_rank(node, one[0])))
        return {
            "decision": node.name,
            "question": node.question,
            "asked": hits is not None,
            "asked_only_where": "; ".join(f"{name} is {' or '.join(codes)}" for name, codes in node.given.items()),
            "answer": found.answer if found else None,
            "at_least": found.at_least if found else None,
            "could_become": found.could_become if found else None,
            "rules": [self._argued(rule, outcome, node, run) for rule, outcome in ordered],
        }

    def _argued(self, rule: Rule, outcome: int, node: DecisionNode, run: Run) -> Argued:
        return {
            "rule": rule.id,
            "title": rule.title,
            "outcome": Outcome(outcome).word,
            "says": "; ".join(_said(key, value) for key, value in rule.conclude.items()),
            "findings": self._explainer.outlined([rule], run.known)[0]["because"],
            "outranked_by": self._above(rule, node, run) if outcome == Outcome.HOLDS else [],
            "needs": list(dict.fromkeys(self._needs(rule, run))) if outcome == Outcome.UNKNOWN else [],
            "evidence": rule.evidence.certainty,
        }

    def _above(self, rule: Rule, node: DecisionNode, run: Run) -> list[str]:
        """The rules that hold and bring the ladder a more cautious answer than this one."""
        if node.name not in run.ranges:
            return []
        mine = _rank(node, rule)
        rated = self._decisions.rated(node.name, run.hits)
        holding = [(node.rank(answer), one) for answer, one, found in rated if found == Outcome.HOLDS]
        return [one.id for rank, one in sorted(holding, key=lambda pair: -pair[0]) if rank > mine]

    def _needs(self, rule: Rule, run: Run) -> Iterator[str]:
        """What may be stated that the open rule waits for."""
        for name in unknown_inputs(rule, run.known):
            parents = [parent for parent in self.inputs[name].parents if parent not in run.known]
            yield from parents or [name]


_ORDER = {int(Outcome.HOLDS): 0, int(Outcome.UNKNOWN): 1, int(Outcome.FAILS): 2}


def _rank(node: DecisionNode, rule: Rule) -> int:
    """How cautious the answer of a ladder's own rule is; 0 for any other rule."""
    return node.rank(rule.conclude[node.concludes]) if node.hit_policy == "priority" else 0


def _said(key: str, value: Any) -> str:
    if isinstance(value, dict):
        return f"{key.replace('_', ' ')} {value['low']:g} to {value['high']:g}"
    return f"{key.replace('_', ' ')} {value:g}" if isinstance(value, float) else f"{key.replace('_', ' ')}: {value}"
