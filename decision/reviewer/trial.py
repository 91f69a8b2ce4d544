"""Ask the production engine what a ladder answers when some facts of a lesion are others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from decision.case import Case, Lesion
from decision.decisions import Decisions, LadderRange, Run
from decision.evaluator import Outcome
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.vocabulary import Value

__all__ = ["Trial", "Tried"]

LADDER = "suitability"


@dataclass(frozen=True, slots=True)
class Tried:
    """What the engine found for one lesion with some facts changed."""

    run: Run
    range: LadderRange


class Trial:
    """The decisions that a verdict rests on, ready to be asked often."""

    def __init__(self, book: RuleBook) -> None:
        """Compile the ladder and what it requires, for both means of matching."""
        folder = book.folder
        self.folder = folder
        self._book = book
        self.node = next(node for node in folder.decisions if node.name == LADDER)
        wanted = {LADDER, *self.node.requires}
        self.decisions = Decisions(folder, [node.name for node in folder.decisions if node.name in wanted])

    def ask(self, case: Case, lesion: Lesion, changed: Mapping[str, Value]) -> Tried:
        """Run the decisions with some facts of a lesion changed.

        Raises:
            MatcherFault: The two means of matching differ.
        """
        moved = lesion._replace(stated={**lesion.stated, **changed})
        run = self.decisions.run(self._book.facts_of(case, moved))
        return Tried(run, run.ranges[LADDER])

    def possible(self, case: Case, lesion: Lesion, changed: Mapping[str, Value]) -> bool:
        """Whether a lesion can have these facts: nothing stated would then contradict anything else stated."""
        return not self.folder.contradictions.among({**case.stated, **lesion.stated, **changed})

    def rated(self, run: Run) -> Iterator[tuple[int, Rule, int]]:
        """Each rule that brings the ladder an answer, held or open or failed: how cautious it is, and its outcome."""
        outcomes = {
            rule.id: outcome
            for hits in run.hits.values()
            for rule, outcome in zip(hits.rules, hits.outcomes, strict=True)
        }
        for answer, rule in self.entries():
            if rule.id in outcomes:
                yield self.node.rank(answer), rule, outcomes[rule.id]

    def entries(self) -> Iterator[tuple[str, Rule]]:
        """Each rule that can bring the ladder an answer, with the answer."""
        return self.decisions.ladders[LADDER].entries()

    def deciding(self, run: Run) -> list[Rule]:
        """The rules that hold and bring the answer that stands at least."""
        at_least = self.node.rank(run.ranges[LADDER].at_least)
        return [rule for rank, rule, outcome in self.rated(run) if outcome == Outcome.HOLDS and rank == at_least]
