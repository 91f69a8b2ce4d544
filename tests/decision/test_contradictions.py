"""Facts that cannot be together: how they are written, where a case is refused for them, and where none is."""

import datetime

import pytest

from decision.case import read_case
from decision.contradictions import Contradictions, contradiction_faults, weeks_before_birth
from decision.contradictions_file import read_contradictions
from decision.errors import CaseError, RuleBookError
from decision.folder_reading import read_rule_folder
from decision.rule_book import RuleBook
from decision.strict_yaml import Document
from tests.small_folder import small_files, write

TODAY = datetime.date(2026, 11, 24)
SAYS = "Both cannot be: check species and site."
FILE = {
    "ranges": {"species": {"cat": {"age_years": [0, 45]}}},
    "contradictions": {
        "no_ear": {"when": {"species": "cat", "site": {"not": ["trunk", "eyelid_skin"]}}, "says": SAYS},
        "small_and_named": {"when": {"base_width_mm": "< 1"}, "stated": ["known_diagnosis"], "says": SAYS},
        "well_and_ill": {"when": {"pregnant": False, "cold_reaction": True}, "says": SAYS},
    },
}


@pytest.fixture
def reading(small_folder):
    """Reads such a file: the contradictions, and its faults as path and message."""

    def read(data):
        found, faults = read_contradictions(Document("contradictions.yaml", data, {}), small_folder.vocabulary)
        return found, [(one.path, one.message) for one in faults]

    return read


@pytest.fixture
def faults(reading, small_folder):
    """The faults of a case, as pointer and message."""

    def found(patient, *lesions, moment="before"):
        listed = [{"lesion_id": f"l{number}", **one} for number, one in enumerate(lesions or ({},))]
        data = {"patient": patient, "lesions": listed}
        case = read_case(data, small_folder.vocabulary, today=TODAY, moment=moment)
        contradictions, _ = reading(FILE)
        return [
            (one.pointer, one.message) for one in contradiction_faults(case, contradictions, small_folder.vocabulary)
        ]

    return found


def test_a_contradiction_is_told_at_every_field_that_it_is_about(faults):
    assert faults({"species": "cat"}, {"site": "pinna"}) == [("#/patient/species", SAYS), ("#/lesions/0/site", SAYS)]


@pytest.mark.parametrize(
    ("patient", "lesion"),
    [
        ({"species": "cat"}, {}),
        ({}, {"site": "pinna"}),
        ({"species": "cat"}, {"site": "trunk"}),
        ({"species": "dog"}, {"site": "pinna"}),
        ({}, {"base_width_mm": 0.5}),
        ({}, {"base_width_mm": 1, "known_diagnosis": "none"}),
        ({"species": "cat", "age_years": 45}, {}),
        ({"species": "dog", "age_years": 46}, {}),
    ],
)
def test_what_is_not_met_in_full_is_no_contradiction(faults, patient, lesion):
    assert faults(patient, lesion) == []


def test_an_input_is_stated_whatever_its_value(faults):
    assert [pointer for pointer, _ in faults({}, {"base_width_mm": 0.5, "known_diagnosis": "none"})] == [
        "#/lesions/0/base_width_mm",
        "#/lesions/0/known_diagnosis",
    ]


def test_a_figure_beyond_its_range_is_told_with_the_range_and_never_the_figure(faults):
    said = "The age years stated is beyond any cat (0 to 45 years): check age years, its unit, and species."
    said = said.replace("age years", "age")

    assert faults({"species": "cat", "age_years": 46}) == [("#/patient/species", said), ("#/patient/age_years", said)]


def test_what_is_presumed_contradicts_nothing(faults):
    assert faults({"cold_reaction": True}) == []


def test_a_tick_contradicts_as_a_statement_does_and_is_told_at_its_list(faults):
    found = faults({"ruled_out": ["general_health"], "cold_reaction": True})

    assert found == [("#/patient/ruled_out", SAYS), ("#/patient/cold_reaction", SAYS)]


def test_each_lesion_is_held_against_the_patient_by_itself(faults):
    found = faults({"species": "cat"}, {"site": "trunk"}, {"site": "pinna"}, {"site": "pinna"})

    assert [pointer for pointer, _ in found] == ["#/patient/species", "#/lesions/1/site", "#/lesions/2/site"]


