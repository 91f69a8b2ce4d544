"""The other values of a fact: nearest first, one for each cell, and only those a patient could have."""

import pytest

from decision.reviewer.moves import moves_of
from decision.unary_test import Interval
from decision.verification.cells import Cells
from decision.vocabulary import Input

WIDTH = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
WEEKS = Input("weeks_present", "lesion", "number", "How long?", "weeks", 0, 2000, changes="time")
FREEZES = Input("earlier_freezes", "lesion", "number", "How many?", "freezes", 0, 50)
BASIS = Input(
    "basis",
    "lesion",
    "code",
    "On what?",
    allowed={"none": "none", "look": "look", "cells": "cells"},
    risk=["cells", "look", "none"],
)


def cells(one, *limits):
    return Cells({one.name: one}, [Interval(one.name, low=limit) for limit in limits], set())


@pytest.mark.parametrize(
    ("given", "moves"),
    [
        (12.0, [10.0, 9.9]),  # down to the limit, and a tenth below it
        (10.0, [9.9, 10.1]),  # on the limit
        (4.0, [10.0, 10.1]),  # up to it, and a tenth beyond
    ],
)
def test_a_number_moves_to_the_limit_and_a_tenth_beyond_it(given, moves):
    assert moves_of(WIDTH, given, cells(WIDTH, 10)) == moves


def test_what_only_time_moves_never_falls():
    assert moves_of(WEEKS, 6.0, cells(WEEKS, 4, 12)) == [12.0, 13.0]


def test_what_is_counted_is_never_half():
    assert moves_of(FREEZES, 0.0, cells(FREEZES, 1, 2)) == [1.0, 2.0, 3.0]


def test_a_value_never_leaves_the_range_of_a_patient():
    assert moves_of(FREEZES, 3.0, cells(FREEZES, 0, 50)) == [0.0, 50.0]


def test_codes_come_by_their_distance_in_risk():
    assert moves_of(BASIS, "cells", cells(BASIS)) == ["look", "none"]


def test_a_fact_that_is_not_stated_may_have_any_value():
    assert moves_of(BASIS, None, cells(BASIS)) == ["none", "look", "cells"]
    assert moves_of(Input("sore", "lesion", "boolean", "Sore?"), None, cells(WIDTH)) == [False, True]
