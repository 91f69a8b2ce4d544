"""What a record speaks of and cannot be taken never becomes a permission, and stands under the notes of every card."""

import copy

import pytest

from api.app import create_app
from api.settings import Settings
from tests.api.conftest import Asking

OURS = "https://thawline.example.org/fhir/CodeSystem/"
CLINICAL = "http://terminology.hl7.org/CodeSystem/condition-clinical"


@pytest.fixture
def benign(call):
    """The shipped example with a lesion that may be frozen."""
    entries = call["prefetch"]["observations"]["entry"]
    for one in (entry["resource"] for entry in entries):
        if one["id"] == "width":
            one["valueQuantity"]["value"] = 0.3
        elif one["id"] == "height":
            one["valueQuantity"]["value"] = 2.5
        elif one["id"] == "colour":
            one["valueCodeableConcept"]["coding"][0]["code"] = "colour.skin"
    for name, value in (("site_can_be_level", True), ("seals_all_round", True), ("tissue_will_be_submitted", False)):
        found(call, name, valueBoolean=value)
    under = {"system": f"{OURS}finding-value", "code": "under_skin.muscle_or_fat"}
    found(call, "under_skin", valueCodeableConcept={"coding": [under]})
    return call


def found(call, name, **more):
    """Add an Observation of the lesion."""
    signs = next(
        one["resource"] for one in call["prefetch"]["observations"]["entry"] if one["resource"]["id"] == "signs"
    )
    made = copy.deepcopy(signs)
    made.pop("valueBoolean", None)
    made |= {"id": name.replace("_", "-"), "code": coded(f"finding|{name}"), **more}
    add(call, "observations", {key: value for key, value in made.items() if value is not None})


def coded(written):
    listed, code = written.split("|")
    return {"coding": [{"system": OURS + listed, "code": code}]}


def add(call, key, resource):
    """Add a resource to what is prefetched."""
    bundle = call["prefetch"].get(key) or {"resourceType": "Bundle", "type": "searchset", "total": 0}
    bundle.setdefault("entry", []).append({"resource": resource})
    bundle["total"] += 1
    call["prefetch"][key] = bundle


def active(kind, code, **more):
    """An active resource about the patient, by its code."""
    status = {"coding": [{"system": CLINICAL, "code": "active"}]}
    about = "patient" if kind == "AllergyIntolerance" else "subject"
    made = {"resourceType": kind, "id": "x", "code": coded(code), about: {"reference": "Patient/dog-208"}, **more}
    return made | ({"clinicalStatus": status} if kind == "Condition" else {})


def verdicts(cards):
    return {one["extension"]["org.example.thawline.decision"].get("verdict") for one in cards}


def notes(card):
    return [one["code"] for one in card["extension"]["org.example.thawline.decision"].get("notes", ())]


def test_the_benign_lesion_may_be_frozen(cards, benign):
    (card,) = cards(benign)

    assert (card["indicator"], verdicts([card]), notes(card)) == ("info", {"suitable"}, [])


@pytest.mark.parametrize("code", ["finding|cold_agglutinin_disease", "finding-value|cold_agglutinin_disease.true"])
def test_a_contraindication_that_a_condition_names_forbids(cards, benign, code):
    add(benign, "conditions", active("Condition", code))

    answered = cards(benign)

    assert (answered[0]["indicator"], verdicts(answered)) == ("critical", {"do_not_freeze"})


@pytest.mark.parametrize(
    ("key", "resource"),
    [
        ("conditions", active("Condition", "finding|bleeding_disorder")),
        ("allergies", active("AllergyIntolerance", "finding|cold_urticaria")),
    ],
)
def test_what_an_active_condition_or_allergy_names_is_a_fact(cards, benign, key, resource):
    add(benign, key, resource)

    answered = cards(benign)

    assert "suitable" not in verdicts(answered)
    assert answered[0]["indicator"] in ("warning", "critical")


def test_an_allergy_that_was_refuted_is_no_fact(cards, benign):
    system = "http://terminology.hl7.org/CodeSystem/allergyintolerance-verification"
    refuted = {"verificationStatus": {"coding": [{"system": system, "code": "refuted"}]}}
    add(benign, "allergies", active("AllergyIntolerance", "finding|cold_urticaria", **refuted))

    assert verdicts(cards(benign)) == {"suitable"}


def test_a_finding_in_the_code_of_the_lesion_is_one_of_the_lesion(cards, benign):
    code = benign["prefetch"]["conditions"]["entry"][0]["resource"]["code"]
    code["coding"] += coded("finding|fixed_to_deep_tissue")["coding"]

    answered = cards(benign)

    assert "suitable" not in verdicts(answered) and answered[0]["indicator"] != "info"


def test_a_disease_of_the_patient_in_the_code_of_the_lesion_is_one_of_the_patient(cards, benign):
    code = benign["prefetch"]["conditions"]["entry"][0]["resource"]["code"]
    code["coding"] += coded("finding|cold_agglutinin_disease")["coding"]

    assert verdicts(cards(benign)) == {"do_not_freeze"}


def test_a_drug_whose_use_needs_a_value_leaves_it_open_and_is_noted(cards, benign):
    drug = {"resourceType": "MedicationRequest", "status": "active", "subject": {"reference": "Patient/dog-208"}}
    add(benign, "medications", drug | {"medicationCodeableConcept": coded("finding|steroid_use")})

    (card,) = cards(benign)

    assert (card["source"]["topic"]["code"], card["indicator"]) == ("no_verdict_yet", "warning")
    assert notes(card) == ["value_missing"]
    assert "Does the patient receive a steroid, and how?" in card["detail"]