@pytest.mark.parametrize(
    ("weeks", "years", "older"),
    [(39, 0.25, False), (40, 0.25, True), (60, 0.25, True), (26, 0, False), (104, 1, False), (105, 1, True)],
)
def test_an_age_may_have_been_rounded_down_before_a_lesion_is_older_than_its_patient(weeks, years, older):
    assert (weeks_before_birth(weeks, years) > 0) is older


def test_a_rule_book_refuses_a_case_that_contradicts_itself(tmp_path):
    files = {**small_files(), "contradictions.yaml": FILE}
    book = RuleBook(read_rule_folder(write(tmp_path / "rules", files)))
    try:
        with pytest.raises(CaseError) as refusal:
            book.recommend({"patient": {"species": "cat"}, "lesions": [{"lesion_id": "a", "site": "pinna"}]})
    finally:
        book.close()

    assert [(one.pointer, one.code) for one in refusal.value.faults] == [
        ("#/lesions/0/site", "contradiction"),
        ("#/patient/species", "contradiction"),
    ]


def test_a_folder_without_the_file_has_no_contradictions(small_folder):
    assert small_folder.contradictions.listed == ()
    assert Contradictions().among({"species": "cat", "site": "pinna"}) == []


def test_what_cannot_be_together_is_part_of_the_digest(tmp_path, small_folder):
    files = {**small_files(), "contradictions.yaml": FILE}

    assert read_rule_folder(write(tmp_path / "rules", files)).digest != small_folder.digest


def test_an_example_in_which_a_rule_holds_is_one_that_can_be(tmp_path):
    held = {"when": {"site": "eyelid_skin"}, "stated": ["species"], "says": SAYS}
    files = {**small_files(), "contradictions.yaml": {"contradictions": {"no_eye": held}}}
    eye = files["cautions/take_care_at_the_eye.yaml"]["examples"]
    for example in eye:
        example["case"] = {"species": "dog", **example["case"]}

    with pytest.raises(RuleBookError) as refusal:
        RuleBook(read_rule_folder(write(tmp_path / "rules", files)))

    holding = [number for number, one in enumerate(eye) if one["outcome"] == "holds"]
    told = [str(one) for one in refusal.value.faults]
    assert [one.partition("examples")[2][1] for one in told] == [str(number) for number in holding]
    assert all(f"holds in a case that cannot be. {SAYS}" in one for one in told)


@pytest.mark.parametrize(
    ("data", "path", "said"),
    [
        (
            {"contradictions": {"a": {"when": {"specie": "cat", "site": "trunk"}, "says": SAYS}}},
            "contradictions.a.when.specie",
            'not an input that can be stated. Did you mean "species"?',
        ),
        (
            {"contradictions": {"a": {"when": {"species": "cow", "site": "trunk"}, "says": SAYS}}},
            "contradictions.a.when.species",
            '"cow" is not a value of species. Allowed: dog, cat, horse.',
        ),
        (
            {"contradictions": {"a": {"when": {"sampled": True, "site": "trunk"}, "says": SAYS}}},
            "contradictions.a.when.sampled",
            "not an input that can be stated.",
        ),
        (
            {"contradictions": {"a": {"when": {"site": "trunk"}, "stated": ["specie"], "says": SAYS}}},
            "contradictions.a.stated[0]",
            'not an input that can be stated. Did you mean "species"?',
        ),
        (
            {"contradictions": {"a": {"when": {"site": "trunk"}, "says": SAYS}}},
            "contradictions.a",
            "a contradiction is between two inputs or more.",
        ),
        (
            {"contradictions": {"a": {"when": {"weeks_before_birth": "> 0"}, "says": SAYS}}},
            "contradictions.a",
            "it rests on weeks_present, which is not an input.",
        ),
        (
            {"ranges": {"species": {"cow": {"age_years": [0, 60]}}}},
            "ranges.species.cow",
            "not a value of species.",
        ),
        (
            {"ranges": {"species": {"cat": {"age_years": [45, 0]}}}},
            "ranges.species.cat.age_years",
            "write a range that rises, [least, most], within that of the number.",
        ),
        (
            {"ranges": {"species": {"cat": {"site": [0, 45]}}}},
            "ranges.species.cat.site",
            "write a range that rises, [least, most], within that of the number.",
        ),
        ({"ranges": {"specie": {}}}, "ranges.specie", 'not an input that can be stated. Did you mean "species"?'),
        ({"contradiction": {}}, "contradiction", 'not a field. Did you mean "contradictions"?'),
    ],
)
def test_what_is_wrong_with_the_file_is_told_at_its_place(reading, data, path, said):
    _, faults = reading(data)

    assert (path, said) in faults
