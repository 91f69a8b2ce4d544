"""Examples with teeth: which small changes of a rule its examples notice."""

from __future__ import annotations

import pytest

from decision.evaluator import outcome_of
from decision.folder_reading import read_rule_folder
from decision.rule_folder import all_inputs
from decision.verification.examples import probe, tally, teeth_of
from decision.verification.mutation import mutants_of, step_of
from tests.small_folder import rule, small_files, write

CONCLUDES = {"step": "Do it.", "detail": "It helps."}


@pytest.fixture
def folder_with(tmp_path):
    """A folder that holds one more rule, and that rule."""

    def make(when, *examples, unless=None):
        files = small_files()
        files["preparation/do_it.yaml"] = rule(when, CONCLUDES, *examples, unless=unless)
        folder = read_rule_folder(write(tmp_path / "rules", files))
        return folder, folder.rule("preparation", "do_it")

    return make


@pytest.fixture
def surviving(folder_with):
    """The changes of a rule that its examples do not notice."""

    def find(when, *examples, unless=None):
        folder, made = folder_with(when, *examples, unless=unless)
        return [one.change for one in teeth_of(made, all_inputs(folder)).survivors]

    return find


def test_every_mutant_of_the_toy_rules_is_noticed(toy_book):
    figures = [(one.decision, one.rules, one.examples, one.mutants, one.survivors) for one in tally_of(toy_book)]

    # mind_the_cold: 1 flip; freeze_a_small_lesion: 2 codes out, any code, dropped; 2 shifts, strictness, dropped; flip,
    # dropped; sample_a_lasting_lesion_first: twice 2 shifts, strictness, dropped; exception: flip, dropped
    assert figures == [("cautions", 1, 3, 1, ()), ("suitability", 2, 11, 20, ())]


def tally_of(book):
    return tally(book.folder, mutants=True)


def test_without_mutants_only_rules_and_examples_are_counted(toy_book):
    assert [(one.rules, one.mutants) for one in tally(toy_book.folder, mutants=False)] == [(1, 0), (2, 0)]


def test_an_example_on_the_limit_and_one_beside_it_notice_every_shift(surviving):
    left = surviving(
        {"base_width_mm": ">= 10"},
        ("holds", {"base_width_mm": 10}),
        ("fails", {"base_width_mm": 9.5}),
        ("unknown", {}),
    )

    assert left == []


def test_examples_far_from_a_limit_leave_its_shifts_unnoticed(surviving):
    left = surviving(
        {"base_width_mm": ">= 10"},
        ("holds", {"base_width_mm": 20}),
        ("fails", {"base_width_mm": 2}),
        ("unknown", {}),
    )

    assert left == [
        'when.base_width_mm: "base width is over 10 mm" for "base width is at least 10 mm"',
        'when.base_width_mm: "base width is at least 9.5 mm" for "base width is at least 10 mm"',
        'when.base_width_mm: "base width is at least 10.5 mm" for "base width is at least 10 mm"',
    ]


def test_both_ends_of_an_interval_are_tried(surviving):
    left = surviving(
        {"height_mm": "[2..5)"},
        ("holds", {"height_mm": 2}),
        ("fails", {"height_mm": 1.5}),
        ("holds", {"height_mm": 4}),
        ("fails", {"height_mm": 9}),
        ("unknown", {}),
    )

    said = "height is at least 2 mm and under 5 mm"
    assert left == [
        f'when.height_mm: "height is at least 2 mm and at most 5 mm" for "{said}"',
        f'when.height_mm: "height is at least 2 mm and under 4.5 mm" for "{said}"',
        f'when.height_mm: "height is at least 2 mm and under 5.5 mm" for "{said}"',
    ]


def test_an_exact_value_is_moved_and_opened_both_ways(surviving):
    left = surviving(
        {"similar_lesions": "= 3"},
        ("holds", {"similar_lesions": 3}),
        ("fails", {"similar_lesions": 2}),
        ("unknown", {}),
    )

    assert left == [
        'when.similar_lesions: "similar lesions is at least 3 lesions" for "similar lesions is exactly 3 lesions"'
    ]


def test_a_limit_is_not_moved_out_of_the_range_of_its_input(folder_with):
    folder, made = folder_with(
        {"base_width_mm": "> 0.5"}, ("holds", {"base_width_mm": 1}), ("fails", {"base_width_mm": 0.5}), ("unknown", {})
    )

    changes = [mutant.change for mutant in mutants_of(made, all_inputs(folder))]

    assert [change.split('"')[1] for change in changes] == ["base width is at least 0.5 mm", "base width is over 1 mm"]


