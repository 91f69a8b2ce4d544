"""The tilted pool, its volume, and how long a canister lasts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from decision.freeze.pool import (
    FillsLeft,
    Pool,
    PoolRefusal,
    TiltedPool,
    fills_left,
    pool_ml,
    tilted_pool,
)


def test_a_level_pool_is_as_deep_on_both_sides():
    assert tilted_pool(Pool(8, 5, 15), 0) == TiltedPool(5.0, 5.0, 5.0)


def test_thirty_degrees_of_tilt_lift_one_side_of_an_eight_millimetre_bore_by_more_than_four():
    found = tilted_pool(Pool(8, 5, 15), 30)

    assert found.deep_mm - found.shallow_mm == pytest.approx(8 * math.tan(math.pi / 6))
    assert found.deep_mm - found.shallow_mm == pytest.approx(4.6, abs=0.05)


def slanted_volume_ml(pool: Pool, axis_mm: float, tilt_degrees: float) -> float:
    """Volume below a slanted surface by summing small cells: no formula of ours."""
    slope = math.tan(math.radians(tilt_degrees))
    wall = math.tan(math.radians(pool.wall_degrees))
    cell = 0.05
    side = np.arange(-12.0, 12.0, cell) + 0.5 * cell
    x, y = np.meshgrid(side, side)
    volume = 0.0
    for z in np.arange(0.0, 16.0, cell) + 0.5 * cell:
        volume += np.count_nonzero((np.hypot(x, y) <= 0.5 * pool.bore_mm + wall * z) & (z <= axis_mm + slope * x))
    return volume * cell**3 / 1000.0


@pytest.mark.parametrize(("wall_degrees", "tilt_degrees"), [(0, 15), (10, 20), (20, 25)])
def test_tilting_never_changes_the_volume(wall_degrees, tilt_degrees):
    pool = Pool(8, 5, 20, wall_degrees)

    found = tilted_pool(pool, tilt_degrees)

    assert slanted_volume_ml(pool, found.axis_mm, tilt_degrees) == pytest.approx(pool_ml(pool), rel=0.01)


@given(bore=st.floats(3, 15), fill=st.floats(0.5, 10), tilt=st.floats(0, 60), wall=st.floats(0, 25))
def test_the_shallow_side_is_never_deeper_and_never_dry(bore, fill, tilt, wall):
    found = tilted_pool(Pool(bore, fill, 40, wall), tilt)

    if isinstance(found, TiltedPool):
        assert 0.0 <= found.shallow_mm <= found.deep_mm <= 40.0
    else:
        assert found.reason.startswith(("One side is dry", "It spills"))


@pytest.mark.parametrize(
    ("pool", "tilt", "reason"),
    [
        (Pool(8, 2, 15), 30, "One side is dry: at 30 degrees a fill of 2 mm in a bore of 8 mm "
                             "needs at least 2.3 mm."),
        (Pool(8, 5, 6), 30, "It spills: the deep side stands 7.3 mm high and the rim is at 6 mm."),
        (Pool(8, 7, 6), 0, "fill_mm is 7; it must be from 0.5 to the rim, 6 mm."),
        (Pool(2, 5, 15), 0, "bore_mm is 2; it must be from 3 to 15 mm."),
        (Pool(8, math.nan, 15), 0, "fill_mm is nan; it must be from 0.5 to 20 mm."),
        (Pool(8, 5, 15), 61, "tilt_degrees is 61; it must be from 0 to 60 degrees."),
    ],
)  # fmt: skip
def test_a_pool_that_does_not_hold_is_refused(pool, tilt, reason):
    assert tilted_pool(pool, tilt) == PoolRefusal(reason)


@pytest.mark.parametrize(("bore", "fill", "millilitres"), [(8, 5, 0.25), (12, 6, 0.68)])
def test_the_volume_of_a_fill(bore, fill, millilitres):
    assert pool_ml(Pool(bore, fill, 15)) == pytest.approx(millilitres, abs=0.005)


def test_fills_left_count_the_loss_and_the_density():
    """10 g; fewest: 10 x 0.4 / 0.74 / 0.25 = 21.6; most: 10 x 0.7 / 0.58 / 0.25 = 48.3."""
    assert fills_left(10, 0.25) == FillsLeft(21, 48)


def test_an_empty_canister_has_no_fills():
    assert fills_left(0, 0.25) == FillsLeft(0, 0)


@pytest.mark.parametrize(
    ("weight", "volume", "reason"),
    [
        (-1, 0.25, "net_weight_g is -1; it must be from 0 to 1000 g."),
        (50, 0, "one_fill_ml is 0; it must be from 0.01 to 10 ml."),
    ],
)
def test_a_weight_or_fill_out_of_range_is_refused(weight, volume, reason):
    assert fills_left(weight, volume) == PoolRefusal(reason)


def test_a_fill_above_the_rim_is_also_said_without_the_name_of_a_parameter():
    assert pool_ml(Pool(8, 7, 6)).in_words == "A fill of 7 mm stands above the rim, which is at 6 mm."
