"""Look up after how many seconds of contact the cold is through thin tissue.

Standard library only. `table_statistics.py` made what is stored; this module blends its nodes, linear in diameter and
thickness, in the logarithm of the seconds.
"""

from __future__ import annotations

import math

from decision.freeze.answers import FarSide, SecondsBand
from decision.freeze.interpolation import Corner, corners, place
from decision.freeze.ranges import check_code, check_diameter, check_number
from decision.freeze.table_file import TableFile

__all__ = ["WITHIN_S", "far_side_of"]

WITHIN_S = 60.0


def far_side_of(
    file: TableFile, applicator: str, contact_diameter_mm: float, backing: str, thickness_mm: float
) -> FarSide:
    """Seconds until ice reaches the far side; arguments as for `FreezeTable.far_side`.

    Raises:
        NotCovered: Something lies outside the table.
    """
    stored = file.far_side
    check_code("applicator", applicator, file.diameter_mm)
    axis = file.diameter_mm[applicator]
    diameter = check_diameter(applicator, contact_diameter_mm, axis)
    check_code("backing", backing, stored["seconds"][applicator])
    thick_axis = stored["thickness_mm"]
    thick = check_number("thickness_mm", thickness_mm, thick_axis[0], thick_axis[-1], unit="mm")
    around = corners(place(axis, diameter), place(thick_axis, thick))
    found = stored["seconds"][applicator][backing]
    return FarSide(
        nominal_s=_reached_s(found["nominal"], around, stored["looked_s"]),
        strong_s=_reached_s(found["strong"], around, stored["looked_s"]),
        **_bands(file, applicator, diameter, backing, thick),
    )


def _bands(
    file: TableFile, applicator: str, diameter_mm: float, backing: str, thickness_mm: float
) -> dict[str, SecondsBand]:
    """The bands of `FarSide`; `table_statistics.through_thin_tissue` says how they are stored."""
    stored = file.through
    rows = stored["bands"][applicator][backing]
    around = corners(place(stored["diameter_mm"][applicator], diameter_mm), place(stored["thickness_mm"], thickness_mm))
    nodes = [(rows[corner.row][corner.column], corner.weight) for corner in around]
    return {"ice_s": _seconds_band(nodes, 0, 6), "minus25_s": _seconds_band(nodes, 3, 7)}


def _reached_s(seconds: list[list[float | None]], around: list[Corner], looked_s: float) -> float | None:
    """Blend in the logarithm; where a node was not reached, take it as just not reached."""
    total = 0.0
    for row, column, weight in around:
        found = seconds[row][column]
        total += weight * math.log(looked_s if found is None else found)
    reached = math.exp(total)
    return round(reached, 2) if reached <= WITHIN_S else None


def _seconds_band(nodes: list[tuple[list[float | None], float]], first: int, never: int) -> SecondsBand:
    """A band from nodes and their weights: where its p10 stands in a node, and where the share that never comes."""
    low, middle, high = (_blended_s([(node[first + rank], weight) for node, weight in nodes]) for rank in range(3))
    return SecondsBand(low, middle, high, round(sum(weight * (node[never] or 0.0) for node, weight in nodes), 3))


def _blended_s(nodes: list[tuple[float | None, float]]) -> float | None:
    """Blend in the logarithm; a node that is not reached beside one that is counts as 60 s: early, so cautious."""
    if all(seconds is None for seconds, _ in nodes):
        return None
    total = sum(weight * math.log(WITHIN_S if seconds is None else seconds) for seconds, weight in nodes)
    return round(math.exp(total), 2)
