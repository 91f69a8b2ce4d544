"""Conditions, reports, orders, procedures and the patient: what each states, in R4 and in R5."""

import pytest

STATUS = "http://terminology.hl7.org/CodeSystem/condition-ver-status"
CLINICAL = "http://terminology.hl7.org/CodeSystem/condition-clinical"
SECTION = "http://terminology.hl7.org/CodeSystem/v2-0074"
ANIMAL = "http://hl7.org/fhir/StructureDefinition/patient-animal"
SPECIES = "http://hl7.org/fhir/animal-species"
GENDER = "http://hl7.org/fhir/animal-genderstatus"


@pytest.fixture
def diagnosed(record, of):
    """Gives the lesion a diagnosis with a verification status."""

    def made(*diagnoses, status="provisional"):
        record.lesion["code"] = of("lesion-kind|stalked_tag", *(f"diagnosis|{one}" for one in diagnoses))
        if status:
            record.lesion["verificationStatus"] = of((STATUS, status))
        return record

    return made


@pytest.fixture
def reported(record, of):
    """Adds a final report about the lesion: of which section, with which conclusion, linked how."""

    def made(section, *concluded, status="final", link="r4"):
        name = f"r{len(record.held['pathology'])}"
        report = {
            "resourceType": "DiagnosticReport",
            "id": name,
            "status": status,
            "category": [of((SECTION, section))],
            "subject": {"reference": "Patient/p"},
        }
        if concluded:
            report["conclusionCode"] = [of(one) for one in concluded]
        reference = {"reference": f"DiagnosticReport/{name}"}
        if link == "result":
            report["result"] = [{"reference": "Observation/smear"}]
            record.held["observations"].append(
                {
                    "resourceType": "Observation",
                    "id": "smear",
                    "status": "final",
                    "focus": [{"reference": "Condition/one"}],
                }
            )
        elif link:
            evidence = {"detail": [reference]} if link == "r4" else {"reference": reference}
            record.lesion.setdefault("evidence", []).append(evidence)
        record.held["pathology"].append(report)
        return record

    return made


# --- the lesion ------------------------------------------------------------------------------------------------------


def test_kind_and_site_are_read(record, of):
    record.lesion["bodySite"] = [of("site|pinna")]

    assert record.stated() == {"lesion_kind": "stalked_tag", "site": "pinna", "earlier_freezes": 0.0}


def test_a_site_may_stand_alone_as_an_object(record, of):
    record.lesion["bodySite"] = of("site|pinna")

    assert record.stated()["site"] == "pinna"


def test_a_condition_that_is_no_lesion_is_none(record, of):
    record.lesion["code"] = of("finding|pregnant")

    assert record.read().lesions == []


@pytest.mark.parametrize(
    "over",
    [
        {"verificationStatus": {"coding": [{"system": STATUS, "code": "refuted"}]}},
        {"verificationStatus": {"coding": [{"system": STATUS, "code": "entered-in-error"}]}},
        {"clinicalStatus": {"coding": [{"system": CLINICAL, "code": "resolved"}]}},
        {"clinicalStatus": {"coding": [{"system": CLINICAL, "code": "inactive"}]}},
        {"abatementDateTime": "2026-01-01"},
    ],
)
def test_a_lesion_that_no_longer_stands_is_none(record, over):
    record.lesion.update(over)

    assert record.read().lesions == []


def test_weeks_are_counted_from_a_full_date_of_onset(record):
    record.lesion["onsetDateTime"] = "2026-10-27"

    assert record.stated()["weeks_present"] == 4.0


@pytest.mark.parametrize("onset", ["2026-10", "2026", "2027-01-01", "spring"])
def test_an_onset_that_is_no_day_in_the_past_states_nothing(record, onset):
    record.lesion["onsetDateTime"] = onset

    assert "weeks_present" not in record.stated()
    assert record.noted() == ["date_not_read"]


def test_the_day_of_recording_is_no_onset(record):
    record.lesion["recordedDate"] = "2026-10-27"

    assert "weeks_present" not in record.stated()


def test_the_free_text_of_a_lesion_is_never_read(record):
    record.lesion["code"] = {"text": "skin tag"}

    assert record.read().lesions == []
    assert record.noted() == ["text_only"]


def test_other_conditions_state_facts_of_the_patient_by_their_code(record, of):
    other = {"resourceType": "Condition", "id": "x", "subject": {"reference": "Patient/p"}}
    record.held["conditions"].append({**other, "code": of("finding-value|endocrine_disease.controlled")})

    assert record.read().patient == {"endocrine_disease": "controlled"}


