"""How a second or third freeze of the same place differs from the first.

Later freezes meet tissue that is still cool, so they reach a little deeper and thaw more
slowly, and a poor contact gains the most. The changes compare the quantiles of later
cycles with those of the first over some draws, by diameter, contact time and wait.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import Any, NamedTuple

from decision.freeze.interpolation import corners, place
from decision.freeze.ranges import NotCovered, check_number

__all__ = ["LONGEST_WAIT_S", "NO_CHANGE", "Change", "change_of_cycle", "changed"]

LONGEST_WAIT_S = 600.0


class Change(NamedTuple):
    """What to do to p10, p50 and p90 of the first cycle.

    Ice depth and thaw are multiplied; depths at -25 and -40 C (mm), the ice radius (mm)
    and the surface temperature (C) are added to. The radius at -25 C is left as it is.
    """

    ice_factor: Sequence[float]
    minus25_more_mm: Sequence[float]
    minus40_more_mm: Sequence[float]
    thaw_factor: Sequence[float]
    radius_more_mm: float
    surface_more_c: float


NO_CHANGE = Change((1.0, 1.0, 1.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (1.0, 1.0, 1.0), 0.0, 0.0)


def change_of_cycle(
    stored: dict[str, Any],
    where: tuple[str, str],
    freeze: tuple[float, float],
    cycle: object,
    wait_s: object,
) -> Change:
    """Look up the change of a cycle.

    Args:
        stored: The table's "cycles": axes, and 14 numbers (the fields of Change in turn)
            by applicator, site class, diameter, contact time, wait and cycle.
        where: Applicator and site class.
        freeze: Contact diameter in mm and contact time in s, both within the table.
        cycle: 1, 2 or 3.
        wait_s: Seconds of rest after thaw, 0 to LONGEST_WAIT_S; beyond the last stored
            wait its change is used, which is the most it can be.

    Returns:
        The change; no change for the first cycle.

    Raises:
        NotCovered: The cycle or the wait is out of range.
    """
    number = check_number("cycle", cycle, 1, 3, unit="")
    wait = check_number("wait_after_thaw_s", wait_s, 0, LONGEST_WAIT_S, unit="s")
    if number != int(number):
        raise NotCovered(f"cycle is {number:g}; it must be 1, 2 or 3.")
    if number == 1:
        return NO_CHANGE
    applicator, site_class = where
    rows = place(stored["diameter_mm"][applicator], freeze[0])
    columns = place([math.sqrt(one) for one in stored["contact_s"]], math.sqrt(freeze[1]))
    waits = place(stored["wait_s"], min(wait, stored["wait_s"][-1]))
    nodes = stored["changes"][applicator][site_class]
    total = [0.0] * 14
    for corner in corners(rows, columns):
        for node, share in ((waits.node, 1.0 - waits.share), (waits.node + 1, waits.share)):
            change = nodes[corner.row][corner.column][node][int(number) - 2]
            weight = corner.weight * share
            total = [sofar + weight * one for sofar, one in zip(total, change, strict=True)]
    return Change(total[0:3], total[3:6], total[6:9], total[9:12], total[12], total[13])


def changed(numbers: Sequence[float], change: Change) -> list[float]:
    """Apply a change to a row of p10, p50, p90 of each of `table_file.QUANTITIES`."""
    return [
        *_ordered(one * factor for one, factor in zip(numbers[0:3], change.ice_factor, strict=True)),
        *_ordered(one + more for one, more in zip(numbers[3:6], change.minus25_more_mm, strict=True)),
        *_ordered(one + more for one, more in zip(numbers[6:9], change.minus40_more_mm, strict=True)),
        *(one + change.radius_more_mm for one in numbers[9:12]),
        *numbers[12:15],
        *_ordered(one * factor for one, factor in zip(numbers[15:18], change.thaw_factor, strict=True)),
        *(one + change.surface_more_c for one in numbers[18:21]),
    ]


def _ordered(three: Iterable[float]) -> list[float]:
    """Quantiles that never fall from one to the next."""
    return list(accumulate(three, max))
