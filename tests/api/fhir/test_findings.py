"""Observations: every form of value, in our unit; what is old, unfinished, unlinked or unclear is not taken."""

import pytest

UCUM = "http://unitsofmeasure.org"


@pytest.mark.parametrize(
    ("value", "code", "in_mm"),
    [(6, "mm", 6.0), (0.6, "cm", 6.0), (0.006, "m", 6.0), (1.25, "cm", 12.5)],
)
def test_a_measure_is_read_in_our_unit(record, value, code, in_mm):
    record.find("base_width_mm", valueQuantity={"value": value, "system": UCUM, "code": code})

    assert record.stated()["base_width_mm"] == in_mm


@pytest.mark.parametrize(
    "quantity",
    [
        {"value": 6},
        {"value": 6, "unit": "mm"},
        {"value": 6, "code": "mm"},
        {"value": 6, "system": UCUM, "code": "kg"},
        {"value": 6, "system": UCUM, "code": "[in_i]"},
        {"value": 6, "system": "https://units.example", "code": "mm"},
        {"value": 6, "system": UCUM, "code": "mm", "comparator": "<"},
        {"value": "6", "system": UCUM, "code": "mm"},
        {"value": True, "system": UCUM, "code": "mm"},
        {},
    ],
)
def test_a_measure_without_a_unit_that_is_read_is_not_guessed_at(record, quantity):
    record.find("base_width_mm", valueQuantity=quantity)

    assert "base_width_mm" not in record.stated()
    assert record.noted() == ["unit_not_read"]


@pytest.mark.parametrize("value", [0.2, 301, -4])
def test_a_measure_outside_its_range_is_not_taken(record, mm, value):
    record.find("base_width_mm", valueQuantity=mm(value))

    assert "base_width_mm" not in record.stated()
    assert record.noted() == ["out_of_range"]


def test_a_count_is_a_whole_number_or_a_quantity_of_one(record):
    record.find("similar_lesions", valueInteger=3)
    assert record.read().patient == {"similar_lesions": 3.0}

    record.held["observations"][0] |= {"valueInteger": None, "valueQuantity": {"value": 4, "system": UCUM, "code": "1"}}
    assert record.read().patient == {"similar_lesions": 4.0}


def test_a_measure_is_never_a_bare_number(record):
    record.find("base_width_mm", valueInteger=6)

    assert record.noted() == ["unit_not_read"]


@pytest.mark.parametrize("value", [True, False])
def test_yes_and_no_are_read(record, value):
    record.find("infected", valueBoolean=value)

    assert record.stated()["infected"] is value


def test_yes_and_no_may_be_codes(record, of):
    record.find("infected", valueCodeableConcept=of("finding-value|infected.true"))

    assert record.stated()["infected"] is True


def test_a_coded_value_is_read(record, of):
    record.find("surface", valueCodeableConcept=of("finding-value|surface.crusted"))

    assert record.stated()["surface"] == "crusted"


def test_a_value_of_another_finding_is_not_taken(record, of):
    record.find("surface", valueCodeableConcept=of("finding-value|colour.dark"))

    assert "surface" not in record.stated() and "colour" not in record.stated()
    assert record.noted() == ["value_not_read"]


@pytest.mark.parametrize(
    ("value", "noted"),
    [
        ({"valueString": "crusted"}, "text_only"),
        ({"valueCodeableConcept": {"text": "crusted"}}, "text_only"),
        ({"valueCodeableConcept": {"coding": [{"system": "https://other.example", "code": "1"}]}}, "unknown_code"),
        ({"valueBoolean": True}, "value_not_read"),
        ({"valueRange": {"low": {"value": 1}}}, "value_not_read"),
    ],
)
def test_a_value_that_is_not_a_code_of_ours_is_never_guessed(record, value, noted):
    record.find("surface", **value)

    assert "surface" not in record.stated()
    assert record.noted() == [noted]


def test_a_finding_without_a_value_states_nothing(record):
    record.find("surface", dataAbsentReason={"text": "not asked"})

    assert "surface" not in record.stated()
    assert record.noted() == []


def test_a_tick_of_a_check_list_rules_out_its_findings(record):
    record.find("lesion_signs", valueBoolean=True)
    record.find("general_health", valueBoolean=True, focus=[])

    assert record.stated()["ruled_out"] == ["lesion_signs"]
    assert record.read().patient["ruled_out"] == ["general_health"]


