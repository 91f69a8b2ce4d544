"""What a tilted pool reaches on either side, as data."""

from __future__ import annotations

import functools
from typing import cast

from decision.band import band_of
from decision.freeze.answers import FreezeRefusal, SiteClass
from decision.freeze.lookup import FreezeTable
from decision.freeze.pool import Pool, PoolRefusal, TiltedPool, tilted_pool
from decision.freeze.tilted import RESTS_ON, SideFreeze, sides_of
from decision.recommendation import SideEstimate, Sides, TiltEstimate

__all__ = ["FIRST_CONTRACT", "LEVEL_WITHIN_DEGREES", "RIM_MM", "sides_estimate", "tilt_estimate"]

LEVEL_WITHIN_DEGREES = 15.0  # what the question for a level site allows
RIM_MM = 15.0  # of a cone whose rim was not stated
FIRST_CONTRACT = 1  # of answers whose conclusion covers why a side has no band, with the name of the parameter


@functools.lru_cache(maxsize=4096)  # sizes and times come in few steps
def tilt_estimate(
    table: FreezeTable, pool: Pool, degrees: float, level_s: float, site_class: str, *, in_words: bool
) -> TiltEstimate:
    """Estimate the first cycle of a cone on a tilted site; arguments as for `sides_estimate`."""
    answer: TiltEstimate = {
        "degrees": degrees,
        "fill_mm": pool.fill_mm,
        "by_side": None,
        "refused": None,
        "rests_on": RESTS_ON,
    }
    stands = tilted_pool(pool, degrees)
    if isinstance(stands, PoolRefusal):
        answer["refused"] = stands.in_words
    else:
        answer["by_side"] = sides_estimate(table, pool, stands, degrees, level_s, site_class, in_words=in_words)
    return answer


def sides_estimate(
    table: FreezeTable,
    pool: Pool,
    stands: TiltedPool,
    degrees: float,
    level_s: float,
    site_class: str,
    *,
    in_words: bool,
) -> Sides:
    """Both sides of a pool that stands.

    Args:
        table: As for `freeze.tilted.sides_of`, as are the next five.
        pool: See there.
        stands: See there.
        degrees: See there.
        level_s: See there.
        site_class: See there.
        in_words: A side without a band says why without the name of a parameter.
    """
    shallow, deep = sides_of(table, pool, stands, degrees, level_s, cast("SiteClass", site_class))
    return {"shallow": _side(shallow, in_words=in_words), "deep": _side(deep, in_words=in_words)}


def _side(side: SideFreeze, *, in_words: bool) -> SideEstimate:
    answer: SideEstimate = {
        "depth_mm": round(side.depth_mm, 2),
        "contact_s": round(side.wet_s, 1),
        "ice_depth_mm": None,
        "depth_minus25_mm": None,
        "refused": None,
    }
    if isinstance(side.found, FreezeRefusal):
        answer["refused"] = side.found.in_words if in_words else side.found.reason
    else:
        answer["ice_depth_mm"] = band_of(side.found.ice_depth_mm)
        answer["depth_minus25_mm"] = band_of(side.found.depth_minus25_mm)
    return answer
