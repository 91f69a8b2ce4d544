"""The case that a form states."""

import pytest

from api.web.case import case_of, faults_by_field
from api.web.sheet import read_sheet
from decision.errors import CaseFault


def stated(toy_book, form):
    return case_of(read_sheet(form), toy_book.vocabulary, "before")


def test_an_empty_field_states_nothing(toy_book):
    case, faults = stated(toy_book, b"patient.species=&lesions.0.lesion_id=a&lesions.0.ulcerated=")

    assert (case, faults) == ({"lesions": [{"lesion_id": "a"}], "patient": {}}, {})


def test_each_kind_of_field_becomes_its_type(toy_book):
    lesion = b"lesions.0.lesion_id=left flank&lesions.0.longest_diameter_mm=4,5&lesions.0.ulcerated=no"
    form = lesion + b"&equipment.bores_mm=5, 8 12"

    case, faults = stated(toy_book, form)

    assert case["lesions"] == [{"lesion_id": "left-flank", "longest_diameter_mm": 4.5, "ulcerated": False}]
    assert case["equipment"] == {"bores_mm": [5.0, 8.0, 12.0]}
    assert not faults


def test_two_numbers_joined_by_a_comma_alone_are_not_guessed_at(toy_book):
    _, faults = stated(toy_book, b"lesions.0.lesion_id=a&equipment.bores_mm=2,5")

    assert faults == {"equipment.bores_mm": "Write numbers with spaces between, each from 1 to 40 mm."}


def test_what_is_no_number_is_said_with_what_would_be_right(toy_book):
    _, faults = stated(toy_book, b"lesions.0.lesion_id=a&lesions.0.longest_diameter_mm=wide")

    assert faults == {"lesions.0.longest_diameter_mm": "Write a number from 0.5 to 300 mm."}


def test_a_field_in_the_wrong_place_is_left_out(toy_book):
    case, _ = stated(toy_book, b"lesions.0.lesion_id=a&lesions.0.species=dog&patient.ruled_out=checked")

    assert case == {"lesions": [{"lesion_id": "a"}], "patient": {}}


@pytest.mark.parametrize(
    ("pointer", "field"),
    [
        ("#/lesions/0/longest_diameter_mm", "lesions.0.longest_diameter_mm"),
        ("#/equipment/bores_mm/1", "equipment.bores_mm"),
    ],
)
def test_a_fault_of_the_case_stands_at_its_field(toy_book, pointer, field):
    assert list(faults_by_field([CaseFault(pointer, "out_of_range", "said")], toy_book.vocabulary)) == [field]


def test_what_contradicts_another_fact_is_said_as_such_and_not_as_a_wrong_kind_of_answer(toy_book):
    fault = CaseFault("#/lesions/0/longest_diameter_mm", "contradiction", "Check both.")

    assert faults_by_field([fault], toy_book.vocabulary) == {"lesions.0.longest_diameter_mm": "Check both."}
