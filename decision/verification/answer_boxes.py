"""Say where each ladder gives which answer, and where a decision is asked at all, as boxes.

A ladder answers with the most cautious answer that one of its own rules, or a statement that raises it, brings. A
statement raises a permission that a rule of the ladder gives; by itself it never gives one. Later decisions are asked
where the ladders they are given answered so.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.rule_folder import RuleFolder
from decision.verification.box_cover import gaps, pieces
from decision.verification.rule_boxes import RuleBoxes

__all__ = ["AnswerBoxes", "Cover", "Hit", "Ladder"]

Cover = tuple[int, Rule]  # a box, and the rule that holds in it


@dataclass(frozen=True, slots=True)
class Hit:
    """A rule that brings an answer to a ladder: how cautious it is, and where it counts."""

    rank: int
    rule: Rule
    boxes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Ladder:
    """A ladder with everything that brings it an answer. It is complete when a rule of its own always holds."""

    node: DecisionNode
    hits: tuple[Hit, ...]
    complete: bool

    def from_rank(self, rank: int) -> list[Cover]:
        """Where its answer is at least so cautious."""
        return [(box, hit.rule) for hit in self.hits if hit.rank >= rank for box in hit.boxes]


class AnswerBoxes:
    """The ladders of a folder, and where its decisions are asked."""

    def __init__(self, folder: RuleFolder, boxes: RuleBoxes) -> None:
        """Collect what brings each ladder an answer, in the order in which they are decided."""
        self.boxes = boxes
        self.nodes = {node.name: node for node in folder.decisions}
        self.rules = folder.rules
        self.ladders: dict[str, Ladder] = {}
        for node in folder.decisions:
            if node.answers:
                self.ladders[node.name] = self._ladder(node)

    def given(self, node: DecisionNode, box: int) -> dict[str, list[str]]:
        """The answers of earlier ladders under which a decision is asked in a box, by ladder, permissive ones first.

        Where the box itself says what a ladder answers, only that is left.
        """
        wanted: dict[str, list[str]] = {}
        asking = [node]
        for ladder in reversed(self._ladders_before(node)):
            codes = [one.given[ladder.name] for one in asking if ladder.name in one.given]
            if ladder.name in self.boxes.cells.narrow(box):
                codes.append(self._codes_in(box, ladder.name))
            if codes:
                wanted[ladder.name] = [code for code in ladder.answers if all(code in listed for listed in codes)]
                asking.append(ladder)
        return wanted

    def asked(self, node: DecisionNode, box: int) -> Iterator[int]:
        """The parts of a box in which a decision is asked, with the answers of ladders that the box names."""
        parts: Iterable[int] = [box]
        for name, codes in self.given(node, box).items():
            parts = self._answering(self.ladders[name], codes, parts)
        yield from parts

    def givens(self, node: DecisionNode) -> Iterator[dict[str, list[str]]]:
        """The answers under which a decision is asked; those of a ladder that its rules read, one by one."""
        read = {test.input for rule in self.rules[node.name] for test in rule.tests}
        given = self.given(node, self.boxes.cells.whole)
        choices = [[[code] for code in codes] if name in read else [codes] for name, codes in given.items()]
        for chosen in itertools.product(*choices):
            yield dict(zip(given, chosen, strict=True))

    def with_answers(self, given: Mapping[str, Sequence[str]]) -> int:
        """The box of every case, with the answers of ladders that later decisions read."""
        cells = self.boxes.cells
        box = cells.whole
        for name, codes in given.items():
            box = cells.with_places(box, name, [cells.values[name].index(code) for code in codes])
        return box

    def read_for(self, node: DecisionNode) -> set[str]:
        """The inputs on which it depends whether a decision is asked and what it answers."""
        names = self.boxes.read_by(self.rules[node.name])
        for name in [node.name, *self.given(node, self.boxes.cells.whole)]:
            if name in self.ladders:
                names |= self.boxes.read_by(hit.rule for hit in self.ladders[name].hits)
        return {name for name in names if name not in self.ladders}

    def _ladder(self, node: DecisionNode) -> Ladder:
        rows, whole = self.boxes.cells.rows, self.boxes.cells.whole
        own = [
            Hit(node.rank(rule.conclude[node.concludes]), rule, self.boxes.of(rule)) for rule in self.rules[node.name]
        ]
        held = [box for hit in own for box in hit.boxes]
        complete = all(next(gaps(rows, part, held), None) is None for part in self.asked(node, whole))
        stands = node.rank(node.stands_unsettled_from or None)
        raising = [
            Hit(rank, rule, boxes if complete or rank >= stands else self._shared(boxes, held))
            for rank, rule, boxes in self._raising(node)
        ]
        return Ladder(node, (*own, *raising), complete)

    def _raising(self, ladder: DecisionNode) -> Iterator[tuple[int, Rule, tuple[int, ...]]]:
        """The statements that raise the answer of a ladder."""
        for node in self.nodes.values():
            for key in (key for key, one in node.fields.items() if one["answer_of"] == ladder.name):
                for rule in (rule for rule in self.rules[node.name] if key in rule.conclude):
                    boxes = (part for box in self.boxes.of(rule) for part in self.asked(node, box))
                    yield ladder.rank(rule.conclude[key]), rule, tuple(boxes)

    def _answering(self, ladder: Ladder, codes: Sequence[str], boxes: Iterable[int]) -> Iterator[int]:
        """The parts of boxes in which a ladder gives one of some answers; no two of them share a case."""
        runs = _runs(sorted(ladder.node.rank(code) for code in codes))
        brought = [[box for hit in ladder.hits if hit.rank in run for box in hit.boxes] for run in runs]
        higher = [[box for box, _ in ladder.from_rank(run.stop)] for run in runs]
        rows = self.boxes.cells.rows
        for box in boxes:
            for run, bringing, above in zip(runs, brought, higher, strict=True):
                parts = gaps(rows, box, above)
                if ladder.complete and run.start == 0:  # something always answers, so one of these does
                    yield from parts
                else:
                    yield from (one for part in parts for one, inside in pieces(rows, part, bringing) if inside)

    def _ladders_before(self, node: DecisionNode) -> list[DecisionNode]:
        """The ladders that a decision requires and that answer at its moment, in order."""
        required = set(node.requires)
        for name in reversed(self.nodes):
            if name in required:
                required |= set(self.nodes[name].requires)
        found = [one for name, one in self.nodes.items() if name in required and one.answers]
        return [one for one in found if node.moments[0] in one.moments]

    def _codes_in(self, box: int, name: str) -> tuple[str, ...]:
        cells = self.boxes.cells
        return tuple(str(cells.values[name][place]) for place in cells.places(box, name))

    def _shared(self, some: Sequence[int], others: Sequence[int]) -> tuple[int, ...]:
        holds = self.boxes.cells.rows.holds_a_case
        return tuple(one & other for one in some for other in others if holds(one & other))


def _runs(ranks: Sequence[int]) -> list[range]:
    """Rising ranks as runs without a gap."""
    runs: list[range] = []
    for rank in ranks:
        if runs and runs[-1].stop == rank:
            runs[-1] = range(runs[-1].start, rank + 1)
        else:
            runs.append(range(rank, rank + 1))
    return runs
