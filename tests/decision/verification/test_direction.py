"""Steps up in risk, and what moves with them."""

import pytest

from decision.unary_test import Interval
from decision.verification.cells import Cells
from decision.verification.direction import levels_of, moves_freely
from decision.vocabulary import Input


def number(name: str, risk: object = "none", **parents: str) -> Input:
    about = "derived" if parents else "lesion"
    return Input(name, about, "number", "How much?", "mm", 0, 100, risk=risk, parents=parents)


def code(risk: object) -> Input:
    return Input("site", "lesion", "code", "Where?", allowed={one: one for one in "abcd"}, risk=risk)


def levels(one: Input, *tests: Interval) -> list[list[object]]:
    cells = Cells({one.name: one}, tests, ())
    return [[cells.values[one.name][place] for place in level] for level in levels_of(one, cells)]


def test_the_cells_of_a_number_are_levels_in_the_direction_of_its_risk():
    limit = Interval("width", low=10)

    assert levels(number("width", "rises"), limit) == [[0], [10], [11]]
    assert levels(number("width", "falls"), limit) == [[11], [10], [0]]
    assert levels(number("width"), limit) == []


def test_a_yes_or_no_has_two_levels():
    wet = Input("wet", "lesion", "boolean", "Is it wet?", risk="falls")

    assert levels(wet) == [[True], [False]]


def test_codes_have_the_levels_that_the_vocabulary_lists():
    assert levels(code(["d", ["a", "c"], "b"])) == [["d"], ["a", "c"], ["b"]]


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
