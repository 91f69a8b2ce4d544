"""Narrowing a band by the thaw that was seen."""

from __future__ import annotations

import math

import pytest

from decision.freeze.lookup import FreezeEstimate, FreezeRefusal, load_freeze_table
from decision.freeze.narrowing import matching_draws
from decision.freeze.table_file import DRAW_UNITS, QUANTITIES, pack, unpack

TABLE_NOW = load_freeze_table()


def seen(thaw_s, **more):
    return TABLE_NOW.given_thaw("cone", 8, 20, "trunk", observed_thaw_s=thaw_s, **more)


def test_a_longer_thaw_means_deeper_ice():
    depths = [seen(thaw).ice_depth_mm.p50 for thaw in (40, 52, 70, 95)]

    assert depths == sorted(depths)
    assert depths[-1] - depths[0] > 0.5


# Cone 8 mm, 20 s, trunk, from an independent set of 256 draws: ice and -25 C depth of the
# draws whose thaw lies in a bin (ends are roughly p10 and p90 of the bin).
@pytest.mark.parametrize(
    ("thaw_s", "ice_low", "ice_high", "cold_low", "cold_high"),
    [
        (38, 1.1, 1.6, 0.0, 0.2),
        (52, 1.4, 1.9, 0.0, 0.6),
        (73, 1.75, 2.4, 0.26, 1.0),
        (105, 2.1, 2.6, 0.8, 1.7),
    ],
)
def test_the_narrowed_band_agrees_with_an_independent_run(thaw_s, ice_low, ice_high, cold_low, cold_high):
    found = seen(thaw_s)
    cold = found.depth_minus25_mm

    print(thaw_s, found.ice_depth_mm, cold)
    assert ice_low - 0.15 <= found.ice_depth_mm.p10
    assert found.ice_depth_mm.p90 <= ice_high + 0.2
    assert cold is None or cold.p10 >= cold_low - 0.15
    assert cold is None or cold.p90 <= cold_high + 0.25


def test_an_observed_thaw_narrows_the_ice_band():
    wide = TABLE_NOW.estimate("cone", 8, 20, "trunk").ice_depth_mm
    narrow = seen(68).ice_depth_mm

    assert narrow.p90 - narrow.p10 < 0.8 * (wide.p90 - wide.p10)


def test_a_thaw_that_no_draw_shows_is_refused():
    found = seen(600)

    assert isinstance(found, FreezeRefusal)
    assert found.reason.startswith("The observed thaw is 600 s; the draws of this freeze thaw in ")


def test_the_refusal_of_a_later_cycle_names_what_was_seen():
    assert seen(600, cycle=2).reason.startswith("The observed thaw is 600 s; ")


@pytest.mark.parametrize("thaw_s", [math.nan, 0, -3, "40"])
def test_a_thaw_that_is_no_duration_is_refused(thaw_s):
    assert "it must be from 0.5 to 1200 s." in seen(thaw_s).reason


def test_a_freeze_outside_the_table_is_refused_before_its_thaw_is_looked_at():
    found = TABLE_NOW.given_thaw("cone", 8, 41, "trunk", observed_thaw_s=60)

    assert found == FreezeRefusal("contact_s is 41; it must be from 5 to 40 s.")


def test_the_thaw_of_a_second_cycle_is_judged_by_that_cycle():
    second = TABLE_NOW.estimate("cone", 8, 20, "trunk", cycle=2, wait_after_thaw_s=0)
    usual = seen(second.thaw_s.p50, cycle=2, wait_after_thaw_s=0)

    assert isinstance(usual, FreezeEstimate)
    assert usual.ice_depth_mm.p10 <= second.ice_depth_mm.p50 <= usual.ice_depth_mm.p90


def two_kinds_of_draw():
    """One node: ten draws thaw in 20 s with 1 mm of ice, ten in 60 s with 3 mm."""
    values = {"thaw_s": [20.0] * 10 + [60.0] * 10, "ice_depth_mm": [1.0] * 10 + [3.0] * 10}
    numbers = [
        round(one / unit)
        for name, unit in zip(QUANTITIES, DRAW_UNITS, strict=True)
        for one in values.get(name, [0.0] * 20)
    ]
    return unpack(pack(numbers))


def test_draws_far_from_the_observation_have_no_say():
    packed = two_kinds_of_draw()

    assert matching_draws(packed, [(0, 1.0)], 20, 20.0, slower=1.0)[0:3] == pytest.approx([1.0, 1.0, 1.0])
    assert matching_draws(packed, [(0, 1.0)], 20, 60.0, slower=1.0)[0:3] == pytest.approx([3.0, 3.0, 3.0])


def test_a_slower_cycle_reads_the_same_draws_at_a_longer_thaw():
    packed = two_kinds_of_draw()

    assert matching_draws(packed, [(0, 1.0)], 20, 30.0, slower=1.5)[0:3] == pytest.approx([1.0, 1.0, 1.0])
