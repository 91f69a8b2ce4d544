"""What networks are told: prepared at load, it is what is written for a case by itself."""

from __future__ import annotations

import random

import pytest
from hypothesis import given

from decision.fact_table import FactTable
from decision.matcher import Matcher
from tests.random_rules import CHANCES, STEADY, case_facts, fact_fragments, random_rule_set, told_of


@STEADY
@given(CHANCES)
def test_the_rules_that_hold_are_those_found_when_everything_is_said(chance: random.Random):
    rule_set = random_rule_set(chance)
    matcher = Matcher("random", rule_set.rules, rule_set.inputs)
    table = FactTable([matcher], rule_set.inputs)
    cases = [case_facts(chance, rule_set.inputs, rule_set.limits) for _ in range(4)]

    told = matcher.holding_each([table.told(one) for one in cases])

    written = [matcher.holding(told_of(matcher, fact_fragments(one))) for one in cases]
    matcher.close()
    assert told == written


@STEADY
@given(CHANCES)
def test_what_is_told_in_two_parts_is_what_is_told_at_once(chance: random.Random):
    rule_set = random_rule_set(chance)
    facts = case_facts(chance, rule_set.inputs, rule_set.limits)
    first = {name: value for name, value in facts.items() if chance.random() < 0.5}
    rest = {name: value for name, value in facts.items() if name not in first}
    matchers = [Matcher("first", rule_set.rules, rule_set.inputs)]
    matchers.append(Matcher("second", rule_set.rules, rule_set.inputs, matchers[0].networks))
    table = FactTable(matchers, rule_set.inputs)

    told = table.told(first)
    before = told.copy()
    table.tell(told, rest)

    whole = table.told({**first, **rest})
    for one in matchers:
        one.close()
    assert (told.texts, told.needed) == (whole.texts, whole.needed)
    assert (before.texts, before.needed) == (table.told(first).texts, table.told(first).needed)


def test_the_networks_of_all_decisions_are_numbered_through(shipped_book):
    matchers = [one.matcher for one in shipped_book.decisions("before").compiled]
    numbers = [one.first + place for one in matchers for place in range(one.networks)]

    assert numbers == list(range(len(numbers)))
    assert len(numbers) > len(matchers)


@pytest.mark.parametrize(("name", "value"), [("no_such_input", "no such code"), ("site", "no_such_code")])
def test_what_no_test_could_be_met_by_is_told_to_nobody(shipped_book, name, value):
    decisions = shipped_book.decisions("before")
    table = FactTable([one.matcher for one in decisions.compiled], decisions.inputs)

    told = table.told({name: value})

    assert not any(told.texts)
    assert told.needed == 0
