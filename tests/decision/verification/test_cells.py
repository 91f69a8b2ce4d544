"""Cells: what no test tells apart, and what a box over them says."""

import math
import random

import pytest
from hypothesis import given

from decision.unary_test import Among, Interval, Truth, in_words, met
from decision.verification.cell_words import in_cells
from decision.verification.cells import Cells
from decision.vocabulary import Input
from tests.random_rules import CHANCES, STEADY, case_values, random_rule_set

WIDTH = Input("width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
SITE = Input("site", "lesion", "code", "Where?", allowed={code: code for code in ("ear", "lid", "lip", "tail")})
WET = Input("wet", "lesion", "boolean", "Is it wet?")


def cells_of(*tests, unknown=()) -> Cells:
    return Cells({one.name: one for one in (WIDTH, SITE, WET)}, tests, unknown)


@STEADY
@given(CHANCES)
def test_values_of_one_cell_answer_every_test_alike(chance: random.Random):
    rule_set = random_rule_set(chance)
    tests = [test for rule in rule_set.rules for test in rule.tests]
    cells = Cells(rule_set.inputs, tests, ())

    for test in tests:
        value = chance.choice(case_values(rule_set.inputs[test.input], rule_set.limits.get(test.input, ())))
        place = cells.place_of(test.input, value)

        assert met(test, value) == (place in cells.places(cells.box(test), test.input))


@STEADY
@given(CHANCES)
def test_a_case_lies_in_the_box_of_a_test_exactly_when_it_meets_it(chance: random.Random):
    rule_set = random_rule_set(chance)
    tests = [test for rule in rule_set.rules for test in rule.tests]
    cells = Cells(rule_set.inputs, tests, ())
    case = {
        name: chance.choice(case_values(one, rule_set.limits.get(name, ()))) for name, one in rule_set.inputs.items()
    }

    assert all(cells.contains(cells.box(test), case) == met(test, case[test.input]) for test in tests)


def test_a_number_has_a_cell_for_each_limit_and_for_each_gap_beside_it():
    cells = cells_of(Interval("width_mm", 5, 10))

    under, on_five, between, on_ten, over = cells.values["width_mm"]

    assert under < on_five == 5 < between < on_ten == 10 < over <= 300


def test_a_limit_at_the_end_of_the_range_has_no_gap_beyond_it():
    cells = cells_of(Interval("width_mm", 0.5, 300))

    assert [cells.place_of("width_mm", value) for value in (0.5, 20.0, 300.0)] == [0, 1, 2]
    assert len(cells.values["width_mm"]) == 3


def test_a_gap_that_holds_no_double_is_no_cell():
    cells = cells_of(Interval("width_mm", high=6), Interval("width_mm", high=math.nextafter(6, 7), high_included=False))

    assert len(cells.values["width_mm"]) == 4  # under 6, 6, the next double, over it


def test_an_input_that_no_test_asks_about_has_one_cell():
    assert len(cells_of().values["width_mm"]) == 1


def test_what_may_be_unknown_has_one_cell_more_that_meets_no_test():
    cells = cells_of(Truth("wet", True), unknown={"wet"})

    assert cells.values["wet"] == (False, True, None)
    assert not cells.contains(cells.box(Truth("wet", True)), {})


def test_cells_are_counted_as_an_exact_whole_number():
    cells = cells_of(Interval("width_mm", 5, 10))

    assert cells.count(["width_mm", "site", "wet"]) == 5 * 4 * 2


def test_a_case_is_picked_from_the_cells_that_a_box_allows():
    cells = cells_of(Interval("width_mm", low=10))
    box = cells.box(Interval("width_mm", low=10)) & cells.box(Among("site", ("ear", "lip")))

    picked = [cells.pick(box, cells.values, random.Random(seed)) for seed in range(30)]

    assert {case["site"] for case in picked} == {"ear", "lip"}
    assert all(10 <= case["width_mm"] <= 300 for case in picked)


@pytest.mark.parametrize(
    ("test", "about"),
    [
        (Interval("width_mm", 5, 10, True, False), WIDTH),
        (Interval("width_mm", high=5), WIDTH),
        (Interval("width_mm", 10, 10), WIDTH),
        (Among("site", ("ear",)), SITE),
        (Among("site", ("ear",), inside=False), SITE),
        (Truth("wet", False), WET),
    ],
)
def test_a_box_is_said_in_the_words_of_the_test_that_asks_for_it(test, about):
    cells = cells_of(test, Interval("width_mm", 5, 10))

    assert in_cells(cells.box(test), about, cells) == in_words(test, about)


def test_two_runs_of_cells_are_said_as_one_or_the_other():
    cells = cells_of(Interval("width_mm", 5, 10))
    apart = cells.with_places(cells.whole, "width_mm", [0, 3, 4])

    assert in_cells(apart, WIDTH, cells) == "width is under 5 mm or width is at least 10 mm"


def test_what_is_not_known_is_said_too():
    cells = cells_of(unknown={"wet"})

    assert in_cells(cells.with_places(cells.whole, "wet", [1, 2]), WET, cells) == "wet: yes or wet is not known"
