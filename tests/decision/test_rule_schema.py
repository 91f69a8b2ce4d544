"""The editor schema of rule files: it takes what the loader takes, and explains every code."""

from __future__ import annotations

import json

import jsonschema
import pytest
from referencing import Registry, Resource

from decision import load_rule_book
from decision.errors import RuleBookError
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.rule_schema import rule_schema, schema_files
from tests.small_folder import small_files, write

WHOLE = "rule.schema.json"
RULE = "suitability/sample_a_wide_one.yaml"
REQUIRED = ["title", "purpose", "explanation", "when", "conclude", "evidence", "maintenance", "examples"]


def validators(folder):
    """A validator for each decision, as an editor would use it."""
    files = {name: json.loads(text) for name, text in schema_files(folder).items()}
    registry = Registry().with_resource(WHOLE, Resource.from_contents(files[WHOLE]))
    return {
        name.removesuffix(".schema.json"): jsonschema.Draft202012Validator(schema, registry=registry)
        for name, schema in files.items()
        if name != WHOLE
    }


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    return read_rule_folder(write(tmp_path_factory.mktemp("small") / "rules", small_files()))


@pytest.fixture(scope="module")
def suitability(small):
    return validators(small)["suitability"]


@pytest.fixture
def written():
    """A rule file as data, to be spoilt."""
    return small_files()[RULE]


def loads(files, tmp_path):
    """Whether the loader takes a folder."""
    try:
        load_rule_book(write(tmp_path / "rules", files)).close()
    except RuleBookError:
        return False
    return True


def test_the_schema_is_one_of_json_schema_2020_12(small):
    schema = rule_schema(small)

    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_reference_inside_the_schema_leads_somewhere(small):
    schema = rule_schema(small)
    text = json.dumps(schema)
    named = {part.split('"')[0] for part in text.split("#/$defs/")[1:]}

    assert named - set(schema["$defs"]) == set()


def test_every_shipped_rule_fits_the_schema_of_its_decision():
    folder = read_rule_folder(shipped_rules())
    by_decision = validators(folder)

    misfits = [
        (rule.id, fault.json_path, fault.message)
        for decision, rules in folder.rules.items()
        for rule in rules
        for fault in by_decision[decision].iter_errors(rule.written)
    ]

    assert misfits == []


def test_a_rule_fits_the_whole_schema_too(small, written):
    assert jsonschema.Draft202012Validator(rule_schema(small)).is_valid(written)


@pytest.mark.parametrize("field", REQUIRED)
def test_schema_and_loader_both_miss_a_required_field(suitability, written, tmp_path, field):
    files = small_files()
    del written[field]
    files[RULE] = written

    assert (suitability.is_valid(written), loads(files, tmp_path)) == (False, False)


@pytest.mark.parametrize(
    "spoilt",
    [
        {"titel": "Sample it"},
        {"title": "Too short"},
        {"when": {}},
        {"when": {"base_width": ">= 10"}},
        {"when": {"base_width_mm": 10}},
        {"when": {"base_width_mm": "at least 10"}},
        {"when": {"site": "elbow"}},
        {"when": {"site": {"except": ["trunk"]}}},
        {"when": {"site": []}},
        {"when": {"infected": "yes"}},
        {"when": {"cryogen": "ether"}},
        {"conclude": {"verdict": "freeze_it"}},
        {"conclude": {"answer": "watch"}},
        {"examples": []},
        {"examples": [{"title": "one", "case": {}, "outcome": "perhaps"}] * 2},
        {"examples": [{"title": "one", "case": {"sampled": True}, "outcome": "holds"}] * 2},
    ],
    ids=lambda spoilt: json.dumps(spoilt)[:60],
)
def test_schema_and_loader_both_refuse(suitability, written, tmp_path, spoilt):
    files = small_files()
    files[RULE] = {**written, **spoilt}

    assert (suitability.is_valid(files[RULE]), loads(files, tmp_path)) == (False, False)


@pytest.mark.parametrize(
    "test",
    ["trunk", ["trunk", "pinna"], {"not": ["trunk"]}, {"not": "trunk"}],
    ids=str,
)
def test_a_code_may_be_asked_in_each_way_that_the_language_has(suitability, written, test):
    assert suitability.is_valid({**written, "when": {"site": test}})


@pytest.mark.parametrize("test", [">= 10", "<5", "= 2.5", "[5..20)", "(3 .. 4.5]"])
def test_a_number_may_be_asked_in_each_way_that_the_language_has(suitability, written, test):
    assert suitability.is_valid({**written, "when": {"base_width_mm": test}})


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("certainty", "certain"),
        ("strength", "very_strong"),
        ("citations", ["jones_2021"]),
        ("species_direct", "no"),
        ("limits", ""),
    ],
)
def test_schema_and_loader_both_refuse_evidence(suitability, written, tmp_path, field, value):
    files = small_files()
    written["evidence"][field] = value
    files[RULE] = written

    assert (suitability.is_valid(written), loads(files, tmp_path)) == (False, False)


def test_a_window_outside_its_quantity_is_refused(small):
    hold = small_files()["plan/hold_a_cone.yaml"]
    hold["conclude"] = {"contact_s": {"low": 20, "high": 400}}

    assert not validators(small)["plan"].is_valid(hold)


def test_a_caution_may_raise_to_an_answer_of_suitability_only(small):
    caution = small_files()["cautions/take_care_at_the_eye.yaml"]
    caution["conclude"]["raises_to"] = "cone"

    assert not validators(small)["cautions"].is_valid(caution)


def test_every_code_is_explained_where_it_is_typed(small):
    codes = rule_schema(small)["$defs"]["code_known_diagnosis"]["oneOf"]

    assert {"const": "skin_tag", "description": "skin tag"} in codes


def test_a_number_names_its_unit_and_range_where_it_is_typed(small):
    said = rule_schema(small)["$defs"]["test_base_width_mm"]["description"]

    assert "From 0.5 to 300 mm." in said


def test_each_decision_has_a_file_of_its_own(small):
    assert set(schema_files(small)) == {WHOLE, *(f"{node.name}.schema.json" for node in small.decisions)}


def test_the_same_folder_gives_the_same_bytes(small):
    assert schema_files(small) == schema_files(small)


def test_what_is_written_reads_back_as_the_schema(small):
    assert json.loads(schema_files(small)[WHOLE]) == json.loads(json.dumps(rule_schema(small)))


def test_a_limit_is_completed_with_the_answers_of_its_ladder(tmp_path):
    files = small_files()
    files["cautions/decision.yaml"]["fields"]["told_up_to"] = {"limit_of": "suitability", "optional": True}
    caution = files["cautions/take_care_at_the_eye.yaml"]
    caution["conclude"]["told_up_to"] = "suitable_with_care"
    valid = validators(read_rule_folder(write(tmp_path / "rules", files)))["cautions"]

    assert valid.is_valid(caution)
    caution["conclude"]["told_up_to"] = "cone"
    assert not valid.is_valid(caution)
