"""The cycles of a visit on their way from the timer to the chart."""

import pytest

from api.web.cycles import cycles_of, done_on, drop_cycle, keep_cycle, prefill
from api.web.form import act
from api.web.sheet import read_sheet
from decision import load_rule_book

CASE = b"lesions.0.lesion_id=flank&lesions.1.lesion_id=lip&for=lesions.1&"
TIMED = (
    b"cycle.applicator_used=cone&cycle.contact_diameter_mm=5&cycle.contact_seconds=22.4&cycle.ruled_out=cycle_faults"
)
CONE = {"available": True, "applicator": "cone", "contact_diameter_mm": 8.0}


@pytest.fixture(scope="module")
def vocabulary():
    book = load_rule_book()
    yield book.vocabulary
    book.close()


def test_a_new_cycle_is_filled_in_with_the_method_that_the_case_advises():
    sheet = read_sheet(CASE)

    prefill(sheet, {"method": CONE})

    written = {"applicator_used": "cone", "contact_diameter_mm": "8", "cycle_number": "1"}
    assert sheet.places["cycle"] == written


@pytest.mark.parametrize("method", [None, {**CONE, "available": False}, {**CONE, "contact_diameter_mm": None}])
def test_a_case_that_advises_no_size_at_hand_fills_in_none(method):
    sheet = read_sheet(CASE)

    prefill(sheet, {"method": method})

    assert sheet.places["cycle"] == {"cycle_number": "1"}


def test_what_the_vet_wrote_or_emptied_is_not_filled_in_again():
    sheet = read_sheet(CASE + b"cycle.applicator_used=&cycle.contact_diameter_mm=12")

    prefill(sheet, {"method": CONE})

    assert sheet.places["cycle"]["applicator_used"] == ""
    assert sheet.places["cycle"]["contact_diameter_mm"] == "12"


def test_the_next_cycle_is_filled_in_as_the_one_before_it():
    sheet = read_sheet(CASE + TIMED)
    keep_cycle(sheet)

    prefill(sheet, {"method": CONE})

    written = {"applicator_used": "cone", "contact_diameter_mm": "5", "cycle_number": "2"}
    assert sheet.places["cycle"] == written


def test_a_kept_cycle_and_the_one_in_hand_are_stated_for_their_lesion_alone(vocabulary):
    sheet = read_sheet(CASE + TIMED)
    keep_cycle(sheet)
    sheet.places["cycle"] = {"contact_seconds": "19"}

    stated, faults = cycles_of(sheet, "lesions.1", vocabulary)

    first = {
        "applicator_used": "cone",
        "contact_diameter_mm": 5.0,
        "contact_seconds": 22.4,
        "ruled_out": ["cycle_faults"],
    }
    assert (stated, faults) == ([first, {"contact_seconds": 19.0}], {})
    assert cycles_of(sheet, "lesions.0", vocabulary) == ([], {})


def test_a_cycle_of_which_nothing_was_seen_is_not_kept():
    sheet = read_sheet(CASE + b"cycle.applicator_used=cone&cycle.cycle_number=1&cycle.contact_seconds=")

    keep_cycle(sheet)

    assert sheet.cycles == []
    assert "cycle" not in sheet.places


def test_what_cannot_be_read_in_a_cycle_is_said_where_it_stands(vocabulary):
    sheet = read_sheet(CASE + b"cycle.contact_seconds=some")

    _, faults = cycles_of(sheet, "lesions.1", vocabulary)

    assert list(faults) == ["cycle.contact_seconds"]


def test_going_on_with_another_lesion_keeps_the_cycle_of_the_first():
    sheet = read_sheet(CASE + TIMED + b"&do=of lesions.0")

    act(sheet, "during")

    assert done_on(sheet, "lesions.1") == ["cycles.0"]
    assert done_on(sheet, "lesions.0") == []


def test_coming_back_to_the_lesion_in_hand_finds_its_cycle_as_it_was():
    sheet = read_sheet(CASE + TIMED + b"&do=of lesions.1")

    act(sheet, "during")

    assert done_on(sheet, "lesions.1") == ["cycle"]


def test_a_kept_cycle_can_be_taken_out_and_nothing_else():
    sheet = read_sheet(CASE + TIMED)
    keep_cycle(sheet)

    drop_cycle(sheet, "lesions.0")
    assert sheet.cycles == ["cycles.0"]
    drop_cycle(sheet, "cycles.0")

    assert sheet.cycles == []
    assert sheet.lesions == ["lesions.0", "lesions.1"]


def test_a_lesion_that_is_taken_out_takes_its_cycles_with_it_and_the_others_keep_theirs():
    sheet = read_sheet(CASE + TIMED)
    keep_cycle(sheet)

    sheet.remove_lesion("lesions.0")
    assert done_on(sheet, "lesions.0") == ["cycles.0"]
    assert sheet.frame["for"] == "lesions.0"
    sheet.remove_lesion("lesions.0")

    assert sheet.cycles == []
    assert "for" not in sheet.frame
