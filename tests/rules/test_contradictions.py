"""The shipped facts that cannot be together, and the presumptions that a stated fact proves wrong."""

import datetime
import json

import pytest

from decision.case import PARTS
from decision.errors import CaseError
from decision.reviewer.what_would_change import ChangeSearch
from tests.random_rules import written_cases
from tests.rules.soft_tag import soft_tag

TODAY = datetime.date(2026, 11, 24)
WART = {"lesion_kind": "frond_wart", "known_diagnosis": "papilloma"}


def tag(patient=None, lesion=None, many=1):
    made = soft_tag()
    made["patient"] |= patient or {}
    made["lesions"] = [{**made["lesions"][0], **(lesion or {}), "lesion_id": f"l{number}"} for number in range(many)]
    return made


@pytest.fixture
def told(shipped_book):
    return lambda *args, **more: shipped_book.recommend(tag(*args, **more))["lesions"][0]


def refused(book, case, moment="before"):
    with pytest.raises(CaseError) as refusal:
        book.read(case, today=TODAY, moment=moment)
    assert {one.code for one in refusal.value.faults} == {"contradiction"}
    return sorted({one.pointer.rpartition("/")[2] for one in refusal.value.faults})


@pytest.mark.parametrize(
    ("patient", "lesion", "fields"),
    [
        ({"age_years": 0.25}, {**WART, "weeks_present": 60}, ["age_years", "weeks_present"]),
        ({"species": "cat", "age_years": 96}, {}, ["age_years", "species"]),
        ({"species": "cat", "weight_kg": 400}, {}, ["species", "weight_kg"]),
        ({"species": "horse", "weight_kg": 0.5}, {}, ["species", "weight_kg"]),
        ({"neutered": True, "pregnant": True}, {}, ["neutered", "pregnant"]),
        ({}, {"earlier_freezes": 0, "earlier_freeze_result": "bigger"}, ["earlier_freeze_result", "earlier_freezes"]),
        ({}, {"earlier_freezes": 0, "days_since_last_freeze": 5}, ["days_since_last_freeze", "earlier_freezes"]),
        ({}, {"site": "eyelid_margin", "mm_from_margin": 5}, ["mm_from_margin", "site"]),
        ({}, {"site": "eyelid_skin", "mm_from_margin": 0}, ["mm_from_margin", "site"]),
    ],
)
def test_a_case_that_cannot_be_is_refused_at_its_fields(shipped_book, patient, lesion, fields):
    assert refused(shipped_book, tag(patient, lesion)) == fields


def test_a_review_that_cannot_be_is_refused_too(shipped_book):
    healing = {"patient": {"species": "dog"}, "lesion": {}, "healing": {"regrowth": True, "width_now_mm": 0}}
    cycle = {"patient": {"neutered": True, "pregnant": True}, "lesion": {}, "cycle": {}}

    assert refused(shipped_book, healing, "after") == ["regrowth", "width_now_mm"]
    assert refused(shipped_book, cycle, "during") == ["neutered", "pregnant"]


@pytest.mark.parametrize(
    ("patient", "lesion"),
    [
        ({"age_years": 0.25}, {"weeks_present": 13}),
        ({"age_years": 1}, {"weeks_present": 100}),
        ({"neutered": True}, {}),
        ({}, {"earlier_freezes": 1, "earlier_freeze_result": "same", "days_since_last_freeze": 30}),
        ({}, {"site": "eyelid_margin", "mm_from_margin": 0}),
        ({"species": "cattle", "age_years": 30, "weight_kg": 1900}, {}),
        ({"species": "dog", "age_years": 29, "weight_kg": 155}, {}),
    ],
)
def test_what_is_rare_and_can_be_is_answered(told, patient, lesion):
    assert told(patient, lesion)["suitability"]["summary"]


def test_a_range_never_lies_beyond_the_one_of_the_vocabulary_and_has_its_sentence(shipped_book):
    for one in shipped_book.folder.contradictions.listed:
        assert one.says.endswith(".")
        assert "check" in one.says
        assert {shipped_book.vocabulary.inputs[name].about for name in one.inputs} <= {
            about for parts in PARTS.values() for about in parts
        }


