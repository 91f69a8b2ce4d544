"""Cut a region of cases into sub-boxes, each wholly inside one of some boxes or met by none: exact, never sampled.

A box allows some cells of each input. It is written as one whole number: a row of bits for each input, one bit a cell,
and a guard bit above each row, so that one addition tells whether every row has a cell left. What the cells are is
for cells.py to say, and what a box means for the modules that ask.

    complete     the boxes of all rules leave no gap in the region of every case
    no conflict  the region that two boxes share is empty
    direction    the boxes of rules as cautious leave no gap where a rule let go when risk rose
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

__all__ = ["Rows", "gaps", "pieces"]


@dataclass(frozen=True, slots=True)
class Rows:
    """How a box is written as a number: the bits of each input, all of them together, and the guards."""

    rows: tuple[int, ...]
    whole: int
    guards: int

    @classmethod
    def of(cls, sizes: Iterable[int]) -> Rows:
        """Lay out rows for inputs with so many cells each.

        >>> rows = Rows.of([3, 2])
        >>> f"{rows.whole:b} {rows.guards:b}"
        '110111 1001000'
        """
        rows, guards, offset = [], 0, 0
        for size in sizes:
            rows.append(((1 << size) - 1) << offset)
            offset += size
            guards |= 1 << offset
            offset += 1
        return cls(tuple(rows), sum(rows), guards)

    def holds_a_case(self, box: int) -> bool:
        """Whether each input has a cell left."""
        return (box + self.whole) & self.guards == self.guards


def pieces(rows: Rows, region: int, boxes: Sequence[int]) -> Iterator[tuple[int, bool]]:
    """Cut a region into sub-boxes that share no case.

    Args:
        rows: The layout of all boxes.
        region: The box to cut; it holds a case.
        boxes: The boxes to cut it by, in any order.

    Yields:
        Each sub-box, with whether it lies inside one of the boxes. One that does not is met by none of them.

    >>> rows = Rows.of([3, 2])                          # width under, at, over 10; sampled no, yes
    >>> wide_unsampled, narrow = 0b01_0_110, 0b11_0_001
    >>> [f"{piece:06b}" for piece, inside in pieces(rows, rows.whole, [wide_unsampled, narrow]) if not inside]
    ['100110']
    """
    waiting: list[tuple[int, Sequence[int]]] = [(region, boxes)]
    while waiting:
        region, boxes = waiting.pop()
        met = _met(rows, region, boxes)
        if met is None:
            yield region, True
        elif not met:
            yield region, False
        else:
            pivot = _pivot(rows, region, met)
            for row in _by_use(rows, region, pivot, met):
                waiting.append((region & ~(row & pivot), met))
                region &= pivot | ~row
            yield region, True


def gaps(rows: Rows, region: int, boxes: Sequence[int]) -> Iterator[int]:
    """Cut out what no box meets: no sub-box comes when the boxes cover the region."""
    return (piece for piece, inside in pieces(rows, region, boxes) if not inside)


def _met(rows: Rows, region: int, boxes: Sequence[int]) -> list[int] | None:
    """The parts of boxes that lie in the region; None when one of them is all of it."""
    found = []
    for box in boxes:
        part = box & region
        if part == region:
            return None
        if (part + rows.whole) & rows.guards == rows.guards:
            found.append(part)
    return found


def _pivot(rows: Rows, region: int, met: Sequence[int]) -> int:
    """The box that is narrower than the region on the fewest inputs: it leaves the fewest parts to look at."""
    whole, guards = rows.whole, rows.guards
    return min(met, key=lambda box: ((((box ^ region) + whole) & guards).bit_count(), -box.bit_count()))


def _by_use(rows: Rows, region: int, pivot: int, met: Sequence[int]) -> list[int]:
    """The rows on which the pivot is narrower than the region, those that most boxes narrow first."""
    narrower = [row for row in rows.rows if (region ^ pivot) & row]
    if len(narrower) == 1:
        return narrower
    return sorted(narrower, key=lambda row: -sum(1 for box in met if (region ^ box) & row))
