"""Write each rule of a folder as boxes: it holds in a fully stated case exactly when one of them contains the case.

A list of codes is one box; an exception is a box for each of its tests not met. What derived.py states in ways, and
the numbers that a plan settles, are followed to the inputs they rest on. A quantity that is computed with numbers is
taken as free of them, so that more cases are looked at than there are; what is then found counts only when a real case
shows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from decision.decision_node import DecisionNode
from decision.derived import ALWAYS_KNOWN, Ways, ways_of
from decision.moments import known_beforehand
from decision.rule import Rule
from decision.rule_folder import RuleFolder, all_inputs
from decision.unary_test import Among, Interval, Truth, UnaryTest, met, opposite
from decision.verification.box_cover import gaps
from decision.verification.cells import Cells
from decision.vocabulary import Input, Value

__all__ = ["RuleBoxes", "cells_of"]

APPLICATOR = "applicator_used"  # stated in a review; before it the ladder of methods answers


class RuleBoxes:
    """The rules of a folder as boxes over the cells of its inputs."""

    def __init__(self, folder: RuleFolder, cells: Cells | None = None) -> None:
        """Make the boxes of every rule.

        Args:
            folder: The rule folder.
            cells: What the inputs are cut into, from `cells_of`; the cells of this folder where none are given.
        """
        self.inputs = all_inputs(folder)
        self._planned = {
            name: [rule for rule in folder.rules[node.name] if name in rule.conclude]
            for node, names in _plans(folder)
            for name in names
        }
        self._ways = _ways_among(self.inputs)
        self.cells = cells or cells_of([folder])
        self._of: dict[str, tuple[int, ...]] = {}
        for node in folder.decisions:  # a plan before the decisions that read its numbers
            for rule in folder.rules[node.name]:
                self._of[rule.id] = tuple(self._boxes(rule, node))

    def of(self, rule: Rule) -> tuple[int, ...]:
        """The boxes of a rule; none when it can never hold."""
        return self._of[rule.id]

    def read_by(self, rules: Iterable[Rule]) -> set[str]:
        """The inputs on which rules depend."""
        return {name for rule in rules for box in self.of(rule) for name in self.cells.narrow(box)}

    def free(self) -> list[str]:
        """The derived quantities that are taken as free of what they are computed from."""
        return [name for name in self.cells.values if self.inputs[name].derived]

    def _boxes(self, rule: Rule, node: DecisionNode) -> list[int]:
        held = self._all_of(rule.when, node)
        if not rule.unless:
            return held
        let_go = [box for test in rule.unless for part in opposite(test) for box in self._meeting(part, node)]
        return list(self._shared(held, let_go))

    def _all_of(self, tests: Sequence[UnaryTest], node: DecisionNode) -> list[int]:
        boxes = [self.cells.whole]
        for test in tests:
            boxes = list(self._shared(boxes, self._meeting(test, node)))
        return boxes

    def _shared(self, some: Iterable[int], others: Sequence[int]) -> Iterator[int]:
        holds = self.cells.rows.holds_a_case
        return (one & other for one in some for other in others if holds(one & other))

    def _meeting(self, test: UnaryTest, node: DecisionNode) -> list[int]:
        """The boxes of the cases that meet a test of a decision."""
        if test.input in self._planned:
            giving = [rule for rule in self._planned[test.input] if met(test, float(rule.conclude[test.input]))]
            return [box for rule in giving for box in self._at_moment(self.of(rule), node)]
        ways = self._ways.get(test.input)
        if ways is None:
            return [self.cells.box(test)]
        if isinstance(test, Truth):
            true = self._in_ways(ways[True], node)
            return true if test.value else list(gaps(self.cells.rows, self.cells.whole, true))
        return [box for value, stated in ways.items() if met(test, value) for box in self._in_ways(stated, node)]

    def _in_ways(self, ways: Ways, node: DecisionNode) -> list[int]:
        return [box for way in ways for box in self._all_of(_tests_of(way), node)]

    def _at_moment(self, boxes: Iterable[int], node: DecisionNode) -> Iterator[int]:
        """Boxes of a plan as a review reads them: permission is taken for granted, the applicator is stated."""
        if "before" in node.moments or APPLICATOR not in self.inputs:
            yield from boxes
            return
        for code in self.inputs[APPLICATOR].allowed:
            taken = known_beforehand(node.moments[0], {APPLICATOR: code})
            known = {name: value for name, value in taken.items() if name in self.cells.values}
            stated = self.cells.box(Among(APPLICATOR, (code,)))
            yield from (self.cells.freed(box, known) & stated for box in boxes if self._allows(box, known))

    def _allows(self, box: int, known: Mapping[str, Value]) -> bool:
        return all(self.cells.place_of(name, value) in self.cells.places(box, name) for name, value in known.items())


def cells_of(folders: Sequence[RuleFolder]) -> Cells:
    """Cut every input of some folders by every test of them, so that their boxes lie over the same cells."""
    inputs = {name: one for folder in folders for name, one in all_inputs(folder).items()}
    ways = _ways_among(inputs)
    planned = {name for folder in folders for _, names in _plans(folder) for name in names}
    cut = {name: one for name, one in inputs.items() if name not in ways.keys() | planned}
    rules = [rule for folder in folders for node in folder.decisions for rule in folder.rules[node.name]]
    asked = [test for rule in rules for test in rule.tests if test.input in cut]
    parents = [test for stated in ways.values() for test in _tests_in(stated)]
    unknown = {name for name, one in cut.items() if one.about in ("derived", "decision")} - ALWAYS_KNOWN
    return Cells(cut, [*asked, *parents], unknown)


def _plans(folder: RuleFolder) -> Iterator[tuple[DecisionNode, list[str]]]:
    """The plans of a folder, each with the numbers that it settles."""
    return ((node, list(node.as_inputs())) for node in folder.decisions if node.quantities)


def _ways_among(inputs: Mapping[str, Input]) -> dict[str, Mapping[Value, Ways]]:
    return {name: ways for name in inputs if (ways := _known_ways(name, inputs))}


def _known_ways(name: str, inputs: Mapping[str, Input]) -> Mapping[Value, Ways] | None:
    """The ways of a derived quantity, where the vocabulary holds everything they ask."""
    ways = ways_of(name) if inputs[name].derived else None
    if ways is None or any(test.input not in inputs for test in _tests_in(ways)):
        return None
    return ways


def _tests_in(ways: Mapping[Value, Ways]) -> list[UnaryTest]:
    return [test for stated in ways.values() for way in stated for test in _tests_of(way)]


def _tests_of(way: Mapping[str, frozenset[str] | tuple[float, float]]) -> list[UnaryTest]:
    """What one way asks, as tests."""
    return [
        Among(name, tuple(sorted(allowed)))
        if isinstance(allowed, frozenset)
        else Interval(name, *allowed, high_included=False)
        for name, allowed in way.items()
    ]
