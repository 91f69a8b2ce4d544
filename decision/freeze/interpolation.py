"""Find a place on the axes of a table, and blend the corners around it."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["Corner", "Place", "blend", "corners", "place", "quantile", "sides", "weighted_quantile"]


class Place(NamedTuple):
    """A place on an axis: the node below it, and the share of the way to the next."""

    node: int
    share: float


class Corner(NamedTuple):
    """One corner around a point of a two-way table, and its weight."""

    row: int
    column: int
    weight: float


def place(axis: Sequence[float], value: float) -> Place:
    """Find a value on a rising axis that contains it.

    >>> place((5.0, 8.0, 12.0), 10.0)
    Place(node=1, share=0.5)
    """
    node = min(max(bisect_right(axis, value) - 1, 0), len(axis) - 2)
    return Place(node, (value - axis[node]) / (axis[node + 1] - axis[node]))


def corners(rows: Place, columns: Place) -> list[Corner]:
    """The corners with weight around a point, for a blend that is linear each way."""
    return [Corner(row, column, high * wide) for row, high in sides(rows) for column, wide in sides(columns)]


def sides(spot: Place) -> list[tuple[int, float]]:
    """The nodes with weight on either side of a place, each with its weight.

    >>> sides(Place(2, 0.25)), sides(Place(2, 0.0))
    ([(2, 0.75), (3, 0.25)], [(2, 1.0)])
    """
    both = (spot.node, 1.0 - spot.share), (spot.node + 1, spot.share)
    return [side for side in both if side[1] > 0.0]


def blend(rows: Sequence[Sequence[Sequence[float]]], around: Iterable[Corner]) -> list[float]:
    """Blend the rows of numbers at the corners.

    >>> blend([[[0.0], [1.0]], [[2.0], [3.0]]], corners(Place(0, 0.5), Place(0, 0.0)))
    [1.0]
    """
    total: list[float] = []
    for row, column, weight in around:
        numbers = rows[row][column]
        if total:
            total = [sofar + weight * one for sofar, one in zip(total, numbers, strict=True)]
        else:
            total = [weight * one for one in numbers]
    return total


def quantile(values: Iterable[float], share: float) -> float:
    """The quantile of a sample, linear between its ordered values.

    >>> quantile([3.0, 1.0, 2.0], 0.25)
    1.5
    """
    ordered = sorted(values)
    position = share * (len(ordered) - 1)
    low = math.floor(position)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (position - low) * (ordered[high] - ordered[low])


def weighted_quantile(values: Sequence[float], weights: Sequence[float], share: float) -> float:
    """The quantile of a weighted sample, linear between the middles of its weights.

    >>> weighted_quantile([1.0, 2.0, 3.0], [1.0, 1.0, 1.0], 0.5)
    2.0
    """
    pairs = sorted(zip(values, weights, strict=True))
    wanted = share * math.fsum(weights)
    passed, before, last = 0.0, 0.0, pairs[0][0]
    for value, weight in pairs:
        middle = passed + 0.5 * weight
        if middle >= wanted:
            if middle <= before or passed == 0.0:
                return value
            return last + (value - last) * (wanted - before) / (middle - before)
        before, last = middle, value
        passed += weight
    return last
