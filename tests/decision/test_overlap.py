"""Whether two rules can hold together, against trying every cell."""

import itertools
import math
import random

import pytest
from hypothesis import assume, given

from decision.overlap import common_case
from tests.kleene import outcome
from tests.random_rules import CHANCES, STEADY, RuleSet, advice, cells, limits_of, random_rule_set

MOST_CELLS = 3000


@STEADY
@given(CHANCES)
def test_two_rules_have_a_common_case_exactly_when_some_cell_lets_both_hold(chance: random.Random):
    rule_set = random_rule_set(chance)
    one, other = chance.choice(rule_set.rules), chance.choice(rule_set.rules)
    names = list(dict.fromkeys(test.input for test in (*one.tests, *other.tests)))
    limits = limits_of([one, other])
    choices = [cells(rule_set.inputs[name], limits.get(name, ())) for name in names]
    assume(math.prod(len(values) for values in choices) <= MOST_CELLS)

    found = common_case(one, other, rule_set.inputs)

    tried = (dict(zip(names, values, strict=True)) for values in itertools.product(*choices))
    assert (found is not None) == any(both_hold(one, other, facts) for facts in tried)


@STEADY
@given(CHANCES)
def test_a_common_case_lets_both_rules_hold(chance: random.Random):
    rule_set = random_rule_set(chance)
    one, other = chance.choice(rule_set.rules), chance.choice(rule_set.rules)

    found = common_case(one, other, rule_set.inputs)

    assume(found is not None)
    assert both_hold(one, other, found)


def both_hold(one, other, facts) -> bool:
    return outcome(one.written, facts) == outcome(other.written, facts) == "holds"


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
    "site": {
        "about": "lesion",
        "type": "code",
        "question": "Where is it?",
        "allowed": {"trunk": "trunk", "lid": "eyelid", "ear": "ear"},
        "risk": "none",
    },
}


@pytest.mark.parametrize(
    ("one", "other", "case"),
    [
        ({"width": "< 5"}, {"width": ">= 5"}, None),
        ({"width": "<= 5"}, {"width": ">= 5"}, {"width": 5.0}),
        ({"width": "> 5"}, {"width": "< 6"}, {"width": 5.5}),  # between two limits that neither includes
        ({"width": "(5..6)"}, {"width": "= 6"}, None),
        ({"site": ["trunk", "lid"]}, {"site": {"not": ["trunk"]}}, {"site": "lid"}),
        ({"site": "trunk"}, {"site": {"not": ["trunk"]}}, None),
        ({"wet": True}, {"wet": False}, None),
        ({"wet": True}, {"site": "ear"}, {"wet": True, "site": "ear"}),
    ],
)
def test_a_common_case_is_found_by_limits_and_codes(one, other, case):
    rule_set = advice(INPUTS, one, other)

    assert common_case(*rule_set.rules, rule_set.inputs) == case


def test_an_exception_can_keep_two_rules_apart():
    (excepted,) = advice(INPUTS, {"width": ">= 5"}, unless={"wet": True}).rules
    plain = advice(INPUTS, {"wet": True})

    assert common_case(excepted, plain.rules[0], plain.inputs) is None


def test_an_exception_of_two_tests_keeps_rules_apart_only_when_both_are_met():
    (excepted,) = advice(INPUTS, {"width": ">= 5"}, unless={"wet": True, "site": "ear"}).rules
    plain: RuleSet = advice(INPUTS, {"wet": True})

    assert common_case(excepted, plain.rules[0], plain.inputs) == {"width": 5.0, "site": "trunk", "wet": True}
