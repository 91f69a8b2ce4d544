"""Claims about the rules of a decision: that some boxes cover a region, and what it means where they do not.

Where the boxes leave a gap the claim fails in every case of it. Where one covers, the rule of that box holds. Both can
be heard from the production engine, which knows nothing of boxes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.verification.answer_boxes import Cover
from decision.verification.case_search import FullCase
from decision.verification.witness import Heard, Witness
from decision.vocabulary import Value

__all__ = ["Answered", "Apart", "Claim", "Ruling", "Steady"]


@dataclass(frozen=True, slots=True)
class Ruling:
    """Whether a claim fails in a case, what the engine said of it, and the case before it where two are compared."""

    fails: bool
    heard: Heard
    before: FullCase | None = None


@dataclass(frozen=True, slots=True)
class Answered:
    """In every case of the region in which the decision is asked, one of its rules holds."""

    node: DecisionNode
    region: int
    covers: Sequence[Cover]
    rules: Sequence[Rule]
    about: str

    def ruled(self, case: FullCase, witness: Witness) -> Ruling:
        """Fails when no rule answers."""
        heard = witness.hear(case, self.node.moments[0])
        silent = heard.holding.isdisjoint(rule.id for rule in self.rules)
        return Ruling(self.node.name in heard.asked and silent, heard)

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

    def ruled(self, case: FullCase, witness: Witness) -> Ruling:
        """Fails when both rules hold."""
        heard = witness.hear(case, self.node.moments[0])
        return Ruling(heard.holding.issuperset(rule.id for rule in self.rules), heard)

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

    def ruled(self, case: FullCase, witness: Witness) -> Ruling:
        """Fails when the rule held before the step and the answer after it is less cautious."""
        moment = self.node.moments[0]
        heard = witness.hear(case, moment)
        if self.node.name not in heard.asked or self.node.rank(heard.at_least[self.node.name]) >= self.rank:
            return Ruling(False, heard)
        earlier = witness.before_step(case, self.name, self.before, self.rule)
        held = earlier is not None and self.rule.id in witness.hear(earlier, moment).holding
        return Ruling(held, heard, earlier)

    def shows(self) -> str:
        """What a gap shows."""
        steps = f" from {_word(self.before)} to {_word(self.after)}" if self.before != self.after else ""
        return f"{self.rule.name} held, {self.name} moves up in risk{steps}, and no rule as cautious holds after it."


Claim: TypeAlias = Answered | Apart | Steady


def _word(value: Value | None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
