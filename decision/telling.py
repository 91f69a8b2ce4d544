"""Tell what a run found, decision by decision: a ladder's answer, steps, milestones, each with its reasons.

The parts that every answer is made of, before the freeze, during it and after it.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from decision.calendar import milestones
from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run
from decision.evaluator import chosen
from decision.explanation import Explainer
from decision.public_holidays import PublicHolidays
from decision.questions import Asker
from decision.recommendation import CalendarFigure, Milestone, OpenRule, Question, Reason, Review, Step
from decision.recommendation import Presumed as PresumedFact
from decision.rule import Rule
from decision.spoken import Spoken, reasons_of
from decision.written import Keep, as_data

__all__ = ["NOT_NOW", "Teller"]

Statement = TypeVar("Statement")
NOT_NOW = "not_now"  # the field of a step before which nothing may be frozen


class Teller:
    """Tells the decisions of one moment, with the words of every rule prepared."""

    def __init__(self, decisions: Decisions, keep: Keep[Any] = as_data) -> None:
        """Prepare the words; parts that many answers share are kept by `keep`."""
        self.decisions = decisions
        self._explainer = Explainer(decisions, keep)
        self._spoken = Spoken(decisions)
        self._asker = Asker(decisions, self._spoken, keep)
        self.nodes: dict[str, DecisionNode] = {one.node.name: one.node for one in decisions.compiled}

    def holding(self, run: Run, decision: str) -> list[Rule]:
        """The rules of a decision that hold; none where it was not asked."""
        return run.hits[decision].held if decision in run.hits else []

    def told(self, run: Run, decision: str) -> list[Rule]:
        """The rules of a decision that hold and are told beside the answers that stand."""
        hits = run.hits.get(decision)
        return chosen(hits.holding & ~self._spoken.untold(run, decision), hits.rules) if hits else []

    def silent(self, run: Run, decision: str) -> list[Rule]:
        """The rules of a decision that hold and say nothing beside the answers that stand."""
        hits = run.hits.get(decision)
        return chosen(hits.holding & self._spoken.untold(run, decision), hits.rules) if hits else []

    def reasons(self, rules: Sequence[Rule], run: Run) -> list[Reason]:
        """Why, for each rule."""
        reason, known = self._explainer.reason, run.known
        return [reason(rule, known) for rule in rules]

    def statements(
        self, rules: Iterable[Rule], run: Run, say: Callable[[Rule, list[Reason]], Statement]
    ) -> list[Statement]:
        """What each rule says, with its reason; see `Explainer.statement`."""
        statement, known = self._explainer.statement, run.known
        return [statement(rule, known, say) for rule in rules]

    def ladder(self, run: Run, name: str) -> Review:
        """The answer of a ladder: what stands, its range, and the rules that are reasons, the most cautious first."""
        node, found = self.nodes[name], run.ranges[name]
        ladder = self.decisions.ladders[name]
        holding = reasons_of(ladder, ladder.holding(run.hits))
        return {
            "answer": found.answer,
            "settled": found.settled,
            "at_least": found.at_least,
            "could_become": found.could_become,
            "summary": _summary(node, found.answer, found.could_become, settled=found.settled),
            "reasons": self.reasons(holding, run),
        }

    def steps(self, run: Run, decision: str) -> list[Step]:
        """The statements of a decision that collects steps.

        First what nothing may be frozen before; what else holds around every patient, by topic, stands last.
        """
        rules = self.not_now(run, decision)
        rest = [rule for rule in self.holding(run, decision) if NOT_NOW not in rule.conclude]
        rules += sorted(rest, key=lambda rule: bool(rule.topics))
        return self.statements(rules, run, _step)

    def not_now(self, run: Run, decision: str) -> list[Rule]:
        """The rules of a decision by which nothing may be frozen as things stand, the dangers to people first."""
        rules = [rule for rule in self.holding(run, decision) if NOT_NOW in rule.conclude]
        return sorted(rules, key=lambda rule: not rule.topics)

    def milestones(
        self,
        run: Run,
        decision: str,
        frozen_on: datetime.date,
        holidays: PublicHolidays,
        as_of: datetime.date | None = None,
    ) -> list[Milestone]:
        """The milestones of a decision that collects days, as far as they are not over; see `milestones`."""
        if decision not in run.hits:
            return []
        words = self.nodes[decision].fields["milestone"]["one_of"]
        rules = self.holding(run, decision)
        figures = self.statements(rules, run, _figure)
        stated = [(rule.conclude, figure) for rule, figure in zip(rules, figures, strict=True)]
        return milestones(stated, words, frozen_on, holidays, as_of)

    def questions(self, run: Run) -> list[Question]:
        """What to ask next."""
        return self._asker.questions(run)

    def presumed(self, run: Run) -> list[PresumedFact]:
        """What was presumed, and what it could change."""
        return self._asker.presumed(run)

    def outlined(self, rules: Iterable[Rule], run: Run) -> list[OpenRule]:
        """Rules with their findings, whatever became of them."""
        return self._explainer.outlined(rules, run.known)


def _step(rule: Rule, reasons: list[Reason]) -> Step:
    step: Step = {"step": rule.conclude["step"], "detail": rule.conclude["detail"], "reasons": reasons}
    if NOT_NOW in rule.conclude:
        step["not_now"] = rule.conclude[NOT_NOW]
    if "kind" in rule.conclude:
        step["kind"] = rule.conclude["kind"]
    return step


def _figure(rule: Rule, reasons: list[Reason]) -> CalendarFigure:
    return {
        "basis": "published" if rule.evidence.citations else "common practice, no source",
        "from_day": rule.conclude["from_day"],
        "to_day": rule.conclude["to_day"],
        "reasons": reasons,
    }


def _summary(node: DecisionNode, answer: str | None, could_become: str | None, *, settled: bool) -> str:
    if answer is None:
        return "No verdict yet: what is stated does not settle it. Silence is never permission."
    said = node.answers[answer]
    if settled or could_become is None:
        return f"{said[0].upper()}{said[1:]}."
    return f"{said[0].upper()}{said[1:]}, at the least; it could become: {node.answers[could_become]}."