def test_allergies_and_medication_state_facts_of_the_patient_by_their_code(record, of):
    record.held["allergies"] = [{"resourceType": "AllergyIntolerance", "code": of("finding-value|cold_urticaria.true")}]
    record.held["medications"] = [
        {"resourceType": "MedicationRequest", "medicationCodeableConcept": of("finding-value|steroid_use.topical")},
        {
            "resourceType": "MedicationRequest",
            "medication": {"concept": of("finding-value|steroid_use.anti_inflammatory")},
        },
        {
            "resourceType": "MedicationRequest",
            "medicationReference": {"reference": "#m"},
            "contained": [{"resourceType": "Medication", "code": of("finding-value|steroid_use.topical")}],
        },
    ]

    chart = record.read()

    assert chart.patient == {"cold_urticaria": True, "steroid_use": "anti_inflammatory"}
    assert [one["code"] for one in chart.notes] == ["codings_disagree"]


def test_a_drug_that_is_not_mapped_states_nothing_and_is_noted(record):
    drug = {"coding": [{"system": "https://drugs.example", "code": "7"}], "text": "prednisolone"}
    record.held["medications"] = [{"resourceType": "MedicationRequest", "medicationCodeableConcept": drug}]

    assert record.read().patient == {}
    assert record.noted() == ["unknown_code"]


def test_what_makes_a_freeze_safer_is_not_taken_from_a_name_alone(record, of):
    record.lesion["code"]["coding"] += of("finding|tissue_will_be_submitted")["coding"]

    assert "tissue_will_be_submitted" not in record.stated()
    assert record.noted() == ["value_missing"]


def test_a_drug_that_is_named_takes_back_that_there_is_none_and_no_other_value(record, of):
    drug = {"resourceType": "MedicationRequest", "medicationCodeableConcept": of("finding|steroid_use")}
    record.held["medications"] = [drug]
    record.find("steroid_use", valueCodeableConcept=of("finding-value|steroid_use.none"), focus=[])
    assert record.read().patient == {"left_open": ["steroid_use"]}

    record.find("steroid_use", valueCodeableConcept=of("finding-value|steroid_use.topical"), focus=[])
    assert record.read().patient == {"steroid_use": "topical"}


# --- the diagnosis ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("status", ["provisional", "unconfirmed", None])
def test_a_diagnosis_without_a_sample_rests_on_its_look(diagnosed, status):
    stated = diagnosed("skin_tag", status=status).stated()

    assert (stated["known_diagnosis"], stated["diagnosis_basis"]) == ("skin_tag", "appearance")


def test_a_confirmed_diagnosis_without_a_report_rests_on_nothing_that_is_stated(diagnosed):
    stated = diagnosed("skin_tag", status="confirmed").stated()

    assert stated["known_diagnosis"] == "skin_tag"
    assert "diagnosis_basis" not in stated


def test_competing_diagnoses_state_none(diagnosed):
    record = diagnosed("skin_tag", status="differential")

    assert "known_diagnosis" not in record.stated() and "diagnosis_basis" not in record.stated()
    assert record.noted() == ["names_compete"]


def test_two_diagnoses_in_one_concept_state_none(diagnosed):
    record = diagnosed("skin_tag", "melanoma")

    assert "known_diagnosis" not in record.stated()
    assert record.noted() == ["codings_disagree"]


@pytest.mark.parametrize(("section", "basis"), [("CP", "cytology"), ("SP", "histology")])
@pytest.mark.parametrize("link", ["r4", "r5", "result"])
def test_a_final_report_says_what_the_diagnosis_rests_on(diagnosed, reported, section, basis, link):
    diagnosed("skin_tag")
    stated = reported(section, "diagnosis|skin_tag", link=link).stated()

    assert (stated["known_diagnosis"], stated["diagnosis_basis"]) == ("skin_tag", basis)


def test_a_report_names_a_lesion_that_had_no_name(reported):
    stated = reported("SP", "diagnosis|papilloma").stated()

    assert (stated["known_diagnosis"], stated["diagnosis_basis"]) == ("papilloma", "histology")


def test_a_report_without_a_coded_conclusion_is_the_ground_of_a_confirmed_diagnosis_only(diagnosed, reported):
    diagnosed("skin_tag", status="confirmed")
    record = reported("CP")
    assert record.stated()["diagnosis_basis"] == "cytology"

    diagnosed("skin_tag", status="provisional")
    assert "diagnosis_basis" not in record.stated()


