"""The values that a stated fact could have instead, the nearest first, one for each cell that rules can tell apart.

Only values a patient can have: codes and ranges of the vocabulary. What time alone moves only rises. The cells are
those of the box cover, so that between two neighbouring values no test of any rule changes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from decision.verification.cells import Cells
from decision.vocabulary import Input, Value

__all__ = ["moves_of"]

MEASURED = {"mm": 0.1, "s": 1.0, "kg": 0.1, "years": 0.1, "c": 0.1}  # the smallest step in which it is measured
COUNTED = 1.0


def moves_of(one: Input, given: Value | None, cells: Cells) -> list[Value]:
    """Other values of an input, one for each cell, nearest first.

    Args:
        one: The input; it may be stated, and is no list of numbers.
        given: Its value in the case; None when it is not stated.
        cells: The cells of the rule book.
    """
    if one.type == "number":
        moves = _numbers(one, None if given is None else float(given), cells)
    elif one.type == "boolean":
        moves = [value for value in (False, True) if value is not given]
    else:
        moves = _codes(one, given)
    return list(moves)


def _codes(one: Input, given: Value | None) -> list[Value]:
    """The other codes; where the vocabulary orders them by risk, the neighbours in risk first."""
    codes: list[Value] = [code for code in one.allowed if code != given]
    if given is None or not isinstance(one.risk, list):
        return codes
    levels = {code: i for i, step in enumerate(one.risk) for code in (step if isinstance(step, list) else [step])}
    return sorted(codes, key=lambda code: abs(levels[str(code)] - levels[str(given)]))


def _numbers(one: Input, given: float | None, cells: Cells) -> list[Value]:
    limits = [limit for limit in cells.limits.get(one.name, []) if one.low <= limit <= one.high]
    found = _beside(one, limits, given)
    if given is None:
        return list(found)
    later = one.changes == "time"
    moved = [value for value in found if value != given and not (later and value < given)]
    return sorted(moved, key=lambda value: abs(float(value) - given))


def _beside(one: Input, limits: Sequence[float], given: float | None) -> Iterator[float]:
    """Each limit, and in each gap between two limits the measurable value that is nearest to the one given."""
    step = MEASURED.get(one.unit or "", COUNTED)
    yield from (float(limit) for limit in limits)
    for low, high in itertools.pairwise((-math.inf, *limits, math.inf)):
        if given is not None and low < given < high:
            continue
        from_above = given is not None and given >= high
        value = high - step if from_above else low + step
        least, most = (one.low, one.high)
        if not math.isfinite(value):
            value = least if low == -math.inf else most
        value = round(value, 6)
        if not low < value < high and math.isfinite(low) and math.isfinite(high):
            value = (low + high) / 2
        if low < value < high and least <= value <= most and _measurable(value, step):
            yield value


def _measurable(value: float, step: float) -> bool:
    """Whether a value is a whole number of steps; nobody counts half a freeze.

    >>> _measurable(9.9, 0.1), _measurable(2.5, 1.0)
    (True, False)
    """
    return abs(value / step - round(value / step)) < 1e-6 or (step < COUNTED and value % (step / 10) < 1e-9)
