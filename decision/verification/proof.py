"""Prove what can be proved about a rule folder, exactly, and say over how many cells and boxes.

For each decision: it answers wherever it is asked, no quantity of a plan has two values, each rule can hold, no rule
stands twice, no answer of a ladder falls or goes silent when a risk rises; and over all, learning more never leaves a
ladder's range. The first ones are proved by box cover (box_cover.py) over every fully stated case. That a limit is
clinically right cannot be proved.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

from decision.decision_node import DecisionNode
from decision.rule_book import RuleBook
from decision.verification.answer_boxes import AnswerBoxes
from decision.verification.coverage import answered, apart, must_answer, quantities_given
from decision.verification.direction import steady
from decision.verification.examination import Check, Counterexample, examine
from decision.verification.learning import LEARNING, learned
from decision.verification.rule_boxes import RuleBoxes
from decision.verification.single_rules import CAN_HOLD, STAND_ONCE, can_hold, never_asked, never_decide, stand_once
from decision.verification.witness import Witness

__all__ = ["CHECKS", "DecisionProof", "Proof", "prove"]

SEED = 20261124
ANSWERS, APART, STEADY = "always answers", "no conflict", "cautious direction"
CHECKS = (ANSWERS, APART, CAN_HOLD, STAND_ONCE, STEADY, LEARNING)


@dataclass(frozen=True, slots=True)
class DecisionProof:
    """What was proved about one decision, over how many boxes and cells."""

    decision: str
    rules: int
    boxes: int
    cells: int
    free: tuple[str, ...]
    checks: tuple[Check, ...]
    seconds: float

    @property
    def replayed(self) -> int:
        """Cases put to the production engine."""
        return sum(check.replayed for check in self.checks)


@dataclass(frozen=True, slots=True)
class Proof:
    """What was proved about a rule book.

    `never_decide` and `never_asked` only list: a more cautious rule always holds beside the first, and the decision of
    the second is not asked where it would hold.
    """

    decisions: tuple[DecisionProof, ...]
    never_decide: tuple[str, ...]
    never_asked: tuple[str, ...]
    quantities: dict[str, list[str]]

    @property
    def counterexamples(self) -> list[Counterexample]:
        """Every case that speaks against a check."""
        return [one for check in self._checks() for one in check.counterexamples]

    @property
    def differing(self) -> list[str]:
        """Where the production engine contradicted the boxes."""
        return [one for check in self._checks() for one in check.differing]

    @property
    def holds(self) -> bool:
        """Whether every check was proved."""
        return all(check.proved for check in self._checks())

    def _checks(self) -> Iterator[Check]:
        return (check for one in self.decisions for check in one.checks)


def prove(book: RuleBook) -> Proof:
    """Prove what can be proved about the rules of a book.

    Args:
        book: A loaded rule book; it answers the cases that are replayed.

    Returns:
        The proof, the same for the same book. It may hold counterexamples.
    """
    boxes = RuleBoxes(book.folder)
    answers, witness = AnswerBoxes(book.folder, boxes), Witness(book, boxes, SEED)
    nodes = book.folder.decisions
    return Proof(
        decisions=tuple(_proved(node, book, answers, witness) for node in nodes),
        never_decide=tuple(rule.id for node in nodes for rule in never_decide(node, answers)),
        never_asked=tuple(rule.id for node in nodes for rule in never_asked(node, answers)),
        quantities={key: given for node in nodes for key, given in quantities_given(node, answers).items()},
    )


def _proved(node: DecisionNode, book: RuleBook, answers: AnswerBoxes, witness: Witness) -> DecisionProof:
    began = time.perf_counter()
    boxes = answers.boxes
    rules = answers.rules[node.name]
    read = answers.read_for(node)
    return DecisionProof(
        decision=node.name,
        rules=len(rules),
        boxes=sum(len(boxes.of(rule)) for rule in rules),
        cells=boxes.cells.count(read),
        free=tuple(name for name in boxes.free() if name in read),
        checks=tuple(_checks(node, book, answers, witness)),
        seconds=time.perf_counter() - began,
    )


def _checks(node: DecisionNode, book: RuleBook, answers: AnswerBoxes, witness: Witness) -> Iterator[Check]:
    boxes = answers.boxes
    if must_answer(node, answers.ladders):
        yield examine(ANSWERS, answered(node, answers), witness, boxes)
    if node.hit_policy == "unique":
        yield examine(APART, apart(node, answers), witness, boxes)
    yield can_hold(node, answers, witness)
    yield stand_once(node, answers)
    if node.name in answers.ladders:
        yield examine(STEADY, steady(answers.ladders[node.name], answers), witness, boxes)
        if node.stands_unsettled_from:
            yield learned(book, answers, answers.ladders[node.name], witness)
