"""Find a real case in a box, put it to the production engine, and hear which rules hold.

The engine is asked as any caller asks it: a case as JSON data, read, matched by two means, answered with its trace.
What is computed with numbers is free in a box, so a case is searched whose quantities come out as the box asks.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from decision.answer_boxes import AnswerBoxes
from decision.derived import derive
from decision.rule_book import RuleBook

__all__ = ["FullCase", "Heard", "Witness"]

FullCase = dict[str, Any]  # every statable input by name

PARTS = ("patient", "lesion", "equipment", "operator")
TRIES = 400  # for a case whose computed quantities come out as a box asks
AS_OF = "2026-11-24"


@dataclass(frozen=True, slots=True)
class Heard:
    """What the production engine said of a case: what each ladder answers at least, and the rules that hold."""

    at_least: Mapping[str, str | None]
    asked: frozenset[str]
    holding: frozenset[str]


class Witness:
    """Draws cases from boxes, always the same for the same seed, and asks the engine about them."""

    def __init__(self, book: RuleBook, answers: AnswerBoxes, seed: int) -> None:
        """Keep the book and the boxes of its rules."""
        self._book = book
        self._nodes = [node for node in book.folder.decisions if node.moment == "before"]
        self._inputs = book.vocabulary.inputs
        self._cells = answers.boxes.cells
        self._free = [name for name in answers.boxes.free() if name in self._inputs]
        self._stated = [name for name in self._cells.values if name in self._inputs and self._statable(name)]
        self._sizes = [name for name, one in self._inputs.items() if one.type == "numbers" and one.about in PARTS]
        self.chance = random.Random(seed)
        self.asked = 0

    def case_in(self, box: int) -> FullCase | None:
        """A fully stated case in a box; None when none was found whose computed quantities fit."""
        wanted = [name for name in self._free if name in self._cells.narrow(box)]
        if not wanted:
            return self._cells.pick(box, self._stated, self.chance)
        parents = {parent for name in wanted for parent in self._inputs[name].parents}
        for _ in range(TRIES):
            case = self._drawn(box, parents)
            found = derive(case)
            if all(self._cells.place_of(name, found.get(name)) in self._cells.places(box, name) for name in wanted):
                return case
        return None

    def answer(self, case: FullCase) -> Any:
        """What the production engine answers to a case, in full or in part stated."""
        self.asked += 1
        return self._book.recommend(self.message(case), trace=True)["lesions"][0]

    def hear(self, case: FullCase) -> Heard:
        """Ask the production engine which rules hold in a case."""
        answer = self.answer(case)
        closed = {one["rule"] for key in ("did_not_apply", "still_open") for one in answer[key]}
        suitability, method = answer["suitability"], answer["method"]
        stands = {"suitability": suitability["verdict"], "method": method and method["applicator"]}
        asked = [
            node.name
            for node in self._nodes
            if all(stands.get(name) in codes for name, codes in node.given.items())
        ]
        return Heard(
            at_least={**stands, "suitability": suitability["at_least"]},
            asked=frozenset(asked),
            holding=frozenset(
                rule.id for name in asked for rule in self._book.folder.rules[name] if rule.id not in closed
            ),
        )

    def message(self, case: FullCase) -> dict[str, Any]:
        """Write a case as the engine reads it."""
        parts: dict[str, dict[str, Any]] = {part: {} for part in PARTS}
        for name, value in case.items():
            parts[self._inputs[name].about][name] = value
        lesion = parts.pop("lesion")
        return {"as_of": AS_OF, **parts, "lesions": [{"lesion_id": "lesion", **lesion}]}

    def _statable(self, name: str) -> bool:
        return self._inputs[name].about in PARTS

    def _drawn(self, box: int, parents: set[str]) -> FullCase:
        """A case in a box, whose numbers are drawn from all of their cells where a computed quantity needs them."""
        case: FullCase = self._cells.pick(box, self._stated, self.chance)
        for name in parents:
            one = self._inputs[name]
            if one.type == "numbers":
                case[name] = self._some_sizes(one.low, one.high)
            elif one.type == "number":
                drawn = self._number_near(one.low, one.high)
                if self._cells.place_of(name, drawn) in self._cells.places(box, name):
                    case[name] = drawn
        return case

    def _number_near(self, low: float, high: float) -> float:
        """A number of a range, small ones as often as large ones."""
        return round(low + (high - low) * self.chance.random() ** self.chance.choice((1, 3, 6)), 2)

    def _some_sizes(self, low: float, high: float) -> list[float]:
        return sorted({self._number_near(low, high) for _ in range(self.chance.randint(1, 3))})

