"""How a second or third freeze of the same place differs from the first.

Later freezes meet tissue that is still cool, so they reach a little deeper and thaw more
slowly. The changes are medians over some draws, by diameter, contact time and wait.
"""

from __future__ import annotations

import math
from typing import Any

from decision.freeze.estimate import NO_CHANGE, Change
from decision.freeze.interpolation import corners, place
from decision.freeze.ranges import NotCovered, check_number

__all__ = ["LONGEST_WAIT_S", "change_of_cycle"]

LONGEST_WAIT_S = 600.0


def change_of_cycle(
    stored: dict[str, Any], where: tuple[str, str], freeze: tuple[float, float], cycle: object,
    wait_s: object,
) -> Change:  # fmt: skip
    """Look up the change of a cycle.

    Args:
        stored: The table's "cycles": axes, and changes by applicator, site class,
            diameter, contact time, wait and cycle.
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
    total = [0.0] * len(NO_CHANGE)
    for corner in corners(rows, columns):
        for node, share in ((waits.node, 1.0 - waits.share), (waits.node + 1, waits.share)):
            change = nodes[corner.row][corner.column][node][int(number) - 2]
            weight = corner.weight * share
            total = [sofar + weight * one for sofar, one in zip(total, change, strict=True)]
    return Change(*total)
