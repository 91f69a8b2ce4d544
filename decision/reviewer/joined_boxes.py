"""The rules of two folders as boxes over one set of cells, so that their answers can be held against each other.

The rules of the first folder get a name of their own, so that both sets stand side by side. Only decisions behind one
ladder are taken, and only a ladder that asks nothing a plan settles: the numbers of two plans cannot be told apart.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping

from decision.answer_boxes import AnswerBoxes, Cover, Ladder
from decision.box_cover import Rows, gaps
from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.rule_boxes import RuleBoxes
from decision.rule_folder import RuleFolder
from decision.vocabulary import Input, Vocabulary

__all__ = ["JoinedBoxes", "comparable", "original_id"]

BEFORE = "as_it_was__"


@dataclasses.dataclass(frozen=True, slots=True)
class JoinedBoxes:
    """One ladder of two folders over the same cells."""

    boxes: RuleBoxes
    before: Ladder
    after: Ladder

    @classmethod
    def of(cls, before: RuleFolder, after: RuleFolder, name: str) -> JoinedBoxes:
        """Cut the inputs by the tests of both folders, and make the boxes of both."""
        wanted = _behind(before, name) | _behind(after, name)
        vocabulary = _joined(before.vocabulary, after.vocabulary)
        first = _view(before, wanted, vocabulary, BEFORE)
        second = _view(after, wanted, vocabulary, "")
        nodes = {node.name: node for node in (*first.decisions, *second.decisions)}
        ordered = [nodes[node.name] for node in second.decisions]
        ordered = [*(node for one, node in nodes.items() if one not in second.rules), *ordered]
        rules = {one: (*first.rules.get(one, ()), *second.rules.get(one, ())) for one in nodes}
        boxes = RuleBoxes(dataclasses.replace(second, decisions=tuple(ordered), rules=rules))
        return cls(boxes, AnswerBoxes(first, boxes).ladders[name], AnswerBoxes(second, boxes).ladders[name])

    def less_cautious(self) -> Iterator[Cover]:
        """Where the second ladder is less cautious: sub-boxes, each with the rule by which the first one was not."""
        return _above(self.before, self.after, self.boxes.cells.rows)

    def more_cautious(self) -> Iterator[Cover]:
        """Where the second ladder is more cautious: sub-boxes, each with the rule by which it is."""
        return _above(self.after, self.before, self.boxes.cells.rows)


def comparable(before: RuleFolder, after: RuleFolder) -> tuple[list[str], list[str]]:
    """The ladders of two folders that can be compared by boxes, and those that cannot."""
    ladders = [node for node in after.decisions if node.answers]
    fit = [node.name for node in ladders if _fits(node.name, before) and _fits(node.name, after)]
    same = [name for name in fit if list(_node(before, name).answers) == list(_node(after, name).answers)]
    return same, [node.name for node in ladders if node.name not in same]


def original_id(rule: Rule) -> str:
    """The id of a rule in the folder that it came from."""
    return f"{rule.decision}/{rule.name.removeprefix(BEFORE)}"


def _above(higher: Ladder, lower: Ladder, rows: Rows) -> Iterator[Cover]:
    """Where one ladder is more cautious than another, by each rule where no more cautious one of its ladder holds."""
    for hit in higher.hits:
        covers = [box for box, _ in (*lower.from_rank(hit.rank), *higher.from_rank(hit.rank + 1))]
        for box in hit.boxes:
            yield from ((piece, hit.rule) for piece in gaps(rows, box, covers))


def _node(folder: RuleFolder, name: str) -> DecisionNode:
    return next(node for node in folder.decisions if node.name == name)


def _fits(name: str, folder: RuleFolder) -> bool:
    """Whether a ladder is always asked, and asks nothing that a plan settles."""
    nodes = {node.name: node for node in folder.decisions}
    behind = _behind(folder, name)
    return name in nodes and not nodes[name].given and not any(nodes[one].quantities for one in behind)


def _behind(folder: RuleFolder, name: str) -> set[str]:
    """A ladder and the decisions that it requires, through others too."""
    found = {name}
    for node in reversed(folder.decisions):
        if node.name in found:
            found |= set(node.requires)
    return found


def _view(folder: RuleFolder, wanted: set[str], vocabulary: Vocabulary, prefix: str) -> RuleFolder:
    """A folder with some of its decisions, its rules under names of their own."""
    decisions = tuple(node for node in folder.decisions if node.name in wanted)
    rules = {
        node.name: tuple(dataclasses.replace(rule, name=f"{prefix}{rule.name}") for rule in folder.rules[node.name])
        for node in decisions
    }
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
