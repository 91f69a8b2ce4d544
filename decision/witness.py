"""Find a real case in a box, put it to the production engine, and hear which rules hold.

The engine is asked as any caller asks it: a case as JSON data, read, matched by two means, answered. What is computed
with numbers is free in a box, so a case is searched whose quantities come out as the box asks.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from decision.case import PARTS
from decision.decision_node import DecisionNode
from decision.derived import DERIVED
from decision.rule_book import RuleBook
from decision.rule_boxes import RuleBoxes

__all__ = ["FullCase", "Heard", "Witness"]

FullCase = dict[str, Any]  # what can be stated, by name

TRIES = 40  # in one box, for a case whose computed quantities come out as the box asks
AS_OF = "2026-11-24"


@dataclass(frozen=True, slots=True)
class Heard:
    """What the production engine said of a case.

    What each ladder answers at least, the decisions that were asked and tell their rules, and the rules that hold.
    """

    at_least: Mapping[str, str | None]
    asked: frozenset[str]
    holding: frozenset[str]


class Witness:
    """Draws cases from boxes, always the same for the same seed, and asks the engine about them."""

    def __init__(self, book: RuleBook, boxes: RuleBoxes, seed: int) -> None:
        """Keep the book and the boxes of its rules."""
        self._book = book
        self._boxes = boxes
        self._inputs = book.vocabulary.inputs
        self.chance = random.Random(seed)
        self.asked = 0

    def case_in(self, box: int, moment: str) -> FullCase | None:
        """A fully stated case in a box; None when none was found whose computed quantities fit."""
        cells = self._boxes.cells
        stated = [name for name in cells.values if name in self._inputs and self._inputs[name].about in PARTS[moment]]
        told = cells.narrow(box)
        wanted = [name for name in self._boxes.free() if name in told]
        if not wanted:
            return cells.pick(box, stated, self.chance)
        parents = {parent for name in wanted for parent in self._inputs[name].parents}
        for _ in range(TRIES):
            case: FullCase = cells.pick(box, stated, self.chance)
            case.update(self._drawn(name, box) for name in parents)
            if all(cells.place_of(name, DERIVED[name](case)) in cells.places(box, name) for name in wanted):
                return case
        return None

    def answer(self, case: FullCase, moment: str) -> Any:
        """What the production engine answers to a case, in full or in part stated."""
        self.asked += 1
        message = self.message(case, moment)
        if moment == "before":
            return self._book.recommend(message, trace=True)["lesions"][0]
        read = {"during": self._book.review_cycle, "after": self._book.review_healing}
        return read[moment](message)

    def hear(self, case: FullCase, moment: str) -> Heard:
        """Ask the production engine which rules hold in a case."""
        answer = self.answer(case, moment)
        if moment != "before":
            return self._reviewed(answer, moment)
        closed = {one["rule"] for key in ("did_not_apply", "still_open") for one in answer[key]}
        method = answer["method"]
        stands = {"suitability": answer["suitability"]["verdict"], "method": method and method["applicator"]}
        asked = self._asked(moment, stands)
        return Heard(
            at_least={**stands, "suitability": answer["suitability"]["at_least"]},
            asked=frozenset(node.name for node in asked),
            holding=frozenset(rule.id for node in asked for rule in self._rules(node) if rule.id not in closed),
        )

    def message(self, case: FullCase, moment: str) -> dict[str, Any]:
        """Write a case as the engine reads it."""
        parts: dict[str, dict[str, Any]] = {part: {} for part in PARTS[moment]}
        for name, value in case.items():
            parts[self._inputs[name].about][name] = value
        if moment == "before":
            lesion = parts.pop("lesion")
            return {"as_of": AS_OF, **parts, "lesions": [{"lesion_id": "lesion", **lesion}]}
        return {"as_of": AS_OF, **parts}

    def _reviewed(self, answer: Any, moment: str) -> Heard:
        """What a review tells: the rules behind its answer and its steps, not those of the plan it read."""
        ladder = next(node.name for node in self._nodes(moment) if node.answers)
        asked = self._asked(moment, {ladder: answer["review"]["answer"]})
        return Heard(
            at_least={ladder: answer["review"]["at_least"]},
            asked=frozenset(node.name for node in asked if node.moments[0] == moment),
            holding=frozenset(_reasons(answer)),
        )

    def _asked(self, moment: str, stands: Mapping[str, str | None]) -> list[DecisionNode]:
        return [
            node
            for node in self._nodes(moment)
            if all(name not in stands or stands[name] in codes for name, codes in node.given.items())
        ]

    def _nodes(self, moment: str) -> list[DecisionNode]:
        return [node for node in self._book.folder.decisions if moment in node.moments]

    def _rules(self, node: DecisionNode) -> Any:
        return self._book.folder.rules[node.name]

    def _drawn(self, name: str, box: int) -> tuple[str, Any]:
        """A value for an input, a number from anywhere in the cells that a box allows."""
        one, cells = self._inputs[name], self._boxes.cells
        if one.type == "numbers":
            return name, sorted({self._number(one.low, one.high) for _ in range(self.chance.randint(1, 3))})
        if one.type == "number":
            number = self._number(one.low, one.high)
            if cells.place_of(name, number) in cells.places(box, name):
                return name, number
        return name, cells.pick(box, [name], self.chance)[name]

    def _number(self, low: float, high: float) -> float:
        """A number of a range, small ones as often as large ones."""
        return round(low + (high - low) * self.chance.random() ** self.chance.choice((1, 3, 6)), 2)


def _reasons(answer: Any) -> Iterator[str]:
    """The rules behind everything that an answer says."""
    if isinstance(answer, list):
        for one in answer:
            yield from _reasons(one)
    elif isinstance(answer, dict):
        if "because" in answer and "rule" in answer:
            yield answer["rule"]
        for one in answer.values():
            yield from _reasons(one)
