"""Put the answer for one lesion together from what the decisions found.

Without a permission there is no method and no plan: a plan beside "do not freeze" gets followed. Cautions are always
given. Every statement carries its reasons.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from decision.applicator import APPLICATORS, fitting, wanted_diameter_mm
from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run
from decision.evaluator import Outcome
from decision.explanation import Explainer
from decision.freeze.lookup import FreezeTable
from decision.lesion_estimate import estimate_of, thaw_note, thaw_of
from decision.recommendation import (
    AlternativeStatement,
    Caution,
    LesionAnswer,
    Method,
    Plan,
    Reason,
    Status,
    Step,
    Suitability,
)
from decision.rule import Rule

__all__ = ["LesionAnswers"]

URGENCIES = ("critical", "warning", "info")


class LesionAnswers:
    """Writes answers for the lesions of a case, by one rule book."""

    def __init__(self, decisions: Decisions, table: FreezeTable) -> None:
        """Keep the decisions and the freeze table, and prepare the words."""
        self._decisions = decisions
        self._table = table
        self._nodes = {one.node.name: one.node for one in decisions.compiled}
        self._explainer = Explainer(decisions)

    def answer(self, lesion_id: str, run: Run, sizes_mm: Mapping[str, Sequence[float]], *, trace: bool) -> LesionAnswer:
        """Write the answer for one lesion."""
        suitability = self._suitability(run)
        method = self._method(run, sizes_mm)
        plan = self._plan(run, method)
        estimate = None if plan is None or method is None else estimate_of(self._table, method, plan, run.known)
        if plan is not None and estimate is not None:
            plan["thaw_s"] = thaw_of(estimate)
            plan["thaw_note"] = thaw_note(plan["thaw_s"])
        answer: LesionAnswer = {
            "lesion_id": lesion_id,
            "status": self._status(run, suitability, method, plan),
            "suitability": suitability,
            "alternatives": self._alternatives(run),
            "method": method,
            "plan": plan,
            "estimate": estimate,
            "cautions": self._cautions(run),
            "preparation": self._steps(run, "preparation"),
            "precautions": self._steps(run, "precautions"),
            "ask_next": self._explainer.questions(run),
            "presumed": self._explainer.presumed(run),
        }
        if trace:
            answer["did_not_apply"] = self._explainer.outlined(self._all(run, Outcome.FAILS), run.known)
            answer["still_open"] = self._explainer.outlined(self._all(run, Outcome.UNKNOWN), run.known)
        return answer

    def _suitability(self, run: Run) -> Suitability:
        node = self._nodes["suitability"]
        found, stated = run.ranges["suitability"], run.stated_ranges["suitability"]
        holding = [
            (node.rank(answer), rule)
            for answer, rule, outcome in self._decisions.rated("suitability", run.hits)
            if outcome == Outcome.HOLDS
        ]
        holding.sort(key=lambda one: -one[0])
        return {
            "verdict": found.answer,
            "settled": found.settled,
            "at_least": found.at_least,
            "could_become": found.could_become,
            "without_presumptions": {
                "at_least": stated.at_least,
                "could_become": stated.could_become,
            },
            "summary": _summary(node, found.answer, found.could_become, found.settled),
            "reasons": self._reasons([rule for _, rule in holding], run),
        }

    def _alternatives(self, run: Run) -> list[AlternativeStatement]:
        words = self._nodes["alternatives"].fields["what"]["one_of"] if "alternatives" in run.hits else {}
        return [
            {
                "what": rule.conclude["what"],
                "in_words": words[rule.conclude["what"]],
                "by_when": rule.conclude["by_when"],
                "reasons": self._reasons([rule], run),
            }
            for rule in self._holding(run, "alternatives")
        ]

    def _method(self, run: Run, sizes_mm: Mapping[str, Sequence[float]]) -> Method | None:
        found = run.ranges.get("method")
        if found is None or found.answer is None:
            return None
        node, applicator = self._nodes["method"], found.answer
        rules = [rule for rule in self._holding(run, "method") if rule.conclude["applicator"] == applicator]
        wanted = wanted_diameter_mm(applicator, run.known)
        at_hand = sizes_mm.get(APPLICATORS.get(applicator, ""))
        size = fitting(wanted, at_hand) if wanted is not None and at_hand is not None else None
        available = None if at_hand is None or wanted is None else size is not None
        return {
            "applicator": applicator,
            "contact_diameter_mm": size,
            "wanted_diameter_mm": wanted,
            "available": False if applicator == "none" else available,
            "summary": _method_summary(node.answers[applicator], wanted, size, available),
            "reasons": self._reasons(rules, run),
        }

    def _plan(self, run: Run, method: Method | None) -> Plan | None:
        """The plan; none when nothing at hand fits, for a plan with a wrong size would be followed."""
        if "plan" not in run.hits or method is None or method["available"] is False:
            return None
        quantities: dict[str, Any] = dict.fromkeys(self._nodes["plan"].quantities)
        rules = self._holding(run, "plan")
        for rule in rules:
            quantities.update(rule.conclude)
        plan = {**quantities, "thaw_s": None, "thaw_note": None, "reasons": self._reasons(rules, run)}
        return cast("Plan", plan)

    def _cautions(self, run: Run) -> list[Caution]:
        rules = sorted(self._holding(run, "cautions"), key=lambda rule: URGENCIES.index(rule.conclude["urgency"]))
        return [
            {
                "urgency": rule.conclude["urgency"],
                "summary": rule.conclude["summary"],
                "detail": rule.conclude["detail"],
                "reasons": self._reasons([rule], run),
            }
            for rule in rules
        ]

    def _steps(self, run: Run, decision: str) -> list[Step]:
        return [
            {
                "step": rule.conclude["step"],
                "detail": rule.conclude["detail"],
                "reasons": self._reasons([rule], run),
            }
            for rule in self._holding(run, decision)
        ]

    def _status(self, run: Run, suitability: Suitability, method: Method | None, plan: Plan | None) -> Status:
        """FHIR GuidanceResponse's words: cannot answer, answered and more would improve it, or answered."""
        if suitability["verdict"] is None:
            return "data-required"
        unsettled = not suitability["settled"] or ("method" in run.hits and method is None)
        waiting = plan is not None and any(rule for rule in run.hits["plan"].having(Outcome.UNKNOWN))
        return "data-requested" if unsettled or waiting else "success"

    def _holding(self, run: Run, decision: str) -> list[Rule]:
        return run.hits[decision].having(Outcome.HOLDS) if decision in run.hits else []

    def _all(self, run: Run, outcome: Outcome) -> list[Rule]:
        return [rule for hits in run.hits.values() for rule in hits.having(outcome)]

    def _reasons(self, rules: Sequence[Rule], run: Run) -> list[Reason]:
        return [self._explainer.reason(rule, run.known) for rule in rules]


def _summary(node: DecisionNode, verdict: str | None, could_become: str | None, settled: bool) -> str:
    if verdict is None:
        return "No verdict yet: what is stated does not settle it. Silence is never permission."
    said = node.answers[verdict]
    if settled or could_become is None:
        return f"{said[0].upper()}{said[1:]}."
    return f"{said[0].upper()}{said[1:]}, at the least; it could become: {node.answers[could_become]}."


def _method_summary(words: str, wanted: Any, size: float | None, available: bool | None) -> str:
    said = f"{words[0].upper()}{words[1:]}"
    if wanted is None:
        return f"{said}."
    would = f"{wanted['low']:g} to {wanted['high']:g} mm"
    if size is not None:
        return f"{said}, {size:g} mm across ({would} would do)."
    if available is False:
        return f"{said}, but nothing at hand fits: {would} would do."
    return f"{said}, {would} across; the sizes at hand were not stated."
