"""What is asked of each rule by itself: that it can hold, that it stands once; and which rules never have a say."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator

from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.verification.answer_boxes import AnswerBoxes, Hit, Ladder
from decision.verification.box_cover import gaps
from decision.verification.case_search import FullCase
from decision.verification.examination import Check, Counterexample
from decision.verification.witness import Witness

__all__ = ["CAN_HOLD", "STAND_ONCE", "can_hold", "never_asked", "never_decide", "stand_once"]

CAN_HOLD, STAND_ONCE = "can hold", "stands once"

PARTS_TRIED = 1500  # sub-boxes in which a case is looked for where a rule holds and is asked


def can_hold(node: DecisionNode, answers: AnswerBoxes, witness: Witness) -> Check:
    """Each rule holds in some case, and in one of them the production engine says so too."""
    before, moment = witness.asked, node.moments[0]
    never, unshown, differing = [], [], []
    for rule in answers.rules[node.name]:
        if not answers.boxes.of(rule):
            never.append(Counterexample(node.name, CAN_HOLD, f"{rule.name} can never hold.", {}, ()))
            continue
        case = _case_of(rule, node, answers, witness)
        if case is None:
            unshown += [
                f"{rule.name} holds in no case found." for _ in itertools.islice(_asked(node, rule, answers), 1)
            ]
        elif rule.id not in witness.hear(case, moment).holding:
            differing.append(f"{rule.id} should hold in {case}.")
    many = len(answers.rules[node.name])
    return Check(
        CAN_HOLD,
        claims=many,
        pieces=many,
        replayed=witness.asked - before,
        counterexamples=tuple(never),
        unshown=tuple(unshown),
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
            found.append(Counterexample(node.name, STAND_ONCE, shows, {}, ()))
    return Check(STAND_ONCE, claims=pairs, counterexamples=tuple(found))


def never_decide(node: DecisionNode, answers: AnswerBoxes) -> list[Rule]:
    """The rules that bring a ladder an answer but never decide it.

    Something more cautious always holds beside them, or nothing ever gives the permission that they raise.
    """
    if node.name not in answers.ladders:
        return []
    ladder = answers.ladders[node.name]
    elsewhere = {rule.id for rule in never_asked(node, answers)}
    return [
        hit.rule
        for hit in ladder.hits
        if answers.boxes.of(hit.rule) and hit.rule.id not in elsewhere and not _decides(hit, ladder, answers)
    ]


def never_asked(node: DecisionNode, answers: AnswerBoxes) -> list[Rule]:
    """The rules that could hold only where their decision is not asked."""
    return [
        rule
        for rule in answers.rules[node.name]
        if answers.boxes.of(rule) and next(_asked(node, rule, answers), None) is None
    ]


def _decides(hit: Hit, ladder: Ladder, answers: AnswerBoxes) -> bool:
    """Whether in some case nothing more cautious holds beside a rule that counts there."""
    higher = [box for box, _ in ladder.from_rank(hit.rank + 1)]
    parts = (part for box in hit.boxes for part in answers.asked(ladder.node, box))
    return any(next(gaps(answers.boxes.cells.rows, part, higher), None) is not None for part in parts)


def _case_of(rule: Rule, node: DecisionNode, answers: AnswerBoxes, witness: Witness) -> FullCase | None:
    """A case in which a rule holds and its decision is asked, if one is found."""
    parts: Iterable[int] = _asked(node, rule, answers)
    if any(answers.boxes.inputs[test.input].derived for test in rule.tests):
        listed = list(parts)
        witness.chance.shuffle(listed)
        parts = itertools.cycle(listed)
    cases = (witness.case_in(part, node.moments[0]) for part in itertools.islice(parts, PARTS_TRIED))
    return next((case for case in cases if case is not None), None)


def _asked(node: DecisionNode, rule: Rule, answers: AnswerBoxes) -> Iterator[int]:
    return (part for box in answers.boxes.of(rule) for part in answers.asked(node, box))


def _within(one: Rule, other: Rule, answers: AnswerBoxes) -> bool:
    covers = answers.boxes.of(other)
    return all(next(gaps(answers.boxes.cells.rows, box, covers), None) is None for box in answers.boxes.of(one))
