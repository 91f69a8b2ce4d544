"""What tilt does to a freeze: the band on the shallow and on the deep side of a pool.

A pool finds its level while it boils away, and skin that is wet boils it alike everywhere,
so the level falls by as much on one side as on the other. A place then stays wet for that
share of the level pool's time which its depth is of the level fill: exactly so in a straight
cone, nearly so in one that leans. The band of a side is that of a level pool which stays
wet for as long.
"""

from __future__ import annotations

from dataclasses import dataclass

from decision.freeze.answers import FreezeEstimate, FreezeRefusal, SiteClass
from decision.freeze.lookup import FreezeTable
from decision.freeze.pool import Pool, TiltedPool

__all__ = ["RESTS_ON", "STEEPEST_DEGREES", "SideFreeze", "freeze_of_side", "sides_of"]

STEEPEST_DEGREES = 30.0
RESTS_ON = (
    "The band of a side is that of a level pool that stays wet as long as the depth at that wall allows. It rests on "
    "a level that falls evenly until the last side is dry, and it holds for the axis of such a pool: towards the rim "
    "ice is shallower, tilted or not. Cold that flows between the sides is left out: computed for a trough with the "
    "same solver, up to 30 degrees, it changes either depth by no more than 0.1 mm. A cone that is lifted before its "
    "deep side is dry freezes that side less."
)


@dataclass(frozen=True, slots=True)
class SideFreeze:
    """One side of a tilted pool: depth at the wall in mm, seconds wet, and what they reach."""

    depth_mm: float
    wet_s: float
    found: FreezeEstimate | FreezeRefusal


def sides_of(
    table: FreezeTable, pool: Pool, stands: TiltedPool, degrees: float, level_s: float, site_class: SiteClass
) -> tuple[SideFreeze, SideFreeze]:
    """The freeze on the shallow and on the deep side, first cycle.

    Args:
        table: The freeze table.
        pool: The cone and its fill.
        stands: How it stands at this tilt; see `pool.tilted_pool`.
        degrees: Tilt of the skin from level.
        level_s: Seconds for which the fill stays wet when level.
        site_class: "trunk", "distal" or "mucosa".

    Returns:
        Shallow and deep side; each with a refusal where the table ends.
    """
    depths = (stands.shallow_mm, stands.deep_mm)
    shallow, deep = (freeze_of_side(table, pool, depth, degrees, level_s, site_class) for depth in depths)
    return shallow, deep


def freeze_of_side(
    table: FreezeTable, pool: Pool, depth_mm: float, degrees: float, level_s: float, site_class: SiteClass
) -> SideFreeze:
    """The freeze where a pool stands to a depth; arguments as for `sides_of`."""
    wet_s = level_s * depth_mm / pool.fill_mm
    if degrees > STEEPEST_DEGREES:
        said = f"the tilt is {degrees:g} degrees; a band was checked up to {STEEPEST_DEGREES:g} degrees."
        return SideFreeze(depth_mm, wet_s, FreezeRefusal(said))
    return SideFreeze(depth_mm, wet_s, table.estimate("cone", pool.bore_mm, round(wet_s, 2), site_class))
