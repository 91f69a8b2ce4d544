"""Thin tissue with something behind it: what a draw does to it, and what it can never come to."""

from __future__ import annotations

from dataclasses import replace

import pytest

from decision.freeze.plate import BACKINGS, far_side_s, through_s
from decision.freeze.priors import nominal

LOOK_S = 60.0


def through(applicator="cone", diameter=8.0, backing="air", thickness=1.5, **changed):
    one = replace(nominal(applicator, BACKINGS[backing].site_class), **changed)
    return through_s(applicator, diameter, backing, thickness, one, LOOK_S)


def test_a_nominal_draw_takes_as_long_as_the_nominal_contact():
    """Cells of 0.15 mm read the far side a little sooner than those of 0.1 mm, and never later."""
    for backing in BACKINGS:
        for thickness in (1.0, 1.5, 2.0):
            fine_s = far_side_s("cone", 8.0, backing, thickness, strong=False)
            ice_s, _ = through(backing=backing, thickness=thickness)
            assert 0.94 * fine_s <= ice_s <= fine_s + 0.05


def test_thicker_tissue_is_through_later():
    times = [through(thickness=thickness) for thickness in (0.5, 1.0, 1.5, 2.0)]

    assert [ice for ice, _ in times] == sorted(ice for ice, _ in times)
    assert [cold for _, cold in times] == sorted(cold for _, cold in times)


@pytest.mark.parametrize("better", [{"film_w_m2k": 2500.0}, {"cryogen_c": -66.0}, {"keratin_m2k_w": 0.0}], ids=str)
def test_better_contact_is_through_sooner(better):
    (ice, cold), (ice_better, cold_better) = through(), through(**better)

    assert ice_better < ice
    assert cold_better < cold


def test_ice_comes_before_minus_25():
    for applicator in ("cone", "foam_tip"):
        ice, cold = through(applicator, diameter=5.0, thickness=0.75)
        assert ice < cold


def test_the_far_side_over_bone_never_comes_below_what_a_steady_wall_allows():
    """1.5 mm on bone, film 1304 in front and 300 behind: -57 C in front leaves -23 C behind."""
    in_front = 1 / nominal("cone", "trunk").contact_w_m2k + 0.0015 / nominal("cone", "trunk").frozen_w_mk
    steady_c = 37.0 - (37.0 + 57.0) / (1 + 300.0 * in_front)
    assert steady_c > -25.0

    ice, cold = through(backing="bone")

    assert ice is not None
    assert cold is None


def test_a_foam_tip_that_runs_dry_does_not_come_through_thick_tissue():
    assert through("foam_tip", diameter=2.0, thickness=3.0) == [None, None]
