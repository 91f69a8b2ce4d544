"""The case: what is refused and how it is said, what a tick states, what is presumed."""

import copy
import datetime
import json
import math
import random
from collections import Counter

import pytest
from pydantic import ValidationError

from decision.case import facts_of, read_case
from decision.case_faults import LONGEST_STEP, MOST_FAULTS, case_faults, pointer_to
from decision.case_shape import MOST_LESIONS, case_reader, case_shape
from decision.errors import CaseError
from decision.rule_folder import RuleFolder
from tests.benchmarks.many_cases import many_cases
from tests.small_folder import decisions_over

TODAY = datetime.date(2026, 11, 24)


def case(patient=None, lesion=None, **parts):
    return {"patient": patient or {}, "lesions": [{"lesion_id": "a", **(lesion or {})}], **parts}


@pytest.fixture
def read(small_folder: RuleFolder):
    return lambda data: read_case(data, small_folder.vocabulary, today=TODAY)


@pytest.fixture
def faults(read):
    def refused(data):
        with pytest.raises(CaseError) as refusal:
            read(data)
        return [(fault.pointer, fault.code, fault.message) for fault in refusal.value.faults]

    return refused


@pytest.fixture
def facts(read, small_folder):
    def known(data):
        case = read(data)
        return facts_of(case, case.lesions[0], small_folder.vocabulary)

    return known


# --- what is refused --------------------------------------------------------------------------------------

WIDTH = "#/lesions/0/base_width_mm"
RANGE = "base_width_mm must be a number from 0.5 to 300 mm."


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (case(lesion={"base_width_mm": 0.4}), (WIDTH, "out_of_range", RANGE)),
        (case(lesion={"base_width_mm": 300.1}), (WIDTH, "out_of_range", RANGE)),
        (case(lesion={"base_width_mm": math.nan}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": math.inf}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": -math.inf}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": 10**400}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": "10"}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": True}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": None}), (WIDTH, "wrong_type", RANGE)),
        (case(lesion={"base_width_mm": [10]}), (WIDTH, "wrong_type", RANGE)),
        (
            case(lesion={"infected": 0}),
            ("#/lesions/0/infected", "wrong_type", "infected must be true or false."),
        ),
        (
            case(lesion={"infected": "false"}),
            ("#/lesions/0/infected", "wrong_type", "infected must be true or false."),
        ),
        (
            case(lesion={"infected": None}),
            ("#/lesions/0/infected", "wrong_type", "infected must be true or false."),
        ),
        (
            case({"species": "dogg"}),
            ("#/patient/species", "not_allowed", "species must be one of: dog, cat, horse."),
        ),
        (
            case({"species": ["dog"]}),
            ("#/patient/species", "not_allowed", "species must be one of: dog, cat, horse."),
        ),
        (
            case(equipment={"cone_bores_mm": [5, 41]}),
            (
                "#/equipment/cone_bores_mm/1",
                "out_of_range",
                "cone_bores_mm must be numbers, each from 1 to 40 mm.",
            ),
        ),
        (
            case(equipment={"cone_bores_mm": 5}),
            ("#/equipment/cone_bores_mm", "wrong_type", "cone_bores_mm must be a list."),
        ),
        (
            case(equipment={"cone_bores_mm": [5] * 31}),
            ("#/equipment/cone_bores_mm", "too_many", "cone_bores_mm must hold at most 30 entries."),
        ),
        (
            case({"specise": "dog"}),
            (
                "#/patient/specise",
                "unknown_field",
                'not a field of this part of the case. Did you mean "species"?',
            ),
        ),
        (
            case({"base_width_mm": 4}),  # a lesion's fact stated about the patient
            (
                "#/patient/base_width_mm",
                "unknown_field",
                "base_width_mm is stated about the lesion, not here.",
            ),
        ),
        (
            case(lesion={"sampled": True}),  # derived: never stated
            (
                "#/lesions/0/sampled",
                "unknown_field",
                "sampled is computed, never stated.",
            ),
        ),
        (
            case({"ruled_out": ["lesion_signs"]}),
            ("#/patient/ruled_out/0", "not_allowed", "must be one of: 'general_health'."),
        ),
        (case({"ruled_out": "general_health"}), ("#/patient/ruled_out", "wrong_type", "ruled_out must be a list.")),
        ({"lesions": [{"lesion_id": "a"}]}, ("#/patient", "required", "patient is required and is not there.")),
        ({"patient": {}}, ("#/lesions", "required", "lesions is required and is not there.")),
        ({"patient": [], "lesions": [{"lesion_id": "a"}]}, ("#/patient", "wrong_type", "patient must be an object.")),
        ({"patient": {}, "lesions": []}, ("#/lesions", "too_few", "lesions must hold at least 1 entries.")),
        ({"patient": {}, "lesions": {}}, ("#/lesions", "wrong_type", "lesions must be a list.")),
        (
            {"patient": {}, "lesions": [{"lesion_id": f"l{i}"} for i in range(21)]},
            ("#/lesions", "too_many", "lesions must hold at most 20 entries."),
        ),
        (
            {"patient": {}, "lesions": [{}]},
            ("#/lesions/0/lesion_id", "required", "lesion_id is required and is not there."),
        ),
        (
            case(as_of="24.11.2026"),
            ("#/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day."),
        ),
        (case(as_of="20261124"), ("#/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day.")),
        (
            case(as_of="2026-W48-2"),
            ("#/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day."),
        ),
        (
            case(as_of="2026-02-30"),
            ("#/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day."),
        ),
        (case(as_of=20261124), ("#/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day.")),
        (case(as_of=None), ("#/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day.")),
        (case(nonsense=1), ("#/nonsense", "unknown_field", "not a field of this part of the case.")),
    ],
)
def test_a_fault_of_a_case_has_its_place_its_code_and_what_is_allowed(faults, data, fault):
    assert faults(data) == [fault]


