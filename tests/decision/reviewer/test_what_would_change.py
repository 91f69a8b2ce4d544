"""What would change the verdict: each change is confirmed here by a whole answer, and none that is nearer is missed."""

import datetime

import pytest

from decision.reviewer.what_would_change import ChangeSearch
from tests.decision.reviewer.conftest import message

TODAY = datetime.date(2026, 11, 24)


@pytest.fixture(scope="module")
def search(small_book):
    made = ChangeSearch(small_book.folder)
    yield made
    made.close()


def verdict(book, data):
    return book.recommend(book.read(data, today=TODAY))["lesions"][0]["suitability"]["verdict"]


def with_facts(data, facts, inputs):
    changed = {**data, "patient": dict(data["patient"]), "lesions": [dict(data["lesions"][0])]}
    for name, value in facts.items():
        part = changed["patient"] if inputs[name].about == "patient" else changed["lesions"][0]
        part[name] = value
    return changed


def searched(search, book, **facts):
    return search.search(book.read(message(**facts), today=TODAY))["lesions"][0]


def by_input(changes):
    return {(one["facts"][0]["input"], one["direction"]): one for one in changes}


def test_the_nearest_width_that_changes_the_verdict_is_the_limit(search, small_book):
    found = by_input(searched(search, small_book)["singly"])["base_width_mm", "more cautious"]

    assert (found["facts"][0]["value"], found["verdict"]) == (10.0, "sample_first")
    assert found["rules"] == ["suitability/sample_a_wide_one"]


def test_every_change_told_is_what_the_whole_answer_says(search, small_book):
    for facts in ({}, {"site": "pinna"}, {"base_width_mm": 12}, {"infected": None}, {"cold_reaction": True}):
        data = message(**facts)
        lesion = searched(search, small_book, **facts)

        for change in (*lesion["singly"], *lesion["pairs"]):
            moved = {fact["input"]: fact["value"] for fact in change["facts"]}
            assert verdict(small_book, with_facts(data, moved, small_book.vocabulary.inputs)) == change["verdict"]


def test_no_single_fact_that_changes_the_verdict_is_missed(search, small_book):
    data, inputs = message(base_width_mm=12), small_book.vocabulary.inputs
    told = {one["facts"][0]["input"] for one in searched(search, small_book, base_width_mm=12)["singly"]}

    missed = set()
    for one in (one for one in inputs.values() if one.about in ("patient", "lesion")):
        values = {"code": one.allowed, "boolean": (True, False)}.get(one.type, [one.low + i / 2 for i in range(60)])
        changed = [verdict(small_book, with_facts(data, {one.name: value}, inputs)) for value in values]
        if any(other != verdict(small_book, data) for other in changed) and one.name not in told:
            missed.add(one.name)
    assert missed == set()


def test_two_facts_are_told_where_neither_changes_the_verdict_alone(search, small_book):
    lesion = searched(search, small_book, infected=True, cold_reaction=True)

    assert lesion["singly"] == []
    pairs = [{fact["input"] for fact in change["facts"]} for change in lesion["pairs"]]
    assert pairs == [{"cold_reaction", "infected"}]


def test_a_fact_that_changes_the_verdict_alone_stands_in_no_pair(search, small_book):
    lesion = searched(search, small_book, site="pinna", base_width_mm=12)

    alone = {fact["input"] for change in lesion["singly"] for fact in change["facts"]}
    assert alone.isdisjoint(fact["input"] for change in lesion["pairs"] for fact in change["facts"])


def test_what_is_not_stated_is_told_as_not_given(search, small_book):
    found = by_input(searched(search, small_book, infected=None)["singly"])

    assert found["infected", "a verdict"]["facts"][0]["given"] is None


def test_what_is_presumed_is_told_as_presumed(search, small_book):
    data = message()
    data["patient"].pop("ruled_out")
    lesion = search.search(small_book.read(data, today=TODAY))["lesions"][0]

    fact = by_input(lesion["singly"])["cold_reaction", "more cautious"]["facts"][0]
    assert (fact["presumed"], fact["given"]) == (True, False)


def test_the_engine_says_how_often_it_was_asked(search, small_book):
    found = search.search(small_book.read(message(), today=TODAY))

    assert found["evaluations"] == sum(one["evaluations"] for one in found["lesions"]) > 10


def test_the_shipped_vocabulary_says_that_species_never_changes_and_that_age_rises(shipped_book):
    inputs = shipped_book.vocabulary.inputs

    assert [inputs[name].changes for name in ("species", "age_years", "infected")] == ["never", "time", "can"]


def test_every_change_told_of_the_shipped_cases_is_what_the_whole_answer_says(shipped_book, presentations):
    made = ChangeSearch(shipped_book.folder)
    inputs = shipped_book.vocabulary.inputs
    for name in sorted(presentations)[::12]:
        facts = presentations[name]
        data = {"as_of": "2026-11-24", "patient": {}, "lesions": [{"lesion_id": "one"}]}
        stated = {key: value for key, value in facts.items() if inputs[key].about in ("patient", "lesion")}
        data = with_facts(data, stated, inputs)
        lesion = made.search(shipped_book.read(data, today=TODAY))["lesions"][0]

        for change in (*lesion["singly"][::5], *lesion["pairs"][::3]):
            moved = {fact["input"]: fact["value"] for fact in change["facts"]}
            assert verdict(shipped_book, with_facts(data, moved, inputs)) == change["verdict"], (name, moved)
    made.close()