def test_a_report_that_names_another_diagnosis_leaves_none_stated(diagnosed, reported):
    diagnosed("skin_tag")
    record = reported("SP", "diagnosis|mast_cell_tumour")

    assert "known_diagnosis" not in record.stated()
    assert record.noted() == ["codings_disagree"]


def test_a_sample_without_a_diagnosis_says_so(diagnosed, reported):
    diagnosed("skin_tag")
    record = reported("CP", "finding-value|diagnosis_basis.nondiagnostic")

    assert record.stated()["diagnosis_basis"] == "nondiagnostic"


def test_the_firmest_of_several_reports_counts(diagnosed, reported):
    diagnosed("skin_tag")
    reported("CP", "finding-value|diagnosis_basis.nondiagnostic")
    record = reported("SP", "diagnosis|skin_tag")

    assert record.stated()["diagnosis_basis"] == "histology"


def test_a_report_that_is_not_final_counts_for_nothing(diagnosed, reported):
    diagnosed("skin_tag")
    record = reported("SP", "diagnosis|skin_tag", status="preliminary")

    assert record.stated()["diagnosis_basis"] == "appearance"
    assert record.noted() == ["not_final"]


def test_a_report_that_names_no_lesion_counts_for_nothing_and_is_noted(diagnosed, reported):
    diagnosed("skin_tag")
    record = reported("SP", "diagnosis|skin_tag", link=None)

    assert record.stated()["diagnosis_basis"] == "appearance"
    assert record.noted() == ["not_linked"]


def test_a_section_that_is_too_broad_says_nothing_of_the_kind_of_sample(diagnosed, reported):
    diagnosed("skin_tag")
    record = reported("PAT", "diagnosis|skin_tag")

    assert "diagnosis_basis" not in record.stated()
    assert record.noted() == ["code_too_broad"]


# --- orders and procedures -------------------------------------------------------------------------------------------


@pytest.fixture
def order(record, of):
    """An order to freeze the lesion."""
    record.orders = [
        {
            "resourceType": "ServiceRequest",
            "id": "freeze",
            "status": "draft",
            "code": of("procedure|freeze"),
            "subject": {"reference": "Patient/p"},
            "reasonReference": [{"reference": "Condition/one"}],
        }
    ]
    return record.orders[0]


def test_an_order_selects_its_lesion(record, order):
    record.held["conditions"].append({**record.lesion, "id": "two"})

    (lesion,) = record.read().lesions

    assert lesion.condition_key == "Condition/one"
    assert [one.text("id") for one in lesion.orders] == ["freeze"]


def test_an_order_in_the_form_of_r5_selects_its_lesion(record, order):
    order["code"] = {"concept": order["code"]}
    order["reason"] = [{"reference": order.pop("reasonReference")[0]}]

    assert record.read().lesions[0].condition_key == "Condition/one"


def test_an_order_may_select_a_condition_that_names_no_kind(record, order):
    record.lesion["code"] = {"text": "lump"}

    assert record.read().lesions[0].condition_key == "Condition/one"


def test_the_site_of_an_order_is_stated(record, order, of):
    order["bodySite"] = [of("site|lip")]

    assert record.stated()["site"] == "lip"


def test_a_site_of_an_order_that_disagrees_with_the_lesion_leaves_none(record, order, of):
    order["bodySite"], record.lesion["bodySite"] = [of("site|lip")], [of("site|trunk")]

    assert "site" not in record.stated()
    assert record.noted() == ["codings_disagree"]


def test_an_order_for_a_lesion_that_was_not_sent_is_answered_by_what_it_says(record, order, of):
    order["reasonReference"] = [{"reference": "Condition/gone"}]
    order["bodySite"] = [of("site|lip")]

    assert record.stated() == {"site": "lip"}
    assert record.noted() == ["lesion_not_found"]


@pytest.mark.parametrize(
    "change",
    [{"status": "revoked"}, {"status": "entered-in-error"}, {"doNotPerform": True}, {"code": {"text": "freeze"}}],
)
def test_what_is_no_order_to_freeze_selects_nothing(record, order, change):
    order.update(change)

    assert record.read().lesions == []


def test_an_order_for_another_patient_selects_nothing(record, order):
    order["subject"] = {"reference": "Patient/other"}

    assert record.read().lesions == []
    assert record.noted() == ["other_patient"]