def test_a_check_list_that_was_not_ticked_rules_out_nothing(record):
    record.find("lesion_signs", valueBoolean=False)

    assert "ruled_out" not in record.stated()


def test_a_code_that_states_a_value_counts_when_it_is_said_to_be_so(record, of):
    record.find("x", code=of("finding-value|surface.crusted"), valueBoolean=True)
    record.find("x", code=of("finding-value|colour.dark"), valueBoolean=False)

    assert record.stated()["surface"] == "crusted"
    assert "colour" not in record.stated()


def test_components_are_read_like_findings_of_their_own(record, of, mm):
    parts = [
        {"code": of("finding|base_width_mm"), "valueQuantity": mm(6)},
        {"code": of("finding|height_mm"), "valueQuantity": mm(2)},
    ]
    record.find("x", code={"text": "size"}, component=parts)

    assert record.stated()["base_width_mm"] == 6.0
    assert record.stated()["height_mm"] == 2.0


@pytest.mark.parametrize("status", ["entered-in-error", "cancelled"])
def test_what_was_entered_in_error_is_not_there(record, mm, status):
    record.find("base_width_mm", valueQuantity=mm(6), status=status)

    assert "base_width_mm" not in record.stated()
    assert record.noted() == []


@pytest.mark.parametrize("status", ["registered", "unknown", "specimen-in-process"])
def test_what_is_not_final_is_not_taken_and_noted(record, mm, status):
    record.find("base_width_mm", valueQuantity=mm(6), status=status)

    assert "base_width_mm" not in record.stated()
    assert record.noted() == ["not_final"]


def test_a_finding_about_a_lesion_must_say_which(record, mm):
    record.find("base_width_mm", valueQuantity=mm(6), focus=[])

    assert "base_width_mm" not in record.stated()
    assert record.noted() == ["not_linked"]


def test_a_finding_about_another_lesion_is_not_of_this_one(record, mm):
    record.orders = [order("one")]
    record.held["conditions"].append({**record.lesion, "id": "two"})
    record.find("base_width_mm", valueQuantity=mm(6), focus=[{"reference": "Condition/two"}])

    assert "base_width_mm" not in record.stated()
    assert record.noted() == []


def order(lesion):
    from api.code_lists import CANONICAL

    code = {"coding": [{"system": f"{CANONICAL}procedure", "code": "freeze"}]}
    reason = [{"reference": f"Condition/{lesion}"}]
    return {"resourceType": "ServiceRequest", "status": "draft", "code": code, "reasonReference": reason}


@pytest.mark.parametrize(
    "reference",
    ["Condition/one", "https://x.example/fhir/Condition/one", "Condition/one/_history/3"],
)
def test_a_lesion_may_be_referred_to_in_every_way_of_fhir(record, mm, reference):
    record.find("base_width_mm", valueQuantity=mm(6), focus=[{"reference": reference}])

    assert record.stated()["base_width_mm"] == 6.0


@pytest.mark.parametrize(
    ("day", "noted"),
    [
        ("2026-11-24T23:59:00+02:00", []),
        ("2026-11-25", []),  # by the clock of another place
        ("2026-11-17", []),
        ("2026-11-16", ["too_old"]),
        ("2026-11-26", ["date_not_read"]),
        ("2026-11", ["date_not_read"]),
        ("today", ["date_not_read"]),
    ],
)
def test_only_what_was_seen_within_a_week_is_taken(record, mm, day, noted):
    record.find("base_width_mm", valueQuantity=mm(6), effectiveDateTime=day)

    assert ("base_width_mm" in record.stated()) == (noted == [])
    assert record.noted() == noted


def test_a_finding_without_a_date_is_not_taken_from_a_record(record, mm):
    del record.find("base_width_mm", valueQuantity=mm(6))["effectiveDateTime"]

    assert record.noted() == ["date_not_read"]


@pytest.mark.parametrize(
    "when",
    [
        {"effectiveInstant": "2026-11-24T08:00:00Z"},
        {"effectivePeriod": {"start": "2026-11-23", "end": "2026-11-24"}},
        {"issued": "2026-11-24T08:00:00Z"},
    ],
)
def test_a_date_may_stand_in_every_member_of_fhir(record, mm, when):
    record.find("base_width_mm", valueQuantity=mm(6), effectiveDateTime=None, **when)

    assert record.stated()["base_width_mm"] == 6.0


