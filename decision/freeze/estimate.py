"""Turn blended numbers into an estimate, and leave out what is not there."""

from __future__ import annotations

from collections.abc import Sequence

from decision.freeze.answers import Band, FreezeEstimate

__all__ = ["LEAST_DEPTH_MM", "estimate_from"]

LEAST_DEPTH_MM = 0.05
# Where each quantity starts in a row of p10, p50, p90 after p10, p50, p90.
ICE, COLD, COLDER, ICE_RADIUS, COLD_RADIUS, THAW, SURFACE = range(0, 21, 3)


def estimate_from(
    numbers: Sequence[float],
    nodes: Sequence[Sequence[float]],
    contact_radius_mm: float,
) -> FreezeEstimate:
    """Make the estimate from 21 numbers.

    Args:
        numbers: p10, p50, p90 of each of `table_file.QUANTITIES`, blended.
        nodes: The same at every node that was blended: a radius is not believed where a
            node has no zone, because the radius jumps from nothing to almost the contact.
        contact_radius_mm: Radius of the contact.

    Returns:
        The estimate, with None for each zone that vanishes.
    """
    ice_radius = _radius(numbers, nodes, ICE_RADIUS, ICE)
    past_edge = Band(*(round(one - contact_radius_mm, 3) for one in ice_radius)) if ice_radius else None
    cold_radius = _radius(numbers, nodes, COLD_RADIUS, COLD)
    return FreezeEstimate(
        ice_depth_mm=_depth(numbers, ICE),
        depth_minus25_mm=_depth(numbers, COLD),
        depth_minus40_mm=_depth(numbers, COLDER),
        ice_past_edge_mm=past_edge,
        radius_minus25_mm=Band(*(round(one, 3) for one in cold_radius)) if cold_radius else None,
        thaw_s=Band(*(round(one, 2) for one in numbers[THAW : THAW + 3])),
        surface_end_c=Band(*(round(one, 2) for one in numbers[SURFACE : SURFACE + 3])),
    )


def _depth(numbers: Sequence[float], start: int) -> Band | None:
    """A band of depths, or None where even p90 is next to nothing."""
    if numbers[start + 2] < LEAST_DEPTH_MM:
        return None
    return Band(*(round(one, 3) for one in numbers[start : start + 3]))


def _radius(numbers: Sequence[float], nodes: Sequence[Sequence[float]], start: int, depth: int) -> list[float] | None:
    """A band of radii: 0 at a quantile that has no zone; None where p50 has none."""
    if any(node[depth + 1] < LEAST_DEPTH_MM for node in nodes):
        return None
    there = [all(node[depth + k] >= LEAST_DEPTH_MM for node in nodes) for k in range(3)]
    return [numbers[start + k] if there[k] else 0.0 for k in range(3)]