@pytest.fixture
def frozen(record, of):
    """Adds a freeze to the record."""

    def made(**more):
        procedure = {
            "resourceType": "Procedure",
            "status": "completed",
            "code": of("procedure|freeze"),
            "reasonReference": [{"reference": "Condition/one"}],
            "performedDateTime": "2026-11-03",
            **more,
        }
        record.held["procedures"].append(procedure)
        return record

    return made


def test_an_earlier_freeze_is_counted_with_its_days(frozen):
    stated = frozen().stated()

    assert (stated["earlier_freezes"], stated["days_since_last_freeze"]) == (1.0, 21.0)


def test_freezes_of_one_day_are_one_session_and_the_last_counts(frozen):
    frozen()
    frozen()
    stated = frozen(performedDateTime=None, performedPeriod={"start": "2026-11-10"}).stated()

    assert (stated["earlier_freezes"], stated["days_since_last_freeze"]) == (2.0, 14.0)


def test_a_freeze_in_the_form_of_r5_is_counted(frozen):
    reason = [{"reference": {"reference": "Condition/one"}}]
    record = frozen(performedDateTime=None, occurrenceDateTime="2026-11-03", reasonReference=None, reason=reason)

    assert record.stated()["days_since_last_freeze"] == 21.0


def test_freezes_without_a_date_are_each_counted_and_no_days_are_stated(frozen):
    frozen(performedDateTime=None)
    record = frozen(performedDateTime=None)

    assert record.stated()["earlier_freezes"] == 2.0
    assert "days_since_last_freeze" not in record.stated()
    assert record.noted() == ["date_not_read"]


@pytest.mark.parametrize(
    "change", [{"status": "not-done"}, {"status": "entered-in-error"}, {"code": {"text": "freeze"}}]
)
def test_what_was_no_freeze_is_not_counted(frozen, change):
    assert frozen(**change).stated()["earlier_freezes"] == 0.0


def test_a_freeze_that_names_no_lesion_leaves_the_count_open(frozen):
    record = frozen(reasonReference=[])

    assert "earlier_freezes" not in record.stated()
    assert record.noted() == ["not_linked"]


def test_without_the_procedures_nothing_is_stated_of_earlier_freezes(record):
    record.missing = {"procedures"}

    assert "earlier_freezes" not in record.stated()


# --- the patient -----------------------------------------------------------------------------------------------------


def animal(**parts):
    inside = [{"url": name, "valueCodeableConcept": one} for name, one in parts.items()]
    return [{"url": ANIMAL, "extension": inside}]


def test_species_and_neutering_are_read_by_common_codes(record, of):
    record.patient["extension"] = animal(species=of((SPECIES, "canislf")), genderStatus=of((GENDER, "neutered")))

    assert record.read().patient == {"species": "dog", "neutered": True}


def test_species_is_read_by_our_codes(record, of):
    record.patient["extension"] = animal(species=of("species|cat"), genderStatus=of((GENDER, "unknown")))

    assert record.read().patient == {"species": "cat"}
    assert record.noted() == []


def test_two_species_are_none(record, of):
    record.patient["extension"] = animal(species=of((SPECIES, "canislf"), "species|cat"))

    assert record.read().patient == {}
    assert record.noted() == ["codings_disagree"]


def test_a_patient_without_the_extension_has_no_species_and_is_not_taken_for_human(record):
    assert record.read().patient == {}


def test_breed_and_name_are_not_read(record):
    record.patient |= {"name": [{"text": "Juniper"}], "extension": animal(breed={"text": "Crossbreed"})}

    assert record.read().patient == {}
    assert record.noted() == []


@pytest.mark.parametrize(
    ("born", "age", "noted"),
    [
        ("2021-11-24", 5.0, []),
        ("2021-11-25", 4.99, []),
        ("2026-11-24", 0.0, []),
        ("2024-02-29", 2.73, []),
        ("2021-11", 5.02, ["age_approximate"]),
        ("2021", 5.0, ["age_approximate"]),
        ("2026", 0.0, ["age_approximate"]),
        ("2027-01-01", None, ["date_not_read"]),
        ("last year", None, ["date_not_read"]),
    ],
)
def test_the_age_is_as_exact_as_the_birth_date(record, born, age, noted):
    record.patient["birthDate"] = born

    assert record.read().patient.get("age_years") == age
    assert record.noted() == noted