@pytest.mark.parametrize(
    "lesion",
    [
        {"earlier_freeze_result": "regrown", "days_since_last_freeze": 30},
        {"earlier_freeze_result": "bigger"},
        {"days_since_last_freeze": 5},
    ],
)
def test_an_earlier_freeze_that_a_result_or_a_day_proves_is_never_presumed_away(told, lesion):
    found = told(lesion=lesion)

    assert (found["suitability"]["verdict"], found["suitability"]["settled"]) == (None, False)
    assert "earlier_freezes" not in {one["input"] for one in found["presumed"]}
    assert found["ask_next"][0]["input"] == "earlier_freezes"


@pytest.mark.parametrize(
    ("lesion", "verdict"),
    [
        ({"earlier_freeze_result": "regrown", "days_since_last_freeze": 30}, "sample_first"),
        ({"days_since_last_freeze": 10}, "defer"),
    ],
)
def test_the_number_of_sessions_then_settles_it(told, lesion, verdict):
    assert told(lesion={**lesion, "earlier_freezes": 1})["suitability"]["verdict"] == verdict


@pytest.mark.parametrize(
    ("patient", "name"),
    [({"eating_now": False}, "systemically_ill"), ({"steroid_use": "immunosuppressive"}, "immune_suppression")],
)
def test_what_another_fact_of_the_patient_may_prove_wrong_is_asked_and_not_presumed(told, patient, name):
    found = told({"ruled_out": [], **patient})

    assert name not in {one["input"] for one in found["presumed"]}


@pytest.mark.parametrize(
    ("patient", "name"),
    [({"eating_now": True}, "systemically_ill"), ({"steroid_use": "topical"}, "immune_suppression")],
)
def test_another_value_of_that_fact_leaves_it_presumed(told, patient, name):
    assert name in {one["input"] for one in told({"ruled_out": [], **patient})["presumed"]}


def presumed_alike(found):
    return {one["input"]: one["presumed"] for one in found["presumed"]}["similar_lesions"]


def test_as_many_lesions_are_presumed_as_are_charted_alike(shipped_book, told):
    assert presumed_alike(told(lesion=WART, many=5)) == 5
    assert presumed_alike(told(lesion=WART)) == 1
    other = tag(lesion=WART, many=3)
    other["lesions"][1]["lesion_kind"] = "cyst"
    del other["lesions"][2]["lesion_kind"]
    assert [presumed_alike(one) for one in shipped_book.recommend(other)["lesions"]] == [2, 2, 3]


def test_five_warts_charted_on_an_old_dog_bring_the_caution_that_five_stated_ones_do(told):
    charted, stated = told(lesion=WART, many=5), told({"similar_lesions": 5}, WART)

    said = "cautions/many_warts_older_dog"
    assert [
        said in {why["rule"] for one in found["cautions"] for why in one["reasons"]} for found in (charted, stated)
    ] == [
        True,
        True,
    ]


def test_no_lesion_whose_tissue_is_submitted_is_called_unproven(told):
    found = told(lesion={"base_width_mm": 6.4, "tissue_will_be_submitted": True, "sampling_declined": True})

    said = json.dumps(found).replace("unproven unless tissue is submitted", "")
    assert "call the lesion unproven" not in said
    assert "as unproven" not in said
    assert "Snip or shave" in said


def test_no_change_is_told_that_would_make_a_case_contradict_itself(shipped_book):
    search = ChangeSearch(shipped_book)
    cases = [*written_cases(shipped_book).values()][::6]
    cases += [shipped_book.read(tag(lesion={"earlier_freezes": 0}), today=TODAY)]
    try:
        told = [(case, search.search(case)) for case in cases]
    finally:
        search.close()

    impossible, seen = [], 0
    for case, found in told:
        for lesion, changes in zip(case.lesions, found["lesions"], strict=True):
            for change in (*changes["singly"], *changes["pairs"]):
                seen += 1
                moved = {one["input"]: one["value"] for one in change["facts"]}
                if shipped_book.folder.contradictions.among({**case.stated, **lesion.stated, **moved}):
                    impossible.append((lesion.lesion_id, moved))
    assert (impossible, seen > 100) == ([], True)
