"""One question about the pool in a cone."""

import math

import pytest

from decision.freeze.lookup import load_freeze_table
from decision.freeze.tilted import RESTS_ON
from decision.single_pool import PoolQuestion, answer_pool

TABLE = load_freeze_table()


@pytest.mark.parametrize("degrees", [0, 10, 25])
def test_the_sides_differ_by_the_bore_times_the_tangent_of_the_tilt(degrees):
    depths = answer_pool(TABLE, PoolQuestion(8, 5, degrees))["depths"]

    assert depths["deep_mm"] - depths["shallow_mm"] == pytest.approx(8 * math.tan(math.radians(degrees)), abs=0.02)


def test_a_fill_is_the_volume_of_a_cylinder_where_the_wall_is_straight():
    assert answer_pool(TABLE, PoolQuestion(8, 5, 0))["one_fill_ml"] == pytest.approx(math.pi * 16 * 5 / 1000, abs=1e-4)


def test_fills_are_counted_from_the_fewest_to_the_most():
    left = answer_pool(TABLE, PoolQuestion(8, 5, 0, net_weight_g=50))["fills_left"]

    # 50 g: 40 % caught of the densest liquid, 70 % of the lightest, in fills of 0.2513 ml
    assert left == {"fewest": int(50 * 0.4 / (0.2513 * 0.74)), "most": int(50 * 0.7 / (0.2513 * 0.58))}


def test_an_empty_canister_has_no_fill_left():
    assert answer_pool(TABLE, PoolQuestion(8, 5, 0, net_weight_g=0))["fills_left"] == {"fewest": 0, "most": 0}


def test_what_is_assumed_about_the_canister_is_said():
    assert "0.58 to 0.74 g/ml and with 40 to 70 %" in answer_pool(TABLE, PoolQuestion(8, 5, 0))["statement"]


def test_each_side_has_its_band_at_the_tilt_asked_and_at_every_tilt_of_the_table():
    answer = answer_pool(TABLE, PoolQuestion(8, 5, 15, seconds=22, site="pinna"))

    # tan 15 x 4 mm = 1.0718: 22 x 3.9282 / 5 = 17.3 s and 22 x 6.0718 / 5 = 26.7 s, on skin of the class distal
    shallow, deep = answer["by_side"]["shallow"], answer["by_side"]["deep"]
    assert (shallow["contact_s"], deep["contact_s"]) == (17.3, 26.7)
    assert shallow["ice_depth_mm"]["p50"] == TABLE.estimate("cone", 8, 17.28, "distal").ice_depth_mm.p50
    assert deep["depth_minus25_mm"]["p90"] == TABLE.estimate("cone", 8, 26.72, "distal").depth_minus25_mm.p90
    assert next(one for one in answer["by_tilt"] if one["degrees"] == 15)["by_side"] == answer["by_side"]


def test_a_pool_that_does_not_stand_has_no_band_on_either_side():
    answer = answer_pool(TABLE, PoolQuestion(8, 2, 30))

    assert answer["by_side"] is None
    assert answer["reason"].startswith("One side is dry")


def test_a_side_outside_the_table_says_why_and_the_other_has_its_band():
    shallow = answer_pool(TABLE, PoolQuestion(8, 3, 30))["by_side"]["shallow"]

    # 20 x (3 - 4 tan 30) / 3 = 20 x 0.6906 / 3 = 4.6 s
    assert shallow["refused"] == "The freeze model covers a contact of 5 to 40 s, not of 4.6 s."
    assert shallow["ice_depth_mm"] is None and shallow["depth_minus25_mm"] is None
    assert answer_pool(TABLE, PoolQuestion(8, 3, 30))["by_side"]["deep"]["refused"] is None


def test_a_cryogen_that_was_not_validated_has_depths_and_no_band():
    answer = answer_pool(TABLE, PoolQuestion(8, 5, 15, cryogen="liquid_nitrogen"))

    assert answer["depths"] is not None
    assert answer["by_side"] is None and all(one["by_side"] is None for one in answer["by_tilt"])
    assert answer["cryogen"].startswith("No band")


def test_what_the_band_of_a_side_rests_on_is_said():
    assert RESTS_ON in answer_pool(TABLE, PoolQuestion(8, 5, 15))["statement"]
