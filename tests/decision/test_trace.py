"""The trace: every rule that holds decides or is outranked, and an open rule says what it needs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.random_rules import STEADY, message, stated_facts


@pytest.fixture(scope="module", params=["small_book", "shipped_book"])
def book(request):
    return request.getfixturevalue(request.param)


def traced(book, facts):
    return book.recommend(message(facts, book.vocabulary), trace=True)["lesions"][0]


@STEADY
@given(st.data())
def test_every_rule_that_brings_a_verdict_decides_it_or_is_outranked(book, data):
    told = traced(book, data.draw(stated_facts(book.folder, "patient", "lesion")))
    rank = next(node for node in book.folder.decisions if node.name == "suitability").rank
    outranked = [one for one in told["outranked"] if one["decision"] == "suitability"]
    reasons = {reason["rule"] for reason in told["suitability"]["reasons"]}
    holding = reasons | {one["rule"] for one in outranked}

    for one in outranked:
        assert one["outranked_by_answer"] == told["suitability"]["at_least"]
        assert rank(one["says"]) < rank(one["outranked_by_answer"])
        assert holding.issuperset(one["outranked_by"])
    says = {one["rule"]: one["says"] for one in outranked}
    for one in outranked:
        above = [says[rule] for rule in one["outranked_by"] if rule in says]
        assert all(rank(one["says"]) < rank(other) for other in above)
    assert bool(holding) == bool(holding - says.keys())
    assert holding - says.keys() <= reasons


def test_an_outranked_rule_names_the_answer_and_the_rules_above_it(small_book):
    told = traced(small_book, {"site": "pinna", "base_width_mm": 12.0, "diagnosis_basis": "appearance"})

    by = {one["rule"]: (one["says"], one["outranked_by_answer"], one["outranked_by"]) for one in told["outranked"]}
    assert by["suitability/watch_the_ear"] == ("watch", "sample_first", ["suitability/sample_a_wide_one"])


@STEADY
@given(st.data())
def test_an_open_rule_needs_something_and_nothing_that_is_known(book, data):
    facts = data.draw(stated_facts(book.folder, "patient", "lesion"))

    for one in traced(book, facts)["still_open"]:
        assert one["needs"]
        assert not facts.keys() & set(one["needs"])
        assert not [name for name in one["needs"] if name in book.vocabulary.inputs and not statable(book, name)]


def statable(book, name):
    return not book.vocabulary.inputs[name].derived
