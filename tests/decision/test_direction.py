"""Steps up in risk, and what moves with them."""

import pytest

from decision.cells import Cells
from decision.direction import moves_freely, steps_up
from decision.unary_test import Interval
from decision.vocabulary import Input


def number(name: str, risk: object = "none", **parents: str) -> Input:
    about = "derived" if parents else "lesion"
    return Input(name, about, "number", "How much?", "mm", 0, 100, risk=risk, parents=parents)


def code(risk: object) -> Input:
    return Input("site", "lesion", "code", "Where?", allowed={one: one for one in "abcd"}, risk=risk)


def steps(one: Input, *tests: Interval) -> list[tuple[object, object]]:
    cells = Cells({one.name: one}, tests, ())
    return [(cells.values[one.name][low], cells.values[one.name][high]) for low, high in steps_up(one, cells)]


def test_a_number_steps_from_each_cell_to_the_next_in_the_direction_of_risk():
    limit = Interval("width", low=10)

    assert steps(number("width", "rises"), limit) == [(0, 10), (10, 11)]
    assert steps(number("width", "falls"), limit) == [(11, 10), (10, 0)]
    assert steps(number("width"), limit) == []


def test_a_yes_or_no_steps_once():
    wet = Input("wet", "lesion", "boolean", "Is it wet?", risk="falls")

    assert steps(wet) == [(True, False)]


def test_codes_step_from_every_one_of_a_level_to_every_one_of_the_next():
    assert steps(code(["d", ["a", "c"], "b"])) == [("d", "a"), ("d", "c"), ("a", "b"), ("c", "b")]


def test_there_is_no_step_between_codes_of_one_level():
    assert steps(code([["a", "b", "c", "d"]])) == []


@pytest.mark.parametrize(
    ("parent", "direction", "own", "freely"),
    [
        ("rises", "rises", "rises", False),
        ("falls", "falls", "rises", False),
        ("falls", "rises", "falls", False),
        ("rises", "rises", "falls", True),  # it moves down in its own risk
        ("rises", "none", "rises", True),
        ("rises", "rises", "none", True),
    ],
)
def test_what_is_always_known_moves_freely_unless_the_vocabulary_ties_its_risk_to_that_of_the_parent(
    parent, direction, own, freely
):
    bore = number("needed_bore_mm", own, base_width_mm=direction)

    assert moves_freely(bore, number("base_width_mm", parent)) == freely


def test_what_may_become_unknown_moves_freely():
    assert moves_freely(number("reach_mm", "rises", base_width_mm="rises"), number("base_width_mm", "rises"))


def test_what_stays_known_when_a_risk_rises_does_not_move_freely():
    through = Input(
        "may_be_through",
        "derived",
        "boolean",
        "Is it?",
        risk="rises",
        parents={"thickness_mm": "falls", "site": "none"},
    )

    assert not moves_freely(through, number("thickness_mm", "falls"))
    assert moves_freely(through, code(["a", "b", "c", "d"]))
