"""Write each rule of a folder as boxes: it holds in a fully stated case exactly when one of them contains the case.

A list of codes is one box; an exception is a box for each of its tests not met. A quantity that derived.py states in
ways is followed to the inputs it is computed from. One that is computed with numbers is taken as free of them, so that
more cases are looked at than there are; what is then found counts only when a real case shows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from decision.box_cover import gaps
from decision.cells import Cells
from decision.derived import Ways, ways_of
from decision.rule import Rule
from decision.rule_folder import RuleFolder, readable_inputs
from decision.unary_test import Among, Interval, Truth, UnaryTest, met, opposite
from decision.vocabulary import Input

__all__ = ["RuleBoxes"]


class RuleBoxes:
    """The rules of a folder as boxes over the cells of its inputs."""

    def __init__(self, folder: RuleFolder) -> None:
        """Cut the inputs by every test of the folder, and make the boxes of every rule."""
        self.inputs = _inputs(folder)
        self._ways = {name: ways for name in self.inputs if (ways := _known_ways(name, self.inputs)) is not None}
        rules = [rule for listed in folder.rules.values() for rule in listed]
        tests = [test for rule in rules for test in rule.tests]
        parents = [test for ways in self._ways.values() for test in _tests_in(ways)]
        cut = {name: one for name, one in self.inputs.items() if name not in self._ways}
        self.cells = Cells(cut, [*(test for test in tests if test.input in cut), *parents])
        self._of = {rule.id: tuple(self._boxes(rule)) for rule in rules}

    def of(self, rule: Rule) -> tuple[int, ...]:
        """The boxes of a rule; none when it can never hold."""
        return self._of[rule.id]

    def read_by(self, rules: Iterable[Rule]) -> set[str]:
        """The inputs that rules read, each followed to those it is computed from where that is exact."""
        names = set()
        for test in (test for rule in rules for test in rule.tests):
            ways = self._ways.get(test.input)
            names |= {test.input} if ways is None else {one.input for one in _tests_in(ways)}
        return names

    def free(self) -> list[str]:
        """The quantities and answers that are taken as free of what they are computed from."""
        return [name for name in self.cells.values if self.inputs[name].about in ("derived", "decision")]

    def free_of(self, name: str) -> list[str]:
        """What is taken as free and may move when an input moves."""
        return [
            free for free in self.free() if self.inputs[free].about == "decision" or name in self.inputs[free].parents
        ]

    def _boxes(self, rule: Rule) -> list[int]:
        held = self._all_of(rule.when)
        if not rule.unless:
            return held
        let_go = [box for test in rule.unless for part in opposite(test) for box in self._meeting(part)]
        return list(self._shared(held, let_go))

    def _all_of(self, tests: Sequence[UnaryTest]) -> list[int]:
        boxes = [self.cells.whole]
        for test in tests:
            boxes = list(self._shared(boxes, self._meeting(test)))
        return boxes

    def _shared(self, some: Iterable[int], others: Sequence[int]) -> Iterator[int]:
        rows = self.cells.rows
        return (one & other for one in some for other in others if rows.holds_a_case(one & other))

    def _meeting(self, test: UnaryTest) -> list[int]:
        """The boxes of the cases that meet a test."""
        ways = self._ways.get(test.input)
        if ways is None:
            return [self.cells.box(test)]
        if isinstance(test, Truth):
            true = self._in_ways(ways[True])
            return true if test.value else list(gaps(self.cells.rows, self.cells.whole, true))
        return [box for value, stated in ways.items() if met(test, value) for box in self._in_ways(stated)]

    def _in_ways(self, ways: Ways) -> list[int]:
        return [box for way in ways for box in self._all_of(_tests_of(way))]


def _inputs(folder: RuleFolder) -> dict[str, Input]:
    """Every input that a rule may ask about: those of the vocabulary, and what earlier decisions answer."""
    nodes = {node.name: node for node in folder.decisions}
    inputs = dict(folder.vocabulary.inputs)
    for node in folder.decisions:
        inputs.update(readable_inputs(node, folder.vocabulary, nodes))
    return inputs


def _known_ways(name: str, inputs: Mapping[str, Input]) -> Mapping[object, Ways] | None:
    """The ways of a derived quantity, where the vocabulary holds everything they ask."""
    ways = ways_of(name) if inputs[name].derived else None
    if ways is None or any(test.input not in inputs for test in _tests_in(ways)):
        return None
    return {**ways}


def _tests_in(ways: Mapping[object, Ways]) -> list[UnaryTest]:
    return [test for stated in ways.values() for way in stated for test in _tests_of(way)]


def _tests_of(way: Mapping[str, frozenset[str] | tuple[float, float]]) -> list[UnaryTest]:
    """What one way asks, as tests."""
    return [
        Interval(name, *allowed, high_included=False) if isinstance(allowed, tuple) else Among(name, tuple(sorted(allowed)))
        for name, allowed in way.items()
    ]
