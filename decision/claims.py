"""Claims about the rules of a decision: that some boxes cover a region, and what it means where they do not.

Where the boxes leave a gap the claim fails in every case of it. Where one covers, the rule of that box holds. Both can
be heard from the production engine, which knows nothing of boxes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from decision.answer_boxes import Cover
from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.vocabulary import Value
from decision.witness import FullCase, Heard

__all__ = ["Answered", "Apart", "Claim", "Steady"]

Hear: TypeAlias = Callable[[FullCase, str], Heard]  # of a case at a moment


@dataclass(frozen=True, slots=True)
class Answered:
    """In every case of the region in which the decision is asked, one of its rules holds."""

    node: DecisionNode
    region: int
    covers: Sequence[Cover]
    rules: Sequence[Rule]
    about: str

    def fails(self, case: FullCase, hear: Hear) -> tuple[bool, Heard]:
        """Whether no rule answers, and what the engine said."""
        heard = hear(case, self.node.moments[0])
        silent = heard.holding.isdisjoint(rule.id for rule in self.rules)
        return self.node.name in heard.asked and silent, heard

    def shows(self) -> str:
        """What a gap shows."""
        return f"no rule of {self.about} holds."


@dataclass(frozen=True, slots=True)
class Apart:
    """Two rules that give one quantity different values never hold together."""

    node: DecisionNode
    region: int
    covers: Sequence[Cover]
    rules: tuple[Rule, Rule]
    quantity: str

    def fails(self, case: FullCase, hear: Hear) -> tuple[bool, Heard]:
        """Whether both rules hold, and what the engine said."""
        heard = hear(case, self.node.moments[0])
        return heard.holding.issuperset(rule.id for rule in self.rules), heard

    def shows(self) -> str:
        """What a gap shows."""
        one, other = self.rules
        said = f"{one.name} says {one.conclude[self.quantity]}, {other.name} says {other.conclude[self.quantity]}"
        return f"{self.quantity} has two values: {said}."


@dataclass(frozen=True, slots=True)
class Steady:
    """Where a rule of a ladder held and one input moves up in risk, some rule holds that is as cautious.

    The region holds the cases after the step; before it the input had the value `before`.
    """

    node: DecisionNode
    region: int
    covers: Sequence[Cover]
    rule: Rule
    rank: int
    name: str
    before: Value | None
    after: Value | None

    def fails(self, case: FullCase, hear: Hear) -> tuple[bool, Heard]:
        """Whether the answer falls under the rule's, and what the engine said after the step.

        A step of a computed quantity cannot be stated, so it is never shown to fail.
        """
        moment = self.node.moments[0]
        if self.name not in case:
            return False, hear(case, moment)
        first, heard = hear({**case, self.name: self.before}, moment), hear(case, moment)
        left = self.node.rank(heard.at_least[self.node.name]) < self.rank
        return self.rule.id in first.holding and self.node.name in heard.asked and left, heard

    def shows(self) -> str:
        """What a gap shows."""
        step = f"{self.name} from {_word(self.before)} to {_word(self.after)}"
        return f"{self.rule.name} held, {step} is a step up in risk, and no rule as cautious holds after it."


Claim: TypeAlias = Answered | Apart | Steady


def _word(value: Value | None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