@pytest.mark.parametrize("data", [[], "case", 3, None, True])
def test_a_case_that_is_no_object_is_one_fault(faults, data):
    assert faults(data) == [("#", "wrong_type", "the case must be an object.")]


@pytest.mark.parametrize("lesion_id", ["", " a", "a b", "-a", "a" * 65, "a\n", "é", "a/b"])
def test_a_lesion_id_is_short_and_plain(faults, lesion_id):
    assert [code for _, code, _ in faults(case(lesion={"lesion_id": lesion_id}))] == ["wrong_format"]


def test_two_lesions_with_one_name_are_refused_where_the_name_stands_again(faults):
    data = {"patient": {}, "lesions": [{"lesion_id": name} for name in ("ear", "flank", "ear", "ear")]}

    said = "lesion_id must be another one for each lesion; this is that of lesions/0 too."
    assert faults(data) == [(f"#/lesions/{i}/lesion_id", "repeated", said) for i in (2, 3)]


@pytest.mark.parametrize("version", ["2026.11", "26.11.0", "2026.11.0\n", "latest"])
def test_a_pinned_version_is_written_as_versions_are(faults, version):
    assert [code for _, code, _ in faults(case(rule_book_version=version))] == ["wrong_format"]


def test_every_fault_of_a_case_is_reported(faults):
    data = case({"species": "dogg", "age_years": -1}, {"base_width_mm": 0, "infected": 1})

    assert [pointer for pointer, _, _ in faults(data)] == [
        "#/lesions/0/base_width_mm",
        "#/lesions/0/infected",
        "#/patient/age_years",
        "#/patient/species",
    ]


def test_a_case_of_a_thousand_faults_reports_a_bounded_number(faults):
    assert len(faults(case({f"field_{i}": 1 for i in range(1000)}))) == MOST_FAULTS


SECRET = "Mrs Applewood"


@pytest.mark.parametrize(
    "data",
    [
        case({"species": SECRET}),
        case({"age_years": SECRET}),
        case({"pregnant": SECRET}),
        case({"ruled_out": [SECRET]}),
        case({"ruled_out": SECRET}),
        case(lesion={"lesion_id": SECRET}),
        case(lesion={"owner": SECRET}),
        {"patient": {}, "lesions": [{"lesion_id": "Applewood"}, {"lesion_id": "Applewood"}]},
        case(as_of=SECRET),
        case(rule_book_version=SECRET),
        case(equipment=SECRET),
        case(equipment={"cone_bores_mm": [SECRET]}),
        {"patient": SECRET, "lesions": SECRET},
        SECRET,
        [SECRET],
    ],
)
def test_a_value_that_was_sent_never_comes_back(read, data):
    with pytest.raises(CaseError) as refusal:
        read(data)

    told = f"{refusal.value}{refusal.value.faults}{refusal.value.__cause__}"
    assert "Applewood" not in told