def test_a_finding_of_a_lesion_in_a_condition_that_is_none_leaves_it_open(cards, benign):
    add(benign, "conditions", active("Condition", "finding|swells_when_handled"))

    (card,) = cards(benign)

    assert (verdicts([card]), notes(card)) == ({None}, ["not_linked"])


def test_a_red_flag_on_the_lesion_forbids(cards, benign):
    found(benign, "swells_when_handled", valueBoolean=True)

    answered = cards(benign)

    assert (answered[0]["indicator"], verdicts(answered)) == ("critical", {"sample_first"})


@pytest.mark.parametrize(
    ("change", "noted"),
    [
        ({"focus": [{"reference": "Condition/tag-I"}], "valueBoolean": True}, "lesion_not_found"),
        ({"focus": None, "valueBoolean": True}, "not_linked"),
        ({}, "value_missing"),
        ({"valueString": "yes"}, "text_only"),
        ({"valuePeriod": {"start": "2026-11-24"}}, "value_not_read"),
        ({"valueCodeableConcept": {}}, "value_not_read"),
        ({"status": None, "valueBoolean": True}, "status_missing"),
        ({"status": 3, "valueBoolean": True}, "status_missing"),
        ({"status": "registered", "valueBoolean": True}, "not_final"),
        ({"effectiveDateTime": "soon", "valueBoolean": True}, "date_not_read"),
        ({"code": coded("finding-value|swells_when_handled.true")}, "value_missing"),
        ({"code": coded("finding-value|swells_when_handled.true"), "valueString": "x"}, "value_not_read"),
    ],
)
def test_a_red_flag_that_cannot_be_taken_leaves_the_verdict_open_and_is_noted(cards, benign, change, noted):
    found(benign, "swells_when_handled", **change)

    (card,) = cards(benign)

    assert (verdicts([card]), notes(card)) == ({None}, [noted])
    assert "Not taken from the record" in card["detail"]


@pytest.mark.parametrize(
    "code", ["swells_when_handled", [coded("finding|swells_when_handled")], {"coding": "x"}, {"coding": ["x"]}]
)
def test_a_code_that_is_not_written_as_fhir_writes_codes_is_noted(cards, benign, code):
    found(benign, "swells_when_handled", code=code, valueBoolean=True)

    assert notes(cards(benign)[0]) == ["not_read"]


def test_what_could_not_be_taken_is_settled_by_the_same_finding_with_a_value(cards, benign):
    found(benign, "swells_when_handled")
    found(benign, "swells_when_handled", valueBoolean=False)

    (card,) = cards(benign)

    assert (verdicts([card]), notes(card)) == ({"suitable"}, ["value_missing"])


def test_what_was_found_too_long_ago_leaves_nothing_open(cards, benign):
    found(benign, "swells_when_handled", status=None, effectiveDateTime="2026-11-01")

    assert verdicts(cards(benign)) == {"suitable"}


def test_what_was_found_on_another_lesion_of_the_record_leaves_nothing_open(cards, benign):
    other = copy.deepcopy(benign["prefetch"]["conditions"]["entry"][0]["resource"])
    add(benign, "conditions", {**other, "id": "tag-2"})
    found(benign, "swells_when_handled", focus=[{"reference": "Condition/tag-2"}], valueBoolean=True)

    (card,) = cards(benign)

    assert (verdicts([card]), notes(card)) == ({"suitable"}, [])


def test_a_finding_of_no_lesion_is_settled_by_what_is_stated_of_the_lesion(cards, benign):
    add(benign, "conditions", active("Condition", "finding|swells_when_handled"))
    found(benign, "swells_when_handled", valueBoolean=False)

    (card,) = cards(benign)

    assert (verdicts([card]), notes(card)) == ({"suitable"}, ["not_linked"])


@pytest.fixture
def vague(shipped_book, tmp_path):
    """Sends a call to a service whose mapping has a code that says less than any of ours: some steroid."""
    file = tmp_path / "map.yaml"
    target = "{code: steroid_use.immunosuppressive, relationship: source-is-broader-than-target}"
    file.write_text(
        'title: Drugs\nversion: "1"\ngroup:\n'
        f"  - source: https://drugs.example\n    target: {OURS}finding-value\n"
        f'    element:\n      - {{code: "7", target: [{target}]}}\n'
        "  - source: http://hl7.org/fhir/animal-species\n"
        f"    target: {OURS}species\n"
        "    element:\n      - {code: canislf, target: [{code: dog, relationship: equivalent}]}\n"
    )
    asked = Asking(create_app(shipped_book, Settings(code_map=file)))
    return lambda call: asked("POST", "/cds-services/skin-lesion-freeze", json=call).json()["cards"]


def test_a_code_that_says_too_little_leaves_open_what_it_may_mean(vague, benign):
    drug = {"resourceType": "MedicationRequest", "status": "active", "subject": {"reference": "Patient/dog-208"}}
    code = {"coding": [{"system": "https://drugs.example", "code": "7"}]}
    assert verdicts(vague(benign)) == {"suitable"}

    add(benign, "medications", drug | {"medicationCodeableConcept": code})
    (card,) = vague(benign)
    assert (verdicts([card]), "code_too_broad" in notes(card)) == ({None}, True)

    found(benign, "steroid_use", focus=None, valueCodeableConcept=coded("finding-value|steroid_use.none"))
    assert verdicts(vague(benign)) == {"suitable"}
