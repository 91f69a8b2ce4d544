"""The examples in the shipped rules: each comes out as written, and together they notice every small change."""

from __future__ import annotations

import pytest

from decision.derived import derive
from decision.evaluator import outcome_of
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.rule_folder import all_inputs
from decision.verification.examples import teeth_of

RULE_IDS = sorted(
    f"{path.parent.name}/{path.stem}" for path in shipped_rules().glob("*/*.yaml") if path.name != "decision.yaml"
)


@pytest.fixture(scope="module")
def folder():
    return read_rule_folder(shipped_rules())


@pytest.fixture(scope="module")
def inputs(folder):
    return all_inputs(folder)


def outcome(rule, example):
    """What the rule does in an example: stated facts and what follows from them, nothing presumed."""
    stated = {name: float(value) if type(value) is int else value for name, value in example.case.items()}
    return outcome_of(rule, {**stated, **derive(stated)}).word


def test_there_are_rules_to_try():
    assert len(RULE_IDS) >= 50


@pytest.mark.parametrize("rule_id", RULE_IDS)
def test_every_example_of_a_rule_comes_out_as_written(folder, rule_id):
    rule = folder.rule(*rule_id.split("/"))

    found = {example.title: outcome(rule, example) for example in rule.examples}

    assert found == {example.title: example.outcome for example in rule.examples}


@pytest.mark.parametrize("rule_id", RULE_IDS)
def test_some_example_notices_each_small_change_of_a_rule(folder, inputs, rule_id):
    teeth = teeth_of(folder.rule(*rule_id.split("/")), inputs)

    unnoticed = [survivor.change for survivor in teeth.survivors]

    assert unnoticed == [], (
        f"No example of rules/{rule_id}.yaml notices this change. "
        "Add one on the limit, one just beside it, or one in which only this condition is not met."
    )


@pytest.mark.parametrize("rule_id", RULE_IDS)
def test_the_examples_of_a_rule_have_titles_of_their_own(folder, rule_id):
    titles = [example.title for example in folder.rule(*rule_id.split("/")).examples]

    assert sorted({title for title in titles if titles.count(title) > 1}) == []
