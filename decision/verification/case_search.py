"""Find real cases in boxes. What is computed with numbers is free in a box, so it is tried until it comes out right."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from typing import Any

from decision.case import PARTS
from decision.derived import DERIVED
from decision.rule import Rule
from decision.verification.rule_boxes import RuleBoxes
from decision.vocabulary import Input

__all__ = ["CaseSearch", "FullCase"]

FullCase = dict[str, Any]  # what can be stated, by name

TRIES = 40  # in one box, for a case whose computed quantities come out as the box asks
STEPS_TRIED = 400  # for a case one step below another in which a rule held


class CaseSearch:
    """Draws cases from boxes, always the same ones from the same source of chance."""

    def __init__(self, boxes: RuleBoxes, chance: random.Random) -> None:
        """Keep the boxes and the source of chance."""
        self._boxes = boxes
        self.cells = boxes.cells
        self._inputs = boxes.inputs
        self._chance = chance

    def case_in(self, box: int, moment: str) -> FullCase | None:
        """A fully stated case in a box; None when none was found whose computed quantities fit."""
        stated = [name for name in self.cells.values if self._inputs[name].about in PARTS[moment]]
        told = self.cells.narrow(box)
        wanted = [name for name in self._boxes.free() if name in told]
        if not wanted:
            return self.cells.pick(box, stated, self._chance)
        parents = sorted({parent for name in wanted for parent in self._inputs[name].parents})
        for _ in range(TRIES):
            case: FullCase = self.cells.pick(box, stated, self._chance)
            case.update(self._drawn(parents, box))
            if all(self._fits(name, case, box) for name in wanted):
                return case
        return None

    def before_step(self, case: FullCase, name: str, before: object, rule: Rule) -> FullCase | None:
        """A case from which one risk, by rising, leads to another case, and in which a rule holds.

        The risk is that of the input named; of an input that it is computed from where it cannot be stated.
        """
        if name in case and not any(name in self._inputs[free].parents for free in self._boxes.free()):
            return {**case, name: before}
        rising = [name] if name in case else [parent for parent in self._inputs[name].parents if parent in case]
        for _ in range(STEPS_TRIED):
            one = self._inputs[self._chance.choice(rising)]
            lower = self._lower(one, case[one.name])
            if lower is not None and self._holds(rule, {**case, one.name: lower}):
                return {**case, one.name: lower}
        return None

    def _fits(self, name: str, case: FullCase, box: int) -> bool:
        return self.cells.place_of(name, DERIVED[name](case)) in self.cells.places(box, name)

    def _holds(self, rule: Rule, case: FullCase) -> bool:
        known = {**case, **{name: DERIVED[name](case) for name in self._boxes.free()}}
        return any(self.cells.contains(box, known) for box in self._boxes.of(rule))

    def _drawn(self, parents: Sequence[str], box: int) -> Iterator[tuple[str, Any]]:
        """A value for each of some inputs, numbers from anywhere in the cells that a box allows.

        Half of the numbers lie near the one drawn before: quantities are often computed from what is alike.
        """
        near: float | None = None
        for name in parents:
            one = self._inputs[name]
            if one.type == "numbers":
                yield name, sorted({self._number(one.low, one.high, near) for _ in range(self._chance.randint(1, 3))})
            elif one.type == "number":
                place = self._chance.choice(self.cells.places(box, name))
                near = self._number(*self.cells.ends(one, place), near)
                yield name, near

    def _number(self, low: float, high: float, near: float | None) -> float:
        """A number of a range: small ones as often as large ones, or one near another."""
        number = low + (high - low) * self._chance.random() ** self._chance.choice((1, 3, 6))
        if near is not None and self._chance.random() < 0.5:
            number = min(max(near + self._chance.uniform(-1, 1) * self._chance.choice((1, 4)), low), high)
        short = round(number, 2)
        return short if low <= short <= high else number

    def _lower(self, one: Input, value: Any) -> Any:
        """A value of an input that is less risky than another; None where there is none."""
        if isinstance(one.risk, list):
            levels = [level if isinstance(level, list) else [level] for level in one.risk]
            level = next(place for place, codes in enumerate(levels) if value in codes)
            less = [code for codes in levels[:level] for code in codes]
            return self._chance.choice(less) if less else None
        if one.risk not in ("rises", "falls"):
            return None
        least = one.risk == "rises"
        if one.type == "boolean":
            return None if value is not least else not least
        low, high = (one.low, float(value)) if least else (float(value), one.high)
        return None if low >= high else round(self._chance.uniform(low, high), 2)
