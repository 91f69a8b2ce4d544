"""Why and why not: every rule of a case with its outcome, its findings, what outranks it and what it waits for.

Nothing is decided here. The outcomes are those of the run that answered; the wording is that of every other answer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from typing_extensions import TypedDict

from decision.case import Case
from decision.decision_node import DecisionNode
from decision.decisions import Run
from decision.evaluator import Outcome
from decision.measured import measured_for
from decision.recommendation import Finding
from decision.rule import NO_SOURCE, Rule
from decision.rule_book import RuleBook
from decision.telling import Teller
from decision.trace import Outranking, deciding, needs, outrankings

__all__ = ["Argued", "Argument", "DecisionArgument", "Standing", "argue"]

Standing = Literal["decides", "holds", "silent", "outranked", "open", "fails"]


class Argued(TypedDict):
    """One rule in one case. `outranked_by_answer`, `outranked_by` and `needs` are empty where they do not apply.

    `decides` stands with the rules of a ladder that bring the answer that stands at least; `holds` with rules of other
    decisions, each of which adds its statement; `silent` with those that only matter for a freeze, where none is given.
    `evidence` is the certainty, `measured` where it was measured.
    """

    rule: str
    title: str
    standing: Standing
    says: str
    findings: list[Finding]
    outranked_by_answer: str
    outranked_by: list[str]
    needs: list[str]
    evidence: str
    measured: str


class DecisionArgument(TypedDict):
    """One decision: its range, and every rule, those that hold first. `asked` is false where it was not reached.

    `decided_by` are the rules that bring a ladder the answer that stands at least, those of other decisions among them.
    """

    decision: str
    question: str
    asked: bool
    asked_only_where: str
    answer: str | None
    at_least: str | None
    could_become: str | None
    decided_by: list[str]
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
    told = book.teller(case.moment)
    inputs = told.decisions.inputs
    return [
        {
            "lesion_id": lesion.lesion_id,
            "presumed": [f"{inputs[name].label}: {run.known[name]}" for name in run.presumed],
            "decisions": [_Arguing(told, run).decision(one.node) for one in told.decisions.compiled],
        }
        for lesion, run in zip(case.lesions, book.runs(case), strict=True)
    ]


class _Arguing:
    """The argument of one run."""

    def __init__(self, teller: Teller, run: Run) -> None:
        self._tell, self._run = teller, run
        self._silent = {rule.id for decision in run.hits for rule in teller.silent(run, decision)}
        self._outranked: Mapping[str, Outranking] = {one.rule.id: one for one in outrankings(teller.decisions, run)}

    def decision(self, node: DecisionNode) -> DecisionArgument:
        found, hits = self._run.ranges.get(node.name), self._run.hits.get(node.name)
        outcomes = [] if hits is None else list(zip(hits.rules, hits.outcomes, strict=True))
        argued = [self._argued(rule, outcome, node) for rule, outcome in outcomes]
        ranks = {rule.id: _rank(node, rule) for rule, _ in outcomes}
        return {
            "decision": node.name,
            "question": node.question,
            "asked": hits is not None,
            "asked_only_where": "; ".join(f"{name} is {' or '.join(codes)}" for name, codes in node.given.items()),
            "answer": found.answer if found else None,
            "at_least": found.at_least if found else None,
            "could_become": found.could_become if found else None,
            "decided_by": deciding(self._tell.decisions, node.name, self._run) if found else [],
            "rules": sorted(argued, key=lambda one: (_ORDER.index(one["standing"]), -ranks[one["rule"]])),
        }

    def _argued(self, rule: Rule, outcome: int, node: DecisionNode) -> Argued:
        run, above = self._run, self._outranked.get(rule.id)
        is_open = outcome == Outcome.UNKNOWN
        return {
            "rule": rule.id,
            "title": rule.title,
            "standing": "silent" if rule.id in self._silent else _standing(outcome, node, above),
            "says": _said(rule, node),
            "findings": self._tell.outlined([rule], run)[0]["because"],
            "outranked_by_answer": above.answer if above else "",
            "outranked_by": [one.id for one in above.by] if above else [],
            "needs": needs(rule, run.known, self._tell.decisions.inputs) if is_open else [],
            "evidence": rule.evidence.certainty,
            "measured": _measured(rule, run.known.get("species")),
        }


_ORDER: Sequence[Standing] = ("decides", "holds", "silent", "outranked", "open", "fails")


def _standing(outcome: int, node: DecisionNode, above: Outranking | None) -> Standing:
    if outcome != Outcome.HOLDS:
        return "open" if outcome == Outcome.UNKNOWN else "fails"
    if node.hit_policy != "priority":
        return "holds"  # a caution that is outranked as a verdict is given all the same
    return "outranked" if above else "decides"


def _measured(rule: Rule, species: Any) -> str:
    evidence = rule.evidence
    return measured_for(evidence.told(direct=evidence.direct_for(species))) if evidence.citations else NO_SOURCE


def _rank(node: DecisionNode, rule: Rule) -> int:
    """How cautious the answer of a ladder's own rule is; 0 for any other rule."""
    return node.rank(rule.conclude[node.concludes]) if node.hit_policy == "priority" else 0


def _said(rule: Rule, node: DecisionNode) -> str:
    """What a rule says, in the words of its decision, without the last full stop."""
    parts = [(key, value, node.fields.get(key, {})) for key, value in rule.conclude.items()]
    return "; ".join(_part(*one) for one in parts if not one[2].get("limit_of")).rstrip(".")


def _part(key: str, value: Any, field: Mapping[str, Any]) -> str:
    if isinstance(value, str):
        return str(field.get("one_of", {}).get(value, value))
    said = f"{value['low']:g} to {value['high']:g}" if isinstance(value, dict) else f"{value:g}"
    return f"{key.replace('_', ' ')} {said}"
