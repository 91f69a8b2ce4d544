"""What may be typed in answer to a question, and what is said of anything else."""

from __future__ import annotations

import pytest

from api.command.answers import UnreadableAnswer, read_answer
from decision.vocabulary import Input

SIGHT = Input(
    "problem_caused",
    "lesion",
    "code",
    "What trouble does it cause?",
    allowed={"none": "none", "sight": "it hinders sight", "tack": "it is rubbed by tack"},
)
OPEN = Input("ulcerated", "lesion", "boolean", "Is it open?")
BORES = Input("cone_bores_mm", "equipment", "numbers", "Which bores?", "mm", 1, 40)
WIDTH = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("2", "sight"),  # the number in the list
        ("sight", "sight"),  # the code
        ("It is rubbed by tack", "tack"),  # the words
        ("it is", "tack"),  # words begun, of one answer only
        ("none", "none"),
    ],
)
def test_an_answer_is_chosen_by_number_code_or_words(typed, value):
    assert read_answer(typed, SIGHT) == value


@pytest.mark.parametrize("typed", ["0", "4", "it", "sightly", "²"])
def test_what_names_no_single_answer_is_refused_with_the_numbers_that_do(typed):
    with pytest.raises(UnreadableAnswer, match="Type the number of one answer, from 1 to 3"):
        read_answer(typed, SIGHT)


@pytest.mark.parametrize(("typed", "value"), [("1", True), ("yes", True), ("y", True), ("2", False), ("N", False)])
def test_yes_and_no_may_be_typed_short(typed, value):
    assert read_answer(typed, OPEN) is value


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("0.5", 0.5),  # on the lower limit
        ("300", 300.0),  # on the upper limit
        ("4,5", 4.5),  # the comma of many countries
    ],
)
def test_a_figure_is_read_up_to_its_limits(typed, value):
    assert read_answer(typed, WIDTH) == value


@pytest.mark.parametrize("typed", ["0.4", "300.1", "-1", "1e9", "inf"])
def test_a_figure_out_of_range_is_refused_with_the_range(typed):
    with pytest.raises(UnreadableAnswer, match=r"outside the range\. Type a number from 0\.5 to 300 mm"):
        read_answer(typed, WIDTH)


@pytest.mark.parametrize("typed", ["wide", "4 mm", "1.2.3"])
def test_what_is_no_figure_is_refused_as_such(typed):
    with pytest.raises(UnreadableAnswer, match="That is not a number"):
        read_answer(typed, WIDTH)


def test_several_figures_are_typed_with_spaces_between():
    assert read_answer("5 8,5 12", BORES) == [5.0, 8.5, 12.0]


def test_one_of_several_figures_out_of_range_refuses_them_all():
    with pytest.raises(UnreadableAnswer, match="Type numbers with spaces between, each from 1 to 40 mm"):
        read_answer("5 80", BORES)


def test_not_a_number_is_not_a_number():
    with pytest.raises(UnreadableAnswer, match="Type a number from"):
        read_answer("nan", WIDTH)
