"""Every faulty input is a clear problem with a pointer: never a 500, never an echo of the value."""

import json

import pytest

SECRET = "Rosalinde"  # a name typed into a wrong field


def case(**changed):
    return {"patient": {"species": "dog"}, "lesions": [{"lesion_id": "a"}], **changed}


def lesion(**stated):
    return case(lesions=[{"lesion_id": "a", **stated}])


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        (case(owner=SECRET), "#/owner", "unknown_field"),
        (case(patient={"species": "dog", "name": SECRET}), "#/patient/name", "unknown_field"),
        (lesion(longest_diamater_mm=5), "#/lesions/0/longest_diamater_mm", "unknown_field"),
        (case(patient={"species": SECRET}), "#/patient/species", "not_allowed"),
        (case(patient={"species": ["dog"]}), "#/patient/species", "not_allowed"),
        (case(patient={"reacts_to_cold": SECRET}), "#/patient/reacts_to_cold", "wrong_type"),
        (case(patient={"reacts_to_cold": 1}), "#/patient/reacts_to_cold", "wrong_type"),
        (case(patient={"reacts_to_cold": "true"}), "#/patient/reacts_to_cold", "wrong_type"),
        (lesion(longest_diameter_mm=SECRET), "#/lesions/0/longest_diameter_mm", "wrong_type"),
        (lesion(longest_diameter_mm="5"), "#/lesions/0/longest_diameter_mm", "wrong_type"),
        (lesion(longest_diameter_mm=True), "#/lesions/0/longest_diameter_mm", "wrong_type"),
        (lesion(longest_diameter_mm=None), "#/lesions/0/longest_diameter_mm", "wrong_type"),
        (lesion(longest_diameter_mm=0.4), "#/lesions/0/longest_diameter_mm", "out_of_range"),
        (lesion(longest_diameter_mm=300.1), "#/lesions/0/longest_diameter_mm", "out_of_range"),
        (lesion(longest_diameter_mm=999_999_999_999_999), "#/lesions/0/longest_diameter_mm", "out_of_range"),
        (lesion(ruled_out=[SECRET]), "#/lesions/0/ruled_out/0", "not_allowed"),
        (lesion(lesion_id=f"{SECRET} M."), "#/lesions/0/lesion_id", "wrong_format"),
        (case(lesions=[]), "#/lesions", "too_few"),
        (case(lesions=[{"lesion_id": f"n{i}"} for i in range(21)]), "#/lesions", "too_many"),
        (case(lesions=[{}]), "#/lesions/0/lesion_id", "required"),
        (case(lesions={"lesion_id": "a"}), "#/lesions", "wrong_type"),
        ({"patient": {}}, "#/lesions", "required"),
        ({"lesions": [{"lesion_id": "a"}]}, "#/patient", "required"),
        (case(patient=None), "#/patient", "wrong_type"),
        (case(as_of="24.11.2026"), "#/as_of", "wrong_format"),
        (case(as_of="20261124"), "#/as_of", "wrong_format"),
        (case(as_of="2026-02-30"), "#/as_of", "wrong_format"),
        (case(rule_book_version=SECRET), "#/rule_book_version", "wrong_format"),
        (case(equipment={"bores_mm": [3, SECRET]}), "#/equipment/bores_mm/1", "wrong_type"),
        (case(equipment={"bores_mm": list(range(1, 32))}), "#/equipment/bores_mm", "too_many"),
        ([], "#", "wrong_type"),
        (SECRET, "#", "wrong_type"),
        (None, "#", "wrong_type"),
    ],
)
def test_json_that_is_no_case_is_a_422_at_the_place_of_the_fault(ask, body, pointer, code):
    answer = ask.recommend(json.dumps(body))

    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/unusable-case"
    assert (pointer, code) in [(one["pointer"], one["code"]) for one in answer.json()["errors"]]
    assert SECRET not in answer.text


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ('{"patient": {"species": "dog", "species": "%s"}, "lesions": []}', "#/patient/species", "repeated_key"),
        ('{"patient": {"age": NaN, "name": "%s"}}', "#/patient/age", "not_finite"),
        ('{"patient": {"name": "%s"}, "lesions": [{"longest_diameter_mm": 1e999}]}',
         "#/lesions/0/longest_diameter_mm", "not_finite"),
        ('{"name": "%s", "number": 276098102345678901}', "#/number", "too_many_digits"),
        ('{"name": "%s"', "#", "malformed"),
        ("%s", "#", "malformed"),
    ],
)  # fmt: skip
def test_a_body_that_is_not_strict_json_is_a_400(ask, body, pointer, code):
    answer = ask.recommend(body % SECRET)

    assert answer.status_code == 400
    assert answer.json()["type"] == "/problems/unreadable-json"
    assert [(one["pointer"], one["code"]) for one in answer.json()["errors"]] == [(pointer, code)]
    assert SECRET not in answer.text


def test_every_fault_of_a_case_is_told_at_once(ask):
    body = {"patient": {"species": "cow"}, "lesions": [{"lesion_id": "a", "weeks_present": -1}, {}], "more": 1}

    answer = ask.recommend(body)

    assert [one["pointer"] for one in answer.json()["errors"]] == [
        "#/lesions/0/weeks_present",
        "#/lesions/1/lesion_id",
        "#/more",
        "#/patient/species",
    ]
    assert answer.json()["detail"] == "In the case 4 faults were found."


def test_a_message_says_what_is_allowed_with_the_unit(ask):
    answer = ask.recommend(lesion(longest_diameter_mm=0.2))

    assert answer.json()["errors"][0]["detail"] == "longest_diameter_mm must be a number from 0.5 to 300 mm."


def test_an_unknown_pin_is_a_404_and_never_a_silent_fallback(ask):
    answer = ask.recommend(case(rule_book_version="2024.01.0"))

    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/unknown-rule-book-version"
    assert answer.json()["errors"][0]["pointer"] == "#/rule_book_version"
    assert "2026.11.0" in answer.json()["detail"]  # what is loaded, so what would be right
    assert "2024.01.0" not in answer.text


def test_missing_facts_are_no_error_but_a_question(ask):
    answer = ask.recommend(case())

    assert answer.status_code == 200
    assert answer.json()["status"] == "data-required"
    assert answer.json()["lesions"][0]["ask_next"]


def test_a_whole_number_written_with_a_point_is_the_same_number(ask):
    written = json.dumps({**lesion(weeks_present=4), "as_of": "2026-11-24"})

    digests = {
        ask.recommend(written.replace("4}", f"{number}}}")).json()["case_digest"] for number in ("4", "4.0", "0.4e1")
    }

    assert len(digests) == 1