def test_each_listed_code_needs_an_example(surviving):
    left = surviving(
        {"species": ["dog", "cat"]}, ("holds", {"species": "dog"}), ("fails", {"species": "horse"}), ("unknown", {})
    )

    assert left == ["when.species: cat left out"]


def test_some_code_outside_the_list_must_be_shown_to_fail(surviving):
    left = surviving(
        {"species": "dog", "site": "trunk"},
        ("holds", {"species": "dog", "site": "trunk"}),
        ("fails", {"species": "dog", "site": "pinna"}),
        ("unknown", {"site": "trunk"}),
    )

    assert left == ["when.species: any code"]


def test_an_excluded_code_needs_an_example_as_well(surviving):
    left = surviving(
        {"species": {"not": ["dog", "cat"]}},
        ("holds", {"species": "horse"}),
        ("fails", {"species": "dog"}),
        ("unknown", {}),
    )

    assert left == ["when.species: cat left out"]


def test_a_forgotten_condition_is_noticed_only_where_nothing_else_fails(surviving):
    left = surviving(
        {"infected": True, "swells": True},
        ("holds", {"infected": True, "swells": True}),
        ("fails", {"infected": False, "swells": False}),
        ("unknown", {"infected": True}),
    )

    assert left == ["when.infected: dropped"]


def test_an_exception_that_is_dropped_or_turned_is_noticed(surviving):
    left = surviving(
        {"infected": True},
        ("holds", {"infected": True, "swells": False}),
        ("fails", {"infected": False, "swells": False}),
        ("unknown", {"infected": True}),
        unless={"swells": True},
    )

    assert left == []


def test_an_exception_that_no_example_states_survives(surviving):
    left = surviving(
        {"infected": True},
        ("unknown", {"infected": True}),
        ("fails", {"infected": False}),
        ("holds", {"infected": True, "species": "dog"}),
        unless={"swells": True, "species": {"not": ["dog"]}},
    )

    assert left == ["unless.swells: false for true", "unless.swells: dropped"]


def test_a_mutant_differs_from_its_rule_in_one_block_only(toy_book):
    whole = toy_book.folder.rule("suitability", "sample_a_lasting_lesion_first")

    for mutant in mutants_of(whole, all_inputs(toy_book.folder)):
        assert (mutant.rule.when == whole.when) != (mutant.rule.unless == whole.unless)


def test_the_only_condition_of_a_rule_is_never_dropped(toy_book):
    alone = toy_book.folder.rule("cautions", "mind_the_cold")

    assert [one.change for one in mutants_of(alone, all_inputs(toy_book.folder))] == [
        "when.reacts_to_cold: false for true"
    ]


def test_a_flipped_condition_holds_where_the_rule_failed(toy_book):
    alone = toy_book.folder.rule("cautions", "mind_the_cold")
    (flipped,) = mutants_of(alone, all_inputs(toy_book.folder))

    known = {"reacts_to_cold": False}

    assert (outcome_of(alone, known).word, outcome_of(flipped.rule, known).word) == ("fails", "holds")


@pytest.mark.parametrize(
    ("name", "step"),
    [
        ("base_width_mm", 0.5),  # half millimetres are stated
        ("age_years", 0.5),  # half years are stated
        ("similar_lesions", 1.0),  # lesions are counted
    ],
)
def test_the_step_is_the_smallest_that_practice_states(tmp_path, name, step):
    inputs = read_rule_folder(write(tmp_path / "rules", small_files())).vocabulary.inputs

    assert step_of(inputs[name]) == step


def test_facts_that_follow_from_an_example_are_known_in_it(surviving):
    left = surviving(
        {"sampled": True},
        ("holds", {"diagnosis_basis": "cytology", "known_diagnosis": "skin_tag"}),
        ("fails", {"diagnosis_basis": "none"}),
        ("unknown", {"diagnosis_basis": "cytology"}),
    )

    assert left == []


def test_both_means_agree_on_every_example_of_the_shipped_rules_at_every_moment(shipped_book):
    folder = shipped_book.folder
    asked = {node.name: len(node.moments) for node in folder.decisions}

    runs = probe(shipped_book)

    assert runs == sum(asked[name] * len(rule.examples) for name, rules in folder.rules.items() for rule in rules)
    assert runs > 2_000
