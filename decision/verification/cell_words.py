"""Say in English which cells of an input a box allows, in the words of the tests that would ask for them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from decision.unary_test import Among, Interval, Truth, in_words
from decision.verification.cells import Cells
from decision.vocabulary import Input, Value

__all__ = ["in_cells"]


def in_cells(box: int, one: Input, cells: Cells) -> str:
    """What a box says about an input.

    >>> from decision.vocabulary import Input
    >>> width = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
    >>> cells = Cells({"base_width_mm": width}, [Interval("base_width_mm", low=10)], ())
    >>> in_cells(cells.box(Interval("base_width_mm", low=10)), width, cells)
    'base width is at least 10 mm'
    """
    places = cells.places(box, one.name)
    values = [cells.values[one.name][place] for place in places]
    said = list(_said([value for value in values if value is not None], one, cells))
    return " or ".join([*said, *([f"{one.label} is not known"] if None in values else [])])


def _said(values: Sequence[Value], one: Input, cells: Cells) -> Iterator[str]:
    if not values:
        return
    if one.type == "boolean":
        yield from (in_words(Truth(one.name, value is True), one) for value in values)
    elif one.type == "code":
        yield in_words(_codes([str(value) for value in values], one), one)
    else:
        for first, last in _runs([cells.place_of(one.name, value) for value in values]):
            yield in_words(_interval(first, last, one.name, cells), one)


def _codes(codes: Sequence[str], one: Input) -> Among:
    """One of some codes, or none of the others where that is shorter."""
    others = tuple(code for code in one.allowed if code not in codes)
    return Among(one.name, others, inside=False) if len(others) < len(codes) else Among(one.name, tuple(codes))


def _runs(places: Sequence[int]) -> Iterator[tuple[int, int]]:
    """The first and the last of each run of places without a gap."""
    first = places[0]
    for place, following in zip(places, [*places[1:], math.inf], strict=True):
        if following != place + 1:
            yield first, place
            first = int(following) if following != math.inf else first


def _interval(first: int, last: int, name: str, cells: Cells) -> Interval:
    """The interval from one cell to another; a gap between limits takes neither of them in."""
    limits, values = cells.limits[name], cells.values[name]
    low, high = float(values[first] or 0), float(values[last] or 0)
    return Interval(
        name,
        low=low if low in limits else max((limit for limit in limits if limit < low), default=-math.inf),
        high=high if high in limits else min((limit for limit in limits if limit > high), default=math.inf),
        low_included=low in limits,
        high_included=high in limits,
    )
