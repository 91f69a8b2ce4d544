"""The fields of a form, before anything is made of them."""

import pytest

from api.web.sheet import read_sheet


def test_lesions_are_numbered_from_nought_whatever_a_form_calls_them():
    sheet = read_sheet(b"lesions.3.site=trunk&lesions.7.site=tail&shown=lesions.7.site")

    assert sheet.lesions == ["lesions.0", "lesions.1"]
    assert sheet.places["lesions.1"]["site"] == "tail"
    assert sheet.shown["lesions.1"] == ["site"]


def test_a_lesion_like_the_last_one_copies_its_facts_and_not_its_check_list():
    sheet = read_sheet(b"lesions.0.lesion_id=flank&lesions.0.site=trunk&lesions.0.ruled_out=lesion_signs")

    sheet.repeat_lesion()

    assert sheet.places["lesions.1"]["site"] == "trunk"
    assert sheet.places["lesions.1"]["lesion_id"] != "flank"
    assert "lesions.1" not in sheet.ticked


def test_taking_a_lesion_out_keeps_the_others_as_they_are():
    sheet = read_sheet(b"lesions.0.site=tail&lesions.1.site=trunk&lesions.1.ruled_out=lesion_signs")

    sheet.remove_lesion("lesions.0")

    assert sheet.places == {"lesions.0": {"site": "trunk"}}
    assert sheet.ticked == {"lesions.0": ["lesion_signs"]}


def test_bytes_that_are_no_text_are_read_all_the_same():
    assert read_sheet(b"patient.species=%ff%fe").places == {"patient": {"species": "\ufffd\ufffd"}}


def test_more_fields_than_any_page_has_are_refused():
    with pytest.raises(ValueError, match="fields"):
        read_sheet(b"&".join(b"a=1" for _ in range(4001)))