def test_the_latest_day_counts(record, mm):
    record.find("base_width_mm", valueQuantity=mm(9), effectiveDateTime="2026-11-20")
    record.find("base_width_mm", valueQuantity=mm(6), effectiveDateTime="2026-11-24")

    assert record.stated()["base_width_mm"] == 6.0
    assert record.noted() == []


@pytest.mark.parametrize("values", [(6, 8), (8, 6)])
def test_of_two_measures_of_one_day_the_more_cautious_is_taken_and_said(record, mm, values):
    for value in values:
        record.find("base_width_mm", valueQuantity=mm(value))

    assert record.stated()["base_width_mm"] == 8.0
    (note,) = record.read().notes
    assert (note["code"], note["detail"]) == (
        "codings_disagree",
        "base width: two statements disagree; the more cautious one was taken.",
    )


def test_of_two_codings_that_disagree_the_more_risky_is_taken(record, of):
    both = of("finding-value|surface.intact", "finding-value|surface.ulcer_without_cause")
    record.find("surface", valueCodeableConcept=both)

    assert record.stated()["surface"] == "ulcer_without_cause"
    assert record.noted() == ["codings_disagree"]


def test_where_the_vocabulary_knows_no_direction_a_disagreement_leaves_it_unstated(record, of):
    record.find("colour", valueCodeableConcept=of("finding-value|colour.skin", "finding-value|colour.dark"))

    assert "colour" not in record.stated()
    assert record.read().notes[0]["detail"] == "colour: two statements disagree; left unstated."


def test_two_codings_that_agree_are_no_disagreement(record, of):
    both = of("finding-value|surface.intact", ("https://other.example", "1"))
    record.find("surface", valueCodeableConcept=both)

    assert record.stated()["surface"] == "intact"
    assert record.noted() == ["additional_code"]


def test_a_site_of_an_observation_that_disagrees_is_noted(record, of, mm):
    record.lesion["bodySite"] = [of("site|trunk")]
    record.find("base_width_mm", valueQuantity=mm(6), bodySite=of("site|lip"))

    assert "site" not in record.stated()
    assert record.noted() == ["codings_disagree"]


def test_a_finding_of_another_patient_is_not_taken(record, mm):
    record.find("base_width_mm", valueQuantity=mm(6), subject={"reference": "Patient/other"})

    assert "base_width_mm" not in record.stated()
    assert record.noted() == ["other_patient"]


def test_a_note_names_the_place_and_never_the_value(record):
    record.find("surface", valueString="Mrs Pell says crusted")

    (note,) = record.read().notes
    assert note["pointer"] == "#/prefetch/observations/entry/0/resource/valueString"
    assert "Pell" not in str(note)


def test_a_finding_that_is_charted_just_now_needs_no_date(record, mm):
    drafted = record.finding("base_width_mm", valueQuantity=mm(6))
    del drafted["effectiveDateTime"]
    record.charted = [record.lesion, drafted]

    assert record.stated()["base_width_mm"] == 6.0


def test_what_is_charted_takes_the_place_of_what_was_on_record(record, mm):
    record.find("base_width_mm", valueQuantity=mm(9))
    record.charted = [record.lesion, record.finding("base_width_mm", valueQuantity=mm(6), id="o0")]

    assert record.stated()["base_width_mm"] == 6.0
    assert record.noted() == []


@pytest.mark.parametrize("value", [{}, {"valueString": "yes"}, {"valueBoolean": True, "status": None}])
def test_what_is_spoken_of_and_not_taken_is_left_open(record, value):
    record.find("infected", **value)

    assert record.stated()["left_open"] == ["infected"]


def test_a_later_finding_without_a_value_takes_a_reassuring_one_back_and_no_other(record):
    for name, value in (("infected", False), ("swells_when_handled", True)):
        record.find(name, valueBoolean=value, effectiveDateTime="2026-11-20")
        record.find(name)

    stated = record.stated()
    assert ("infected" in stated, stated["swells_when_handled"]) == (False, True)
    assert stated["left_open"] == ["infected"]


def test_an_input_that_nothing_would_close_needs_not_be_left_open(record):
    record.find("base_width_mm", valueString="six")

    assert "left_open" not in record.stated()


def test_a_finding_without_a_value_that_says_why_states_nothing_and_leaves_nothing_open(record):
    record.find("infected", dataAbsentReason={"text": "not asked"})

    assert "left_open" not in record.stated()
