"""Cut every input into cells, so that whatever rules can tell apart is a finite set of boxes.

A cell holds values that no test of any rule tells apart: one code, yes, no, one limit, one gap between two limits.
Numbers are the doubles that a case may state, so a gap without a double is no cell. What may be unknown although
everything is stated has one cell more, for that.
"""

from __future__ import annotations

import bisect
import itertools
import math
import random
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from decision.unary_test import Interval, UnaryTest, met
from decision.verification.box_cover import Rows
from decision.vocabulary import Input, Value

__all__ = ["Cells"]

STEPS = (1.0, 0.5, 0.25, 0.1, 0.01)


class Cells:
    """The cells of every input, and the boxes over them."""

    def __init__(self, inputs: Mapping[str, Input], tests: Iterable[UnaryTest], unknown: Collection[str]) -> None:
        """Cut the inputs.

        Args:
            inputs: By name. Lists of numbers are left out: no rule can ask about them.
            tests: Every test that boxes will be made of.
            unknown: The inputs that may be unknown although everything is stated.
        """
        self.limits = _limits(tests)
        self.values: dict[str, tuple[Value | None, ...]] = {
            name: (*_values(one, self.limits.get(name, [])), *((None,) if name in unknown else ()))
            for name, one in inputs.items()
            if one.type != "numbers"
        }
        self.rows = Rows.of(len(values) for values in self.values.values())
        self._row = dict(zip(self.values, self.rows.rows, strict=True))
        self._first = {name: (row & -row).bit_length() - 1 for name, row in self._row.items()}
        self._met: dict[UnaryTest, int] = {}

    @property
    def whole(self) -> int:
        """The box of every case."""
        return self.rows.whole

    def box(self, test: UnaryTest) -> int:
        """The box of the cases that meet a test."""
        if test not in self._met:
            values = self.values[test.input]
            places = [place for place, value in enumerate(values) if value is not None and met(test, value)]
            self._met[test] = self.with_places(self.whole, test.input, places)
        return self._met[test]

    def with_places(self, box: int, name: str, places: Iterable[int]) -> int:
        """A box with one input moved to some of its cells, by their places."""
        row = sum(1 << (self._first[name] + place) for place in places)
        return (box & ~self._row[name]) | row

    def freed(self, box: int, names: Iterable[str]) -> int:
        """A box with nothing said about some inputs."""
        for name in names:
            box |= self._row[name]
        return box

    def places(self, box: int, name: str) -> list[int]:
        """The places of the cells of one input that a box allows."""
        first = self._first[name]
        return [place for place in range(len(self.values[name])) if box >> (first + place) & 1]

    def ends(self, one: Input, place: int) -> tuple[float, float]:
        """The lowest and the highest number of a cell; one number twice where it is a limit."""
        value, limits = self.values[one.name][place], self.limits.get(one.name, [])
        if not isinstance(value, float) or value in limits:
            return float(value or 0), float(value or 0)
        under = max((limit for limit in limits if limit < value), default=-math.inf)
        over = min((limit for limit in limits if limit > value), default=math.inf)
        return max(one.low, math.nextafter(under, math.inf)), min(one.high, math.nextafter(over, -math.inf))

    def narrow(self, box: int) -> list[str]:
        """The inputs about which a box says something."""
        return [name for name, row in self._row.items() if box & row != row]

    def count(self, names: Iterable[str]) -> int:
        """How many cells the cases have that differ in these inputs: the product over them."""
        return math.prod(len(self.values[name]) for name in names)

    def place_of(self, name: str, value: Value | None) -> int:
        """The place of the cell in which a value lies."""
        values, limits = self.values[name], self.limits.get(name, [])
        if value in values or not isinstance(value, float):
            return values.index(value)
        beside = bisect.bisect(limits, value)
        return next(
            place
            for place, one in enumerate(values)
            if isinstance(one, float) and one not in limits and bisect.bisect(limits, one) == beside
        )

    def contains(self, box: int, case: Mapping[str, Value]) -> bool:
        """Whether a case lies in a box; what the case does not say counts as not known."""
        return all(self.place_of(name, case.get(name)) in self.places(box, name) for name in self.narrow(box))

    def pick(self, box: int, names: Iterable[str], chance: random.Random) -> dict[str, Value | None]:
        """A value for each of some inputs, in cells that a box allows."""
        return {name: self.values[name][chance.choice(self.places(box, name))] for name in names}


def _limits(tests: Iterable[UnaryTest]) -> dict[str, list[float]]:
    """The limits that tests name, rising, by input."""
    found: dict[str, set[float]] = {}
    for test in tests:
        if isinstance(test, Interval):
            named = (limit for limit in (test.low, test.high) if math.isfinite(limit))
            found.setdefault(test.input, set()).update(named)
    return {name: sorted(limits) for name, limits in found.items()}


def _values(one: Input, limits: Sequence[float]) -> Iterator[Value]:
    """One value from each cell of an input, numbers rising."""
    if one.type == "boolean":
        yield from (False, True)
    elif one.type == "code":
        yield from one.allowed
    else:
        yield from _numbers(one.low, one.high, [limit for limit in limits if one.low <= limit <= one.high])


def _numbers(low: float, high: float, limits: Sequence[float]) -> Iterator[float]:
    """Each limit, and a value from each gap beside them, within the range."""
    if not limits:
        yield low
        return
    if low < limits[0]:
        yield low
    for limit, following in itertools.pairwise((*limits, math.inf)):
        yield limit
        if following == math.inf:
            if limit < high:
                yield _between(limit, math.nextafter(high, math.inf))
        elif math.nextafter(limit, following) < following:
            yield _between(limit, following)


def _between(low: float, high: float) -> float:
    """A number between two others, a short one where there is one.

    >>> _between(5, 10), _between(0.2, 0.3), _between(6, 7)
    (6.0, 0.25, 6.5)
    """
    near = (math.floor(low / step + 1) * step for step in STEPS)
    return next((round(number, 9) for number in near if low < round(number, 9) < high), math.nextafter(low, high))
