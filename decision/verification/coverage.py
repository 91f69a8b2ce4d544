"""What must be covered: answers where a decision is asked, and no conflict where a quantity has one value."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.verification.answer_boxes import AnswerBoxes, Ladder
from decision.verification.claims import Answered, Apart

__all__ = ["answered", "apart", "must_answer", "quantities_given"]


def must_answer(node: DecisionNode, ladders: Mapping[str, Ladder]) -> bool:
    """Whether silence of a decision is a fault.

    A ladder and a plan must answer. So must statements that are made only where freezing is forbidden: no refusal
    leaves a vet without another way. Other statements are made where they apply.
    """
    if node.hit_policy != "collect":
        return True
    forbidding = [(ladders[name].node, codes) for name, codes in node.given.items() if name in ladders]
    return any(
        ladder.stands_unsettled_from
        and all(ladder.rank(code) >= ladder.rank(ladder.stands_unsettled_from) for code in codes)
        for ladder, codes in forbidding
    )


def answered(node: DecisionNode, answers: AnswerBoxes) -> Iterator[Answered]:
    """The claims that a decision answers in every case in which it is asked.

    A quantity of a plan is wanted wherever some rule gives it under the same answers of the ladders it reads.
    """
    if not must_answer(node, answers.ladders):
        return
    for given in answers.givens(node):
        under = "".join(f", {name} {codes[0]}" for name, codes in given.items() if len(codes) == 1)
        regions = list(answers.asked(node, answers.with_answers(given)))
        for about, rules in _wanted(node, answers.rules[node.name]):
            if node.quantities and not _gives(rules, given, answers):
                continue
            covers = [(box, rule) for rule in rules for box in answers.boxes.of(rule)]
            for region in regions:
                yield Answered(node, region, covers, rules, about + under)


def apart(node: DecisionNode, answers: AnswerBoxes) -> Iterator[Apart]:
    """The claims that no quantity of a plan has two values."""
    if node.hit_policy != "unique":
        return
    rows = answers.boxes.cells.rows
    for one, other in itertools.combinations(answers.rules[node.name], 2):
        for quantity in one.conclude.keys() & other.conclude.keys():
            if one.conclude[quantity] == other.conclude[quantity]:
                continue
            shared = (a & b for a in answers.boxes.of(one) for b in answers.boxes.of(other))
            for box in (box for box in shared if rows.holds_a_case(box)):
                for part in answers.asked(node, box):
                    yield Apart(node, part, [], (one, other), quantity)


def quantities_given(node: DecisionNode, answers: AnswerBoxes) -> dict[str, list[str]]:
    """For each quantity of a plan, the answers of earlier ladders under which some rule gives it."""
    return {
        quantity: [
            " ".join(codes[0] for codes in given.values() if len(codes) == 1)
            for given in answers.givens(node)
            if _gives(rules, given, answers)
        ]
        for quantity, rules in _wanted(node, answers.rules[node.name])
        if node.quantities
    }


def _wanted(node: DecisionNode, rules: Sequence[Rule]) -> Iterator[tuple[str, Sequence[Rule]]]:
    """What a decision must answer, with the rules that do."""
    if not node.quantities:
        yield node.name, rules
    for quantity in node.quantities:
        yield quantity, [rule for rule in rules if quantity in rule.conclude]


def _gives(rules: Sequence[Rule], given: Mapping[str, Sequence[str]], answers: AnswerBoxes) -> bool:
    """Whether some rule can hold under these answers, by its own tests."""
    whole, rows = answers.with_answers(given), answers.boxes.cells.rows
    return any(rows.holds_a_case(box & whole) for rule in rules for box in answers.boxes.of(rule))
