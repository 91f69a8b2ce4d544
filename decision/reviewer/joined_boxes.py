"""One ladder of two rule folders as boxes over one set of cells, so that its answers can be held against each other.

A ladder that is asked only under some answers of an earlier one is compared where both folders ask it. What it reads
of an earlier ladder is followed to the cases in which that answers so, in each folder by its own rules.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterator, Mapping, Sequence

from decision.decision_node import DecisionNode
from decision.rule_folder import RuleFolder
from decision.verification.answer_boxes import AnswerBoxes, Cover, Ladder
from decision.verification.box_cover import gaps
from decision.verification.cells import Cells
from decision.verification.rule_boxes import RuleBoxes, cells_of
from decision.vocabulary import Input, Vocabulary

__all__ = ["JoinedBoxes", "comparable"]

Given = Mapping[str, Sequence[str]]  # the answers of earlier ladders, by ladder


@dataclasses.dataclass(frozen=True, slots=True)
class JoinedBoxes:
    """One ladder of two folders over the same cells."""

    name: str
    cells: Cells
    before: AnswerBoxes
    after: AnswerBoxes

    @classmethod
    def of(cls, before: RuleFolder, after: RuleFolder, name: str) -> JoinedBoxes:
        """Cut the inputs by the tests of both folders, and make the boxes of both."""
        wanted = _behind(before, name) | _behind(after, name)
        vocabulary = _joined(before.vocabulary, after.vocabulary)
        folders = [_view(folder, wanted, vocabulary) for folder in (before, after)]
        cells = cells_of(folders)
        answers = [AnswerBoxes(folder, RuleBoxes(folder, cells)) for folder in folders]
        return cls(name, cells, *answers)

    @property
    def node(self) -> DecisionNode:
        """The ladder."""
        return self.after.nodes[self.name]

    def less_cautious(self) -> Iterator[Cover]:
        """Where the second ladder is less cautious: sub-boxes, each with the rule by which the first one was not."""
        return self._above(self.before, self.after)

    def more_cautious(self) -> Iterator[Cover]:
        """Where the second ladder is more cautious: sub-boxes, each with the rule by which it is."""
        return self._above(self.after, self.before)

    def _above(self, higher: AnswerBoxes, lower: AnswerBoxes) -> Iterator[Cover]:
        """Where one ladder is more cautious, by each rule where no more cautious one of its own folder holds."""
        nodes = higher.nodes[self.name], lower.nodes[self.name]
        for given, other in itertools.product(higher.givens(nodes[0]), lower.givens(nodes[1])):
            ladders = _under(given, higher, self.name), _under(other, lower, self.name)
            for piece, rule in _higher(*ladders, self.cells):
                for part in _where(higher, self.name, given, piece):
                    yield from ((one, rule) for one in _where(lower, self.name, other, part))


def comparable(before: RuleFolder, after: RuleFolder) -> tuple[list[str], list[str]]:
    """The ladders of two folders that can be compared by boxes, and those that cannot.

    A ladder can be where both folders have it with the same answers, and with the same answers and numbers of whatever
    it rests on.
    """
    ladders = [node.name for node in after.decisions if node.answers]
    same = [name for name in ladders if _told(before, name) == _told(after, name)]
    return same, [name for name in ladders if name not in same]


def _told(folder: RuleFolder, name: str) -> dict[str, list[str]]:
    """What a ladder and the decisions behind it tell others: answers, and numbers of a plan."""
    behind = [node for node in folder.decisions if node.name in _behind(folder, name)]
    return {node.name: [*node.answers, *node.as_inputs()] for node in behind if node.as_inputs()}


def _under(given: Given, answers: AnswerBoxes, name: str) -> Ladder:
    """A ladder where earlier ones answer so: what its boxes ask of them is met, or the box is not there."""
    cells, ladder, asked = answers.boxes.cells, answers.ladders[name], answers.with_answers(given)
    hits = [
        dataclasses.replace(
            hit,
            boxes=tuple(cells.freed(box, given) for box in hit.boxes if cells.rows.holds_a_case(box & asked)),
        )
        for hit in ladder.hits
    ]
    return dataclasses.replace(ladder, hits=tuple(hits))


def _higher(higher: Ladder, lower: Ladder, cells: Cells) -> Iterator[Cover]:
    for hit in higher.hits:
        covers = [box for box, _ in (*lower.from_rank(hit.rank), *higher.from_rank(hit.rank + 1))]
        for box in hit.boxes:
            yield from ((piece, hit.rule) for piece in gaps(cells.rows, box, covers))


def _where(answers: AnswerBoxes, name: str, given: Given, piece: int) -> Iterator[int]:
    """The parts of a box in which the earlier ladders answer so; nothing is said of them any more."""
    cells = answers.boxes.cells
    box = piece & answers.with_answers(given)
    return (cells.freed(part, given) for part in answers.asked(answers.nodes[name], box))


def _behind(folder: RuleFolder, name: str) -> set[str]:
    """A ladder and the decisions that it requires, through others too."""
    found = {name}
    for node in reversed(folder.decisions):
        if node.name in found:
            found |= set(node.requires)
    return found


def _view(folder: RuleFolder, wanted: set[str], vocabulary: Vocabulary) -> RuleFolder:
    """A folder with some of its decisions, over another vocabulary."""
    decisions = tuple(node for node in folder.decisions if node.name in wanted)
    rules = {node.name: folder.rules[node.name] for node in decisions}
    return dataclasses.replace(folder, decisions=decisions, rules=rules, vocabulary=vocabulary)


def _joined(before: Vocabulary, after: Vocabulary) -> Vocabulary:
    """What either vocabulary knows; where both know an input, every value that either allows."""
    inputs: dict[str, Input] = {**before.inputs, **after.inputs}
    for name in before.inputs.keys() & after.inputs.keys():
        was, now = before.inputs[name], after.inputs[name]
        allowed: Mapping[str, str] = {**was.allowed, **now.allowed}
        low, high = min(was.low, now.low), max(was.high, now.high)
        inputs[name] = dataclasses.replace(now, allowed=allowed, low=low, high=high)
    return Vocabulary(inputs, {**before.groups, **after.groups}, after.fresh_days)
