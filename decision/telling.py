"""Tell what a run found, decision by decision: a ladder's answer, steps, milestones, each with its reasons.

The parts that every answer is made of, before the freeze, during it and after it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence

from decision.calendar import milestones
from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run
from decision.evaluator import Outcome
from decision.explanation import Explainer
from decision.public_holidays import PublicHolidays
from decision.questions import Asker
from decision.recommendation import CalendarFigure, Milestone, OpenRule, Question, Reason, Review, Step
from decision.recommendation import Presumed as PresumedFact
from decision.rule import Rule

__all__ = ["Teller"]


class Teller:
    """Tells the decisions of one moment, with the words of every rule prepared."""

    def __init__(self, decisions: Decisions) -> None:
        """Prepare the words."""
        self.decisions = decisions
        self._explainer = Explainer(decisions)
        self._asker = Asker(decisions)
        self.nodes: dict[str, DecisionNode] = {one.node.name: one.node for one in decisions.compiled}

    def holding(self, run: Run, decision: str) -> list[Rule]:
        """The rules of a decision that hold; none where it was not asked."""
        return run.hits[decision].having(Outcome.HOLDS) if decision in run.hits else []

    def reasons(self, rules: Sequence[Rule], run: Run) -> list[Reason]:
        """Why, for each rule."""
        return [self._explainer.reason(rule, run.known) for rule in rules]

    def ladder(self, run: Run, name: str) -> Review:
        """The answer of a ladder: what stands, its range, and every rule that holds, the most cautious first."""
        node, found = self.nodes[name], run.ranges[name]
        holding = [
            (node.rank(answer), rule)
            for answer, rule, outcome in self.decisions.rated(name, run.hits)
            if outcome == Outcome.HOLDS
        ]
        holding.sort(key=lambda one: -one[0])
        return {
            "answer": found.answer,
            "settled": found.settled,
            "at_least": found.at_least,
            "could_become": found.could_become,
            "summary": _summary(node, found.answer, found.could_become, settled=found.settled),
            "reasons": self.reasons([rule for _, rule in holding], run),
        }

    def steps(self, run: Run, decision: str) -> list[Step]:
        """The statements of a decision that collects steps; what holds around every patient, by topic, stands last."""
        rules = sorted(self.holding(run, decision), key=lambda rule: bool(rule.topics))
        return [self._step(rule, run) for rule in rules]

    def milestones(
        self, run: Run, decision: str, frozen_on: datetime.date, holidays: PublicHolidays
    ) -> list[Milestone]:
        """The milestones of a decision that collects days."""
        if decision not in run.hits:
            return []
        words = self.nodes[decision].fields["milestone"]["one_of"]
        stated = [(rule.conclude, self._figure(rule, run)) for rule in self.holding(run, decision)]
        return milestones(stated, words, frozen_on, holidays)

    def questions(self, run: Run) -> list[Question]:
        """What to ask next."""
        return self._asker.questions(run)

    def presumed(self, run: Run) -> list[PresumedFact]:
        """What was presumed, and what it could change."""
        return self._asker.presumed(run)

    def outlined(self, rules: Iterable[Rule], run: Run) -> list[OpenRule]:
        """Rules with their findings, whatever became of them."""
        return self._explainer.outlined(rules, run.known)

    def _step(self, rule: Rule, run: Run) -> Step:
        step: Step = {
            "step": rule.conclude["step"],
            "detail": rule.conclude["detail"],
            "reasons": self.reasons([rule], run),
        }
        if "kind" in rule.conclude:
            step["kind"] = rule.conclude["kind"]
        return step

    def _figure(self, rule: Rule, run: Run) -> CalendarFigure:
        return {
            "basis": "published" if rule.evidence.citations else "common practice, no source",
            "from_day": rule.conclude["from_day"],
            "to_day": rule.conclude["to_day"],
            "reasons": self.reasons([rule], run),
        }


def _summary(node: DecisionNode, answer: str | None, could_become: str | None, *, settled: bool) -> str:
    if answer is None:
        return "No verdict yet: what is stated does not settle it. Silence is never permission."
    said = node.answers[answer]
    if settled or could_become is None:
        return f"{said[0].upper()}{said[1:]}."
    return f"{said[0].upper()}{said[1:]}, at the least; it could become: {node.answers[could_become]}."
