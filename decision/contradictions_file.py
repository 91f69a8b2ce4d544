"""Read the contradictions: rules/contradictions.yaml, checked against the vocabulary. A folder may do without it.

`ranges` holds for each value of a code what a number can be beside it; `contradictions` what else cannot be together.
Both become contradictions: a figure outside its range is one with the code.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from pydantic import Field

from decision.contradictions import COMPUTED, Contradiction, Contradictions
from decision.errors import Fault, UnreadableTest
from decision.fact_words import figure
from decision.nearest import nearest
from decision.shape import Closed, shape_faults
from decision.strict_yaml import Document, Path
from decision.unary_test import Among, Interval, read_test
from decision.vocabulary import Input, Vocabulary

__all__ = ["read_contradictions"]


class _Shape(Closed):
    when: dict[str, bool | str | list[str] | dict[str, str | list[str]]] = Field(min_length=1)
    stated: list[str] = Field(default_factory=list)
    says: str = Field(min_length=20)


class _FileShape(Closed):
    ranges: dict[str, dict[str, dict[str, list[float]]]] = Field(default_factory=dict)
    contradictions: dict[str, _Shape] = Field(default_factory=dict)


def read_contradictions(document: Document, vocabulary: Vocabulary) -> tuple[Contradictions, list[Fault]]:
    """Read the document; what is faulty is left out, and its faults are returned."""
    shape, faults = shape_faults(_FileShape, document)
    if shape is None:
        return Contradictions(), faults
    reading = _Reading(document, vocabulary)
    listed = [*reading.ranges(shape.ranges), *reading.contradictions(shape.contradictions)]
    return Contradictions(listed), reading.faults


class _Reading:
    """One pass over the document."""

    def __init__(self, document: Document, vocabulary: Vocabulary) -> None:
        self.faults: list[Fault] = []
        self._document = document
        self._statable = {name: one for name, one in vocabulary.inputs.items() if not one.derived}
        self._askable = {**self._statable, **{name: one.about for name, one in COMPUTED.items()}}

    def contradictions(self, shapes: Mapping[str, _Shape]) -> Iterator[Contradiction]:
        for name, shape in shapes.items():
            place: Path = ("contradictions", name)
            tests = []
            for asked, written in shape.when.items():
                if self._is_one(asked, self._askable, (*place, "when", asked)):
                    try:
                        tests.append(read_test(written, about=self._askable[asked]))
                    except UnreadableTest as fault:
                        self._say((*place, "when", asked), str(fault))
            stated = [
                one
                for number, one in enumerate(shape.stated)
                if self._is_one(one, self._statable, (*place, "stated", number))
            ]
            found = Contradiction(name, tuple(tests), tuple(stated), " ".join(shape.says.split()))
            missing = [one for one in found.inputs if one not in self._statable]
            if missing:
                self._say(place, f"it rests on {missing[0]}, which is not an input.")
            elif len(found.inputs) < 2:
                self._say(place, "a contradiction is between two inputs or more.")
            else:
                yield found

    def ranges(self, shapes: Mapping[str, Mapping[str, Mapping[str, list[float]]]]) -> Iterator[Contradiction]:
        for by, codes in shapes.items():
            place: Path = ("ranges", by)
            if not self._is_one(by, self._statable, place):
                continue
            code_input = self._statable[by]
            for code, numbers in codes.items():
                if code not in code_input.allowed:
                    self._say((*place, code), f"not a value of {by}.{nearest(code, code_input.allowed)}")
                    continue
                for name, limits in numbers.items():
                    if self._is_range(name, limits, (*place, code, name)):
                        yield from _outside(code_input, code, self._statable[name], limits)

    def _is_range(self, name: str, limits: list[float], place: Path) -> bool:
        if not self._is_one(name, self._statable, place):
            return False
        one = self._statable[name]
        fits = one.type == "number" and len(limits) == 2 and one.low <= limits[0] < limits[1] <= one.high
        if not fits:
            self._say(place, "write a range that rises, [least, most], within that of the number.")
        return fits

    def _is_one(self, name: str, known: Mapping[str, Input], place: Path) -> bool:
        if name not in known:
            self._say(place, f"not an input that can be stated.{nearest(name, known)}")
        return name in known

    def _say(self, place: Path, said: str) -> None:
        self.faults.append(self._document.fault(place, said))


def _outside(by: Input, code: str, number: Input, limits: list[float]) -> Iterator[Contradiction]:
    """What is under a range, and what is over it."""
    low, high = limits
    said = (
        f"The {number.label} stated is beyond any {by.allowed[code]} ({figure(low)} to {figure(high)} {number.unit}): "
        f"check {number.label}, its unit, and {by.label}."
    )
    beside = Among(by.name, (code,))
    if low > number.low:
        under = Interval(number.name, -math.inf, low, high_included=False)
        yield Contradiction(f"{code}_{number.name}_under", (beside, under), (), said)
    if high < number.high:
        over = Interval(number.name, high, math.inf, low_included=False)
        yield Contradiction(f"{code}_{number.name}_over", (beside, over), (), said)
