"""A rule as data: conditions, conclusion, evidence and examples in plain words."""

from __future__ import annotations

import json

import pytest

from decision.folder_reading import read_rule_folder
from decision.handbook.rule_in_words import rule_as_data
from decision.rule_folder import all_inputs
from decision.unary_test import in_words
from tests.small_folder import rule, small_files, write


def said(tmp_path, name, change=None):
    """A small rule as data, after a change of its file."""
    files = small_files()
    if change is not None:
        change(files[name])
    folder = read_rule_folder(write(tmp_path / "rules", files))
    return rule_as_data(folder.rule(*name.removesuffix(".yaml").split("/")), folder)


def test_every_rule_can_be_sent_as_json(small_folder):
    for rules in small_folder.rules.values():
        for one in rules:
            found = rule_as_data(one, small_folder)
            assert json.loads(json.dumps(found)) == found


def test_tests_are_worded_by_the_one_function_for_it(small_folder):
    inputs = all_inputs(small_folder)
    for rules in small_folder.rules.values():
        for one in rules:
            found = rule_as_data(one, small_folder)
            assert [test["words"] for test in found["when"]] == [in_words(t, inputs[t.input]) for t in one.when]
            assert [test["words"] for test in found["unless"]] == [in_words(t, inputs[t.input]) for t in one.unless]


@pytest.mark.parametrize(
    ("name", "then"),
    [
        ("suitability/watch_the_ear", ["The verdict is “watch it”."]),
        ("method/use_a_cone", ["The applicator is “a cone”."]),
        ("plan/hold_a_cone", ["Contact: 20 to 25 s."]),
        ("plan/freeze_once", ["Cycles: 1."]),
        ("alternatives/take_a_biopsy", ["Take a biopsy.", "By when: within two weeks."]),
        ("preparation/clip_the_hair", ["Clip the hair.", "Hair keeps the cold out."]),
        (
            "cautions/take_care_at_the_eye",
            [
                "Warning.",
                "The eye is near.",
                "So care is taken.",
                "Suitability is then at least “may be frozen, with care”.",
            ],
        ),
    ],
)
def test_a_conclusion_reads_as_sentences(tmp_path, name, then):
    assert said(tmp_path, f"{name}.yaml")["then"] == then


def test_a_window_of_one_value_is_one_figure(tmp_path):
    found = said(
        tmp_path, "plan/hold_a_cone.yaml", lambda one: one["conclude"].update(contact_s={"low": 20, "high": 20})
    )

    assert found["then"] == ["Contact: 20 s."]


def test_citations_are_given_in_full(tmp_path):
    found = said(tmp_path, "method/use_a_cone.yaml", lambda one: one["evidence"].update(citations=["smith_2020"]))

    cited = {"key": "smith_2020", "citation": "Smith A. A source invented for tests. Nowhere, 2020."}
    assert found["evidence"]["citations"] == [cited]


def test_an_example_says_what_is_stated_and_what_follows(tmp_path):
    first = said(tmp_path, "suitability/sample_a_wide_one.yaml")["examples"][0]

    assert first["stated"] == {"base_width_mm": "base width: 10 mm", "diagnosis_basis": "diagnosis basis: none"}
    assert first["computed"] == {"sampled": "sampled: no"}


def test_a_computed_fact_that_is_open_says_so(tmp_path):
    last = said(tmp_path, "suitability/sample_a_wide_one.yaml")["examples"][-1]

    assert (last["computed"], last["outcome"]) == ({"sampled": "sampled: cannot be said"}, "unknown")


def test_the_outcome_of_an_example_is_the_one_that_it_had_when_run(tmp_path):
    """An author's slip, which a rule book refuses to load, is not printed on."""

    def slip(one):
        one["examples"][0]["outcome"] = "fails"
        one["examples"][1]["outcome"] = "holds"

    examples = said(tmp_path, "suitability/watch_the_ear.yaml", slip)["examples"]

    assert [one["outcome"] for one in examples] == ["holds", "fails", "unknown"]


def test_nothing_is_presumed_in_an_example(tmp_path):
    last = said(tmp_path, "cautions/say_that_it_is_pregnant.yaml")["examples"][-1]

    assert (last["stated"], last["outcome"]) == ({}, "unknown")


def test_a_figure_of_a_statement_is_named(tmp_path):
    files = small_files()
    files["precautions/decision.yaml"]["fields"] = {"day": {"range": [0, 30]}}
    files["precautions/practise_first.yaml"] = rule(
        {"species": "dog"}, {"day": 10}, ("holds", {"species": "dog"}), ("fails", {"species": "cat"}), ("unknown", {})
    )
    folder = read_rule_folder(write(tmp_path / "rules", files))

    assert rule_as_data(folder.rule("precautions", "practise_first"), folder)["then"] == ["Day 10."]


def test_sizes_at_hand_are_all_named(tmp_path):
    def with_sizes(one):
        one["examples"][0]["case"] |= {"cone_bores_mm": [5, 8.5]}

    first = said(tmp_path, "method/use_a_cone.yaml", with_sizes)["examples"][0]

    assert first["stated"]["cone_bores_mm"] == "cone bores: 5 and 8.5 mm"
