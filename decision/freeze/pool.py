"""The pool in a cone: how deep it stands on a tilted site, and how much it takes.

Depths are measured at right angles to the skin. Tilting moves the surface of the pool,
never its volume. Geometry only, but for two assumptions about the canister: the density
of the liquid, and the share of what leaves the canister that stays in the pool.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from decision.freeze.answers import Refusal
from decision.freeze.ranges import NotCovered, check_number

__all__ = ["FillsLeft", "Pool", "PoolRefusal", "TiltedPool", "fills_left", "pool_ml", "tilted_pool"]

# Liquid at its boiling point: propane 580, isobutane 594, dimethyl ether 736 kg/m3 (tables
# of liquid properties; propane from memory).
DENSITY_G_ML = (0.58, 0.74)
# What does not flash off or miss on the way into the cone. An assumption, no source.
CAUGHT_SHARE = (0.4, 0.7)


@dataclass(frozen=True, slots=True)
class Pool:
    """A cone and its fill.

    `bore_mm` is the inner diameter at the skin, `fill_mm` the depth when level, `rim_mm`
    the height of the rim above the skin, and `wall_degrees` how far the wall leans
    outwards (0 for a straight tube).
    """

    bore_mm: float
    fill_mm: float
    rim_mm: float
    wall_degrees: float = 0.0


@dataclass(frozen=True, slots=True)
class TiltedPool:
    """Depth of the pool at the wall on its shallow and deep side, and on the axis, in mm."""

    shallow_mm: float
    deep_mm: float
    axis_mm: float


@dataclass(frozen=True, slots=True)
class PoolRefusal(Refusal):
    """Why there is no pool: out of range, a dry side, or a spill."""


@dataclass(frozen=True, slots=True)
class FillsLeft:
    """Fewest and most fills that a canister still holds."""

    fewest: int
    most: int


def tilted_pool(pool: Pool, tilt_degrees: float) -> TiltedPool | PoolRefusal:
    """Say how deep the pool stands on either side when the site is tilted.

    Args:
        pool: Bore 3 to 15 mm, fill 0.5 to 20 mm, rim 1 to 40 mm, wall 0 to 40 degrees.
        tilt_degrees: Tilt of the skin from level, 0 to 60 degrees.

    Returns:
        The depths, or a refusal when one side is dry or the pool spills.

    >>> pool = tilted_pool(Pool(8, 5, 15), 30)
    >>> round(pool.deep_mm - pool.shallow_mm, 1)
    4.6
    >>> tilted_pool(Pool(8, 2, 15), 30).reason
    'One side is dry: at 30 degrees a fill of 2 mm in a bore of 8 mm needs at least 2.3 mm.'
    """
    try:
        _check(pool)
        tilt = math.tan(math.radians(check_number("tilt_degrees", tilt_degrees, 0, 60, unit="degrees")))
    except NotCovered as fault:
        return PoolRefusal(str(fault), fault.words)
    radius, wall = 0.5 * pool.bore_mm, math.tan(math.radians(pool.wall_degrees))
    if tilt * wall >= 1.0:
        return PoolRefusal("It spills: the wall leans out further than the site is tilted.")
    axis = _axis_mm(radius, pool.fill_mm, wall, tilt)
    shallow = (axis - radius * tilt) / (1.0 + wall * tilt)
    deep = (axis + radius * tilt) / (1.0 - wall * tilt)
    if shallow < 0.0:
        needed = radius * tilt
        return PoolRefusal(
            f"One side is dry: at {tilt_degrees:g} degrees a fill of {pool.fill_mm:g} mm in a bore "
            f"of {pool.bore_mm:g} mm needs at least {needed:.1f} mm."
        )
    if deep > pool.rim_mm:
        return PoolRefusal(f"It spills: the deep side stands {deep:.1f} mm high and the rim is at {pool.rim_mm:g} mm.")
    return TiltedPool(shallow, deep, axis)


def pool_ml(pool: Pool) -> float | PoolRefusal:
    """Volume of one fill in millilitres.

    >>> round(pool_ml(Pool(8, 5, 15)), 2), round(pool_ml(Pool(12, 6, 15)), 2)
    (0.25, 0.68)
    """
    try:
        _check(pool)
    except NotCovered as fault:
        return PoolRefusal(str(fault), fault.words)
    low = 0.5 * pool.bore_mm
    high = low + pool.fill_mm * math.tan(math.radians(pool.wall_degrees))
    return math.pi * pool.fill_mm * (low * low + low * high + high * high) / 3.0 / 1000.0


def fills_left(net_weight_g: float, one_fill_ml: float) -> FillsLeft | PoolRefusal:
    """Say how many fills a canister still holds.

    Args:
        net_weight_g: Weight of the canister less its empty weight, 0 to 1000 g.
        one_fill_ml: Volume of one fill, 0.01 to 10 ml.

    Returns:
        Fewest (dense liquid, much lost) and most fills, or a refusal.

    >>> fills_left(50, 0.25)
    FillsLeft(fewest=108, most=241)
    """
    try:
        weight = check_number("net_weight_g", net_weight_g, 0, 1000, unit="g")
        volume = check_number("one_fill_ml", one_fill_ml, 0.01, 10, unit="ml")
    except NotCovered as fault:
        return PoolRefusal(str(fault), fault.words)
    (light, dense), (least, most) = DENSITY_G_ML, CAUGHT_SHARE
    return FillsLeft(
        fewest=math.floor(weight * least / (volume * dense)),
        most=math.floor(weight * most / (volume * light)),
    )


def _check(pool: Pool) -> None:
    check_number("bore_mm", pool.bore_mm, 3, 15, unit="mm")
    check_number("fill_mm", pool.fill_mm, 0.5, 20, unit="mm")
    check_number("wall_degrees", pool.wall_degrees, 0, 40, unit="degrees")
    rim = check_number("rim_mm", pool.rim_mm, 1, 40, unit="mm")
    if pool.fill_mm > rim:
        raise NotCovered(
            f"fill_mm is {pool.fill_mm:g}; it must be from 0.5 to the rim, {rim:g} mm.",
            f"A fill of {pool.fill_mm:g} mm stands above the rim, which is at {rim:g} mm.",
        )


def _axis_mm(radius_mm: float, fill_mm: float, wall: float, tilt: float) -> float:
    """Depth on the axis that keeps the volume: a slanted cut through a cone, from its apex.

    The volume from the apex to the cut is that of a level cone of the same height over
    the axis, divided by (1 - wall^2 tilt^2)^1.5; written so that a straight wall is no
    special case.
    """
    flatter = math.sqrt(1.0 - (wall * tilt) ** 2)
    return fill_mm * flatter - radius_mm * wall * tilt**2 / (1.0 + flatter)
