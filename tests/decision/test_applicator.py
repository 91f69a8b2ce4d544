"""The size of an applicator, from those at hand."""

import pytest

from decision.applicator import fitting, obstacle, wanted_diameter_mm

LESION = {"base_width_mm": 4.0}


@pytest.mark.parametrize(
    ("applicator", "low", "high"),
    [
        ("cone", 5.5, 8.0),  # base width and 1.5 mm, up to 4 mm
        ("foam_tip", 4.0, 6.0),  # as wide as the lesion, up to 2 mm more
    ],
)
def test_an_applicator_is_wanted_by_the_width_of_the_lesion(applicator, low, high):
    assert wanted_diameter_mm(applicator, LESION) == {"low": low, "high": high}


def test_no_size_is_wanted_where_nothing_is_applied():
    assert wanted_diameter_mm("none", LESION) is None


def test_no_size_is_wanted_where_the_width_is_not_stated():
    assert wanted_diameter_mm("cone", {}) is None


@pytest.mark.parametrize(
    ("sizes", "fits"),
    [
        ([12.0, 8.0, 6.0], 6.0),  # the smallest that fits
        ([5.5], 5.5),
        ([8.0], 8.0),
        ([5.4, 8.1], None),
        ([], None),
    ],
)
def test_the_smallest_size_at_hand_that_fits_is_taken(sizes, fits):
    assert fitting({"low": 5.5, "high": 8.0}, sizes) == fits


def test_a_foam_tip_beyond_the_freeze_model_is_not_wanted():
    assert wanted_diameter_mm("foam_tip", {"base_width_mm": 6.0}) == {"low": 6.0, "high": 7.0}


def test_a_bore_beyond_the_widest_is_not_wanted():
    assert wanted_diameter_mm("cone", {"base_width_mm": 38.0}) == {"low": 39.5, "high": 40.0}


@pytest.mark.parametrize(
    ("applicator", "available", "said"),
    [
        ("cone", True, None),
        ("cone", None, None),  # the sizes at hand were not stated
        ("cone", False, "nothing at hand fits"),
        ("foam_tip", False, "nothing at hand fits"),
        ("none", False, "neither a cone nor a foam tip will do"),
    ],
)
def test_what_stands_against_a_permission_is_said_in_words(applicator, available, said):
    assert obstacle({"applicator": applicator, "available": available}) == said


@pytest.mark.parametrize(
    ("method", "not_now", "said"),
    [
        (None, [], "with which applicator is still open"),
        (None, ["the canister is hot"], "not now: the canister is hot"),
        ({"applicator": "cone", "available": True}, ["one", "another"], "not now: one; another"),
        ({"applicator": "none", "available": False}, ["one"], "neither a cone nor a foam tip will do"),
    ],
)
def test_a_danger_stands_before_an_open_method_and_after_what_cannot_be(method, not_now, said):
    assert obstacle(method, not_now) == said
