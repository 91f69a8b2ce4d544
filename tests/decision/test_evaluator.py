"""The evaluator, against the naive judge."""

import dataclasses
import math
import random

import pytest
from hypothesis import given

from decision.evaluator import Outcome, compile_rules, outcome_of, places
from tests.kleene import outcomes
from tests.random_rules import CHANCES, STEADY, advice, case_facts, random_rule_set

INPUTS = {
    "width": {
        "about": "lesion",
        "type": "number",
        "question": "How wide?",
        "unit": "mm",
        "range": [0, 100],
        "risk": "none",
    },
    "wet": {"about": "lesion", "type": "boolean", "question": "Is it wet?", "risk": "none"},
    "red": {"about": "lesion", "type": "boolean", "question": "Is it red?", "risk": "none"},
    "site": {
        "about": "lesion",
        "type": "code",
        "question": "Where is it?",
        "allowed": {"trunk": "trunk", "lid": "eyelid", "ear": "ear"},
        "risk": "none",
    },
}


def outcome(when, facts, unless=None):
    (read,) = advice(INPUTS, when, unless=unless).rules
    return outcome_of(read, facts).word


@pytest.mark.parametrize("test", ["lid", ["lid", "ear"], {"not": ["lid"]}, {"not": ["lid", "ear"]}])
def test_a_code_not_stated_leaves_the_rule_unknown(test):
    assert outcome({"site": test}, {}) == "unknown"


@pytest.mark.parametrize("test", [True, False])
def test_a_yes_or_no_input_not_stated_is_unknown_and_never_false(test):
    assert outcome({"wet": test}, {}) == "unknown"


@pytest.mark.parametrize("test", [">= 0", "<= 100", "[0..100]"])
def test_a_number_not_stated_leaves_even_a_test_that_all_numbers_meet_unknown(test):
    assert outcome({"width": test}, {}) == "unknown"


def test_one_test_not_met_fails_the_rule_whatever_else_is_unknown():
    assert outcome({"wet": True, "red": True}, {"wet": False}) == "fails"


def test_all_tests_must_be_met_for_the_rule_to_hold():
    assert outcome({"wet": True, "red": True}, {"wet": True}) == "unknown"


@pytest.mark.parametrize(
    ("facts", "word"),
    [
        ({"width": 5.0, "wet": True, "red": True}, "fails"),
        ({"width": 5.0, "wet": True, "red": False}, "holds"),  # all of `unless` must be met
        ({"width": 5.0, "red": False}, "holds"),  # so one that is not met is enough
        ({"width": 5.0, "red": True}, "unknown"),
        ({"width": 5.0}, "unknown"),
        ({"wet": True, "red": True}, "fails"),  # the exception is met, whatever the width
        ({"wet": True, "red": False}, "unknown"),
        ({"width": 4.0}, "fails"),
    ],
)
def test_an_exception_fails_the_rule_only_when_all_its_tests_are_met(facts, word):
    assert outcome({"width": ">= 5"}, facts, unless={"wet": True, "red": True}) == word


@STEADY
@given(CHANCES)
def test_the_evaluator_agrees_with_the_naive_judge(chance: random.Random):
    rule_set = random_rule_set(chance)
    facts = case_facts(chance, rule_set.inputs, rule_set.limits)

    found = [Outcome(one).word for one in compile_rules(rule_set.rules)(facts)]

    assert found == outcomes(rule_set.written, facts)


@STEADY
@given(CHANCES)
def test_rules_evaluated_together_come_out_as_each_does_alone(chance: random.Random):
    rule_set = random_rule_set(chance)
    facts = case_facts(chance, rule_set.inputs, rule_set.limits)

    together = compile_rules(rule_set.rules)(facts)

    assert list(together) == [outcome_of(one, facts) for one in rule_set.rules]


@pytest.mark.parametrize("limit", [5.0, 7.5, 10.0])
def test_each_side_of_a_limit_and_the_limit_itself_are_told_apart(limit):
    read = advice(INPUTS, {"width": "[5..7.5)"}, {"width": "> 7.5"}, {"width": "= 10"}).rules
    meant = [lambda v: 5 <= v < 7.5, lambda v: v > 7.5, lambda v: v == 10]

    for width in (math.nextafter(limit, 0), limit, math.nextafter(limit, 100)):
        assert compile_rules(read)({"width": width}) == [int(one(width)) for one in meant]


def test_a_code_that_no_rule_names_is_none_of_those_named():
    read = advice(INPUTS, {"site": ["lid", "ear"]}, {"site": {"not": ["lid", "ear"]}}).rules

    assert compile_rules(read)({"site": "trunk"}) == [0, 1]


def test_a_fact_that_no_rule_asks_about_changes_nothing():
    read = advice(INPUTS, {"wet": True}).rules

    assert compile_rules(read)({"wet": True, "sizes": [5.0, 8.0], "red": False}) == [1]


def test_the_places_of_bits_are_given_from_the_lowest():
    assert places(1 << 200 | 0b1001) == [0, 3, 200]


def test_an_input_name_that_is_python_is_only_a_name():
    (read,) = advice(INPUTS, {"wet": True}).rules
    named = dataclasses.replace(read, when=(dataclasses.replace(read.when[0], input='"]; raise SystemExit #'),))

    assert outcome_of(named, {'"]; raise SystemExit #': True}) is Outcome.HOLDS


def test_no_rules_have_no_outcomes():
    assert list(compile_rules([])({"wet": True})) == []


@pytest.mark.parametrize(("found", "word"), [(0, "fails"), (1, "holds"), (2, "unknown")])
def test_an_outcome_has_the_word_that_rule_files_use(found, word):
    assert Outcome(found).word == word