def test_a_long_field_name_is_cut_in_the_pointer(faults):
    ((pointer, _, _),) = faults(case({"x" * 5000: 1}))

    assert len(pointer) == len("#/patient/") + LONGEST_STEP


@pytest.mark.parametrize(
    ("steps", "pointer"),
    [((), "#"), (("lesions", 0, "a"), "#/lesions/0/a"), (("a/b",), "#/a~1b"), (("a~b",), "#/a~0b"), (("~1",), "#/~01")],
)
def test_a_pointer_escapes_as_rfc_6901_says(steps, pointer):
    assert pointer_to(steps) == pointer


# --- what is read -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [0.5, 300, 10, 10.0, 1e2])
def test_a_number_on_the_end_of_its_range_is_accepted(read, width):
    assert read(case(lesion={"base_width_mm": width})).lesions[0].stated == {"base_width_mm": width}


def test_a_whole_number_is_read_as_a_number_like_any_other(read):
    assert type(read(case(lesion={"base_width_mm": 10})).lesions[0].stated["base_width_mm"]) is float


def test_twenty_lesions_are_accepted(read):
    data = {"patient": {}, "lesions": [{"lesion_id": f"l{i}"} for i in range(20)]}

    assert len(read(data).lesions) == MOST_LESIONS == 20


def test_a_missing_date_is_filled_and_is_part_of_the_case(read):
    assert read(case()).plain["as_of"] == "2026-11-24"


def test_a_stated_date_is_kept(read):
    assert read(case(as_of="2024-02-29")).as_of == datetime.date(2024, 2, 29)


def test_what_is_not_stated_is_not_in_the_case(read):
    assert read(case(as_of="2026-11-24")).plain == {
        "as_of": "2026-11-24",
        "patient": {},
        "lesions": [{"lesion_id": "a"}],
    }


def test_a_case_has_one_digest_whatever_the_order_of_its_keys(read):
    one = case({"species": "dog", "age_years": 3}, {"base_width_mm": 10, "infected": False})
    turned = json.loads(
        '{"lesions":[{"infected":false,"base_width_mm":1.0e1,"lesion_id":"a"}],'
        '"patient":{"age_years":3.0,"species":"dog"}}'
    )

    assert read(one).digest == read(turned).digest


def test_two_cases_that_differ_have_two_digests(read):
    assert read(case(lesion={"infected": False})).digest != read(case(lesion={"infected": True})).digest


def test_sizes_at_hand_are_kept_apart_from_the_facts(read):
    found = read(case(equipment={"cone_bores_mm": [5, 8.5], "cryogen": "ether"}))

    assert (found.sizes_at_hand, found.stated) == ({"cone_bores_mm": (5.0, 8.5)}, {"cryogen": "ether"})


# --- check lists ------------------------------------------------------------------------------------------


def test_a_tick_states_every_input_of_its_list_as_absent(read):
    assert read(case(lesion={"ruled_out": ["lesion_signs"]})).lesions[0].stated == {
        "infected": False,
        "swells": False,
    }


def test_a_tick_is_a_statement_and_no_presumption(facts):
    found = facts(case({"ruled_out": ["general_health"]}))

    assert (found.without_presumptions["pregnant"], "pregnant" in found.presumed) == (False, False)


@pytest.mark.parametrize("turned", [False, True])
def test_a_fact_stated_by_itself_beats_the_tick_whatever_the_order(read, turned):
    lesion = {"ruled_out": ["lesion_signs"], "infected": True}
    written = dict(reversed(lesion.items())) if turned else lesion

    assert read(case(lesion=written)).lesions[0].stated == {"infected": True, "swells": False}


def test_an_empty_list_of_ticks_states_nothing(read):
    assert read(case(lesion={"ruled_out": []})).lesions[0].stated == {}


def test_a_tick_on_one_lesion_states_nothing_of_another(read):
    lesions = [{"lesion_id": "a", "ruled_out": ["lesion_signs"]}, {"lesion_id": "b"}]

    assert read({"patient": {}, "lesions": lesions}).lesions[1].stated == {}


def test_an_input_that_is_left_open_is_neither_ticked_nor_presumed(facts):
    found = facts(case({"ruled_out": ["general_health"], "left_open": ["pregnant"]}, {"ruled_out": ["lesion_signs"]}))

    assert "pregnant" not in found.known and "pregnant" not in found.presumed
    assert (found.known["cold_reaction"], found.known["infected"]) == (False, False)


