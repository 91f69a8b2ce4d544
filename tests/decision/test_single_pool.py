"""One question about the pool in a cone."""

import math

import pytest

from decision.single_pool import PoolQuestion, answer_pool


@pytest.mark.parametrize("degrees", [0, 10, 25])
def test_the_sides_differ_by_the_bore_times_the_tangent_of_the_tilt(degrees):
    depths = answer_pool(PoolQuestion(8, 5, degrees))["depths"]

    assert depths["deep_mm"] - depths["shallow_mm"] == pytest.approx(8 * math.tan(math.radians(degrees)), abs=0.02)


def test_a_fill_is_the_volume_of_a_cylinder_where_the_wall_is_straight():
    assert answer_pool(PoolQuestion(8, 5, 0))["one_fill_ml"] == pytest.approx(math.pi * 16 * 5 / 1000, abs=1e-4)


def test_fills_are_counted_from_the_fewest_to_the_most():
    left = answer_pool(PoolQuestion(8, 5, 0, net_weight_g=50))["fills_left"]

    # 50 g: 40 % caught of the densest liquid, 70 % of the lightest, in fills of 0.2513 ml
    assert left == {"fewest": int(50 * 0.4 / (0.2513 * 0.74)), "most": int(50 * 0.7 / (0.2513 * 0.58))}


def test_an_empty_canister_has_no_fill_left():
    assert answer_pool(PoolQuestion(8, 5, 0, net_weight_g=0))["fills_left"] == {"fewest": 0, "most": 0}


def test_what_is_assumed_about_the_canister_is_said():
    assert "0.58 to 0.74 g/ml and with 40 to 70 %" in answer_pool(PoolQuestion(8, 5, 0))["statement"]
