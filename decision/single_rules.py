"""What is asked of each rule by itself: that it can hold, that it stands once; and which rules never have a say."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from decision.answer_boxes import AnswerBoxes
from decision.box_cover import gaps
from decision.decision_node import DecisionNode
from decision.examination import Check, Counterexample
from decision.rule import Rule
from decision.witness import Witness

__all__ = ["can_hold", "never_asked", "never_decide", "stand_once"]


def can_hold(node: DecisionNode, answers: AnswerBoxes, witness: Witness) -> Check:
    """Each rule holds in some case, and in one of them the production engine says so too."""
    before, never, unshown, differing = witness.asked, [], 0, []
    rules = answers.rules[node.name]
    for rule in rules:
        if not answers.boxes.of(rule):
            never.append(Counterexample(node.name, "can hold", f"{rule.name} can never hold.", {}, {}))
            continue
        part = next(_asked(node, rule, answers), None)
        case = None if part is None else witness.case_in(part)
        if part is not None and case is None:
            unshown += 1
        elif case is not None and rule.id not in witness.hear(case).holding:
            differing.append(f"{rule.id} should hold in {case}.")
    return Check(
        "can hold",
        claims=len(rules),
        pieces=len(rules),
        replayed=witness.asked - before,
        counterexamples=tuple(never),
        unshown=unshown,
        differing=tuple(differing),
    )


def stand_once(node: DecisionNode, answers: AnswerBoxes) -> Check:
    """No two rules conclude the same in the same cases."""
    found, pairs = [], 0
    for one, other in itertools.combinations(answers.rules[node.name], 2):
        if one.conclude != other.conclude:
            continue
        pairs += 1
        if answers.boxes.of(one) and _within(one, other, answers) and _within(other, one, answers):
            shows = f"{one.name} and {other.name} hold in the same cases and conclude the same."
            found.append(Counterexample(node.name, "no duplicate", shows, {}, {}))
    return Check("no duplicate", claims=pairs, counterexamples=tuple(found))


def never_decide(node: DecisionNode, answers: AnswerBoxes) -> list[Rule]:
    """The rules that bring a ladder an answer and beside which a more cautious one always holds."""
    if node.name not in answers.ladders:
        return []
    ladder, rows = answers.ladders[node.name], answers.boxes.cells.rows
    found = []
    for hit in ladder.hits:
        higher = [box for box, _ in ladder.from_rank(hit.rank + 1)]
        parts = (part for box in hit.boxes for part in answers.asked(node, box))
        asked = next(parts, None)
        if asked is None:
            continue
        if all(next(gaps(rows, part, higher), None) is None for part in itertools.chain([asked], parts)):
            found.append(hit.rule)
    return found


def never_asked(node: DecisionNode, answers: AnswerBoxes) -> list[Rule]:
    """The rules that could hold only where their decision is not asked."""
    return [
        rule
        for rule in answers.rules[node.name]
        if answers.boxes.of(rule) and next(_asked(node, rule, answers), None) is None
    ]


def _asked(node: DecisionNode, rule: Rule, answers: AnswerBoxes) -> Iterator[int]:
    return (part for box in answers.boxes.of(rule) for part in answers.asked(node, box))


def _within(one: Rule, other: Rule, answers: AnswerBoxes) -> bool:
    covers = answers.boxes.of(other)
    return all(next(gaps(answers.boxes.cells.rows, box, covers), None) is None for box in answers.boxes.of(one))
