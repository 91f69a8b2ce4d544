"""Parameters are held against what the document states of them, and read as what they mean."""

import pytest

QUERY = {"applicator": "cone", "diameter_mm": "5", "seconds": "20", "site": "trunk"}
SECRET = "Rosalinde"


def asked(ask, **changed):
    given = {name: value for name, value in {**QUERY, **changed}.items() if value is not None}
    return ask("GET", "/v1/estimates", params=given)


@pytest.mark.parametrize(
    ("changed", "code", "detail"),
    [
        ({"diameter_mm": None}, "required", "diameter_mm is required and is not there."),
        ({"diameter_mm": "1.9"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": "15.1"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": "NaN"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": "1e999"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": "5_0"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": " 5"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": ""}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": "\u0665"}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"diameter_mm": SECRET}, "not_allowed", "diameter_mm must be a number from 2 to 15."),
        ({"cycle": "1.5"}, "not_allowed", "cycle must be a whole number from 1 to 3."),
        ({"cycle": "4"}, "not_allowed", "cycle must be a whole number from 1 to 3."),
        ({"applicator": SECRET}, "not_allowed", "applicator must be one of: cone, foam_tip."),
    ],
)
def test_a_parameter_outside_its_range_is_a_400_that_says_what_is_allowed(ask, changed, code, detail):
    answer = asked(ask, **changed)

    assert (answer.status_code, answer.json()["type"]) == (400, "/problems/unusable-parameter")
    assert [(one["parameter"], one["code"]) for one in answer.json()["errors"]] == [(next(iter(changed)), code)]
    assert answer.json()["detail"] == detail
    assert SECRET not in answer.text


def test_every_fault_of_a_query_is_told_at_once(ask):
    answer = ask("GET", "/v1/estimates", params={"diameter_mm": "99", "cycle": "9"})

    assert [one["parameter"] for one in answer.json()["errors"]] == [
        "diameter_mm",
        "cycle",
        "applicator",
        "seconds",
        "site",
    ]


@pytest.mark.parametrize("written", ["5", "5.0", "5e0", "0.5E+1"])
def test_a_number_may_be_written_as_json_writes_one(ask, written):
    assert asked(ask, diameter_mm=written).json()["contact_diameter_mm"] == 5.0


def test_a_whole_number_may_be_written_with_a_point(ask):
    assert asked(ask, cycle="2.0").json()["cycle"] == 2