def test_an_input_of_a_lesion_that_is_left_open_is_open_there_alone(read, small_folder):
    ticked = {"ruled_out": ["lesion_signs"]}
    lesions = [{"lesion_id": "a", **ticked, "left_open": ["swells"]}, {"lesion_id": "b", **ticked}]
    found = read({"patient": {}, "lesions": lesions})

    known = [facts_of(found, lesion, small_folder.vocabulary).known for lesion in found.lesions]

    assert ["swells" in one for one in known] == [False, True]


def test_a_fact_stated_by_itself_beats_being_left_open(facts):
    assert facts(case({"pregnant": True, "left_open": ["pregnant"]})).known["pregnant"] is True


def test_only_an_input_of_that_part_can_be_left_open_there(faults):
    assert [one[:2] for one in faults(case({"left_open": ["swells"]}))] == [("#/patient/left_open/0", "not_allowed")]


# --- facts ------------------------------------------------------------------------------------------------


def test_what_is_presumed_is_listed(facts):
    assert facts(case()).presumed == ("pregnant", "cold_reaction", "similar_lesions")


def test_what_is_stated_is_not_presumed(facts):
    found = facts(case({"pregnant": True, "similar_lesions": 1}))

    assert (found.presumed, found.known["pregnant"]) == (("cold_reaction",), True)


def test_a_presumed_fact_is_known_only_with_the_presumptions(facts):
    found = facts(case())

    assert ("pregnant" in found.known, "pregnant" in found.without_presumptions) == (True, False)


def test_a_missing_yes_or_no_fact_is_not_false(facts):
    assert "infected" not in facts(case()).known


def test_derived_quantities_are_known_with_and_without_presumptions(facts):
    found = facts(case(lesion={"base_width_mm": 4}))

    assert [known["needed_bore_mm"] for known in (found.known, found.without_presumptions)] == [5.5, 5.5]


def test_a_fact_about_the_patient_is_known_of_every_lesion(read, small_folder):
    found = read({"patient": {"species": "cat"}, "lesions": [{"lesion_id": "a"}, {"lesion_id": "b"}]})

    known = [facts_of(found, lesion, small_folder.vocabulary).known["species"] for lesion in found.lesions]

    assert known == ["cat", "cat"]


def test_the_facts_of_an_empty_case_can_be_run(facts, small_folder):
    decisions = decisions_over(small_folder)

    found = decisions.run(facts(case()))

    decisions.close()
    assert found.ranges["suitability"].at_least is None


# --- what reads a case, beside the model that stands in the document ----------------------------------------

WRONG = (None, True, 1, -1.5, "x", [], {}, [1], "dog", 1e9, math.nan)


def spoilt(case, chance):
    """A case in which some facts are left out, others are what they cannot be, and some belong nowhere."""
    made = copy.deepcopy(case)
    for _ in range(chance.randint(0, 4)):
        part = chance.choice([made, *(one for one in made.values() if isinstance(one, dict)), *lesions_in(made)])
        name = chance.choice([*part, "another", "species"])
        if chance.random() < 0.6:
            part[name] = chance.choice(WRONG)
        else:
            part.pop(name, None)
    return made


def lesions_in(case):
    listed = case.get("lesions")
    return [one for one in listed if isinstance(one, dict)] if isinstance(listed, list) else []


def read_by(reads, data, vocabulary):
    """What comes of data: its plain form, or its faults."""
    try:
        return reads(data)
    except ValidationError as error:
        return [(one.pointer, one.code, one.message) for one in case_faults(error, vocabulary)]


def test_a_case_is_read_as_the_model_in_the_document_reads_it(shipped_book):
    vocabulary, chance, seen = shipped_book.vocabulary, random.Random(20261128), Counter()
    reader, shape = case_reader(vocabulary), case_shape(vocabulary)

    for case in [*many_cases(vocabulary, 400, 20261128), *WRONG]:
        data = spoilt(case, chance) if isinstance(case, dict) and case else case
        found = read_by(reader.validate_python, data, vocabulary)
        assert found == read_by(lambda one: shape.model_validate(one).model_dump(exclude_unset=True), data, vocabulary)
        seen[type(found)] += 1

    assert min(seen[dict], seen[list]) > 50
