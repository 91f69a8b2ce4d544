"""What tilt does to a freeze: how long each side stays wet, its band, and what leaving conduction out costs."""

from __future__ import annotations

import math

import numpy as np
import pytest

from decision.freeze.answers import FreezeRefusal
from decision.freeze.lookup import load_freeze_table
from decision.freeze.pool import Pool, TiltedPool, tilted_pool
from decision.freeze.tilted import RESTS_ON, STEEPEST_DEGREES, sides_of
from tests.decision.freeze.trough import Trough

TABLE = load_freeze_table()


def sides(pool, degrees, level_s=20.0, site_class="trunk"):
    stands = tilted_pool(pool, degrees)
    assert isinstance(stands, TiltedPool)
    return sides_of(TABLE, pool, stands, degrees, level_s, site_class)


def test_a_side_stays_wet_for_the_share_of_its_depth():
    """8 mm bore, 5 mm fill, 15 degrees, wet for 20 s when level.

    tan 15 = 0.26795; at the wall, 4 mm out, the pool stands 5 -+ 4 x 0.26795 = 3.9282 and 6.0718 mm deep.
    20 x 3.9282 / 5 = 15.713 s; 20 x 6.0718 / 5 = 24.287 s.
    """
    shallow, deep = sides(Pool(8, 5, 15), 15)

    assert (shallow.depth_mm, deep.depth_mm) == (pytest.approx(3.9282, abs=1e-4), pytest.approx(6.0718, abs=1e-4))
    assert (shallow.wet_s, deep.wet_s) == (pytest.approx(15.713, abs=1e-3), pytest.approx(24.287, abs=1e-3))


@pytest.mark.parametrize(("fill_mm", "degrees"), [(5.0, 15.0), (6.4, 25.0), (3.0, 10.0)])
def test_the_level_that_falls_dries_the_wall_when_the_share_says(fill_mm, degrees):
    """Small cells of liquid, taken away evenly from wet skin, the rest finding its level: no formula of ours."""
    pool, level_s = Pool(8, fill_mm, 15), 20.0
    slope, cell = math.tan(math.radians(degrees)), 0.02
    x, y = np.meshgrid(np.arange(-4, 4, cell) + cell / 2, np.arange(-4, 4, cell) + cell / 2)
    across = x[np.hypot(x, y) <= 4.0]
    left_mm3 = np.pi * 16 * fill_mm
    level, passed, step_s = fill_mm, 0.0, 0.02
    while level - 4.0 * slope > 0.0:
        wet = np.count_nonzero(level + slope * across > 0.0) * cell**2
        left_mm3 -= fill_mm / level_s * step_s * wet
        level = level_of(left_mm3, across, slope, cell)
        passed += step_s

    assert passed == pytest.approx(sides(pool, degrees, level_s)[0].wet_s, abs=0.15)


def level_of(volume_mm3, across, slope, cell):
    """Depth on the axis at which the liquid above the skin has a volume."""
    low, high = 0.0, 12.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        held = np.clip(middle + slope * across, 0.0, None).sum() * cell**2
        low, high = (low, middle) if held > volume_mm3 else (middle, high)
    return low


def test_the_band_of_a_side_is_that_of_a_level_pool_as_long_wet():
    shallow, deep = sides(Pool(8, 5, 15), 15)

    assert shallow.found == TABLE.estimate("cone", 8, 15.71, "trunk")
    assert deep.found == TABLE.estimate("cone", 8, 24.29, "trunk")


def test_a_level_site_has_two_sides_alike():
    shallow, deep = sides(Pool(8, 5, 15), 0)

    assert shallow == deep
    assert shallow.found == TABLE.estimate("cone", 8, 20, "trunk")


def test_the_more_it_is_tilted_the_less_the_shallow_side_and_the_more_the_deep_side_freezes():
    found = [sides(Pool(8, 5, 15), degrees) for degrees in (0, 5, 10, 15, 20, 30)]

    medians = [[side.found.ice_depth_mm.p50 for side in both] for both in found]
    shallow, deep = zip(*medians, strict=True)
    assert list(shallow) == sorted(shallow, reverse=True) and len(set(shallow)) == 6
    assert list(deep) == sorted(deep) and len(set(deep)) == 6


def test_a_side_that_is_wet_for_less_or_longer_than_the_table_has_is_refused():
    """8 mm bore, 3 mm fill, 30 degrees: tan 30 x 4 = 2.3094; 20 x 0.6906 / 3 = 4.6 s, under the 5 s of the table.

    With 25 s when level the deep side would be wet for 25 x 5.3094 / 3 = 44.245 s, over its 40 s.
    """
    shallow, _ = sides(Pool(8, 3, 15), 30)
    _, deep = sides(Pool(8, 3, 15), 30, 25.0)

    assert shallow.found == FreezeRefusal("contact_s is 4.6; it must be from 5 to 40 s.")
    assert deep.found == FreezeRefusal("contact_s is 44.25; it must be from 5 to 40 s.")


def test_a_tilt_that_was_not_checked_has_no_band():
    shallow, deep = sides(Pool(5, 6, 15), 31)

    assert shallow.found == deep.found == FreezeRefusal("the tilt is 31 degrees; a band was checked up to 30 degrees.")


@pytest.mark.parametrize(
    ("bore_mm", "fill_mm", "degrees", "level_s"),
    [(5, 4.5, 15, 20), (5, 4.5, 30, 20), (8, 5, 15, 20), (8, 5, 30, 20), (12, 6, 25, 25)],
)
@pytest.mark.parametrize("part", [-0.75, -0.5, 0.5, 0.75])  # of the way from the axis to the wall
def test_cold_that_flows_between_the_sides_changes_a_depth_by_no_more_than_is_said(
    troughs, bore_mm, fill_mm, degrees, level_s, part
):
    """A tilted trough against level ones that are wet as long as the place is: only the cross-flow differs."""
    at_mm = part * 0.5 * bore_mm
    slope = math.tan(math.radians(degrees))
    tilted = troughs(
        bore_mm, lambda across: level_s * (fill_mm + slope * across) / fill_mm, ("tilted", fill_mm, degrees)
    )
    wet_s = level_s * (fill_mm + slope * at_mm) / fill_mm
    level = troughs(bore_mm, lambda across: np.full(across.shape, wet_s), ("level", wet_s))

    print(bore_mm, degrees, part, tilted.ice_mm(at_mm) - level.ice_mm(at_mm))
    assert tilted.ice_mm(at_mm) == pytest.approx(level.ice_mm(at_mm), abs=0.1)
    assert tilted.minus25_mm(at_mm) == pytest.approx(level.minus25_mm(at_mm), abs=0.1)
    assert "up to 30 degrees, it changes either depth by no more than 0.1 mm" in RESTS_ON
    assert STEEPEST_DEGREES == 30.0


@pytest.fixture(scope="module")
def troughs():
    """Troughs by width and by what names them, each frozen once."""
    kept = {}

    def frozen(width_mm, wet_s, name):
        key = (width_mm, *name)
        if key not in kept:
            kept[key] = Trough(width_mm, wet_s)
        return kept[key]

    return frozen
