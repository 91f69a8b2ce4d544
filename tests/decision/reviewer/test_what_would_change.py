"""What would change the verdict: each change is confirmed here by a whole answer, and none that is nearer is missed."""

import datetime
from pathlib import Path

import pytest

from decision.reviewer.what_would_change import ChangeSearch
from decision.strict_yaml import read_yaml
from tests.decision.reviewer.conftest import message

CASES = Path(__file__).parents[2] / "cases"
TODAY = datetime.date(2026, 11, 24)


@pytest.fixture(scope="module")
def search(small_book):
    made = ChangeSearch(small_book)
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
    made = ChangeSearch(shipped_book)
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


# --- the shipped rules: values a patient could have, the nearest, alone or in pairs --------------------------


@pytest.fixture(scope="module")
def full_cases(shipped_book):
    """Some whole cases of the shipped rules as messages, each with one lesion."""
    paths = [one for name in ("demo", "routine", "traps") for one in sorted((CASES / name).glob("*.yaml"))[::3]]
    cases = [read_yaml(path.read_text(encoding="utf-8"), file=path.name)[0].data["case"] for path in paths]
    return [{**case, "lesions": case["lesions"][:1]} for case in cases]


@pytest.fixture(scope="module")
def told(shipped_book, full_cases):
    """What is told of each of those cases."""
    made = ChangeSearch(shipped_book)
    found = [(data, made.search(shipped_book.read(data, today=TODAY))["lesions"][0]) for data in full_cases]
    made.close()
    return found


def facts(told):
    for _, lesion in told:
        for change in (*lesion["singly"], *lesion["pairs"]):
            yield from change["facts"]


def test_only_values_that_a_case_may_state_are_told(told, shipped_book):
    for fact in facts(told):
        one = shipped_book.vocabulary.inputs[fact["input"]]
        assert one.about in ("patient", "lesion", "equipment", "operator")
        values = [fact["value"], *fact["also"]]
        if one.type == "code":
            assert set(values) <= set(one.allowed)
        elif one.type == "number":
            assert one.low <= fact["value"] <= one.high
        else:
            assert fact["value"] in (True, False)
        assert fact["given"] not in values


def test_what_never_changes_in_a_patient_is_marked_and_time_only_moves_on(told, shipped_book):
    marked = {fact["input"]: fact["changes"] for fact in facts(told)}

    assert marked["species"] == "never"
    assert {name: marked[name] for name in marked} == {
        name: shipped_book.vocabulary.inputs[name].changes for name in marked
    }
    moved = [fact for fact in facts(told) if fact["changes"] == "time" and fact["given"] is not None]
    assert moved
    assert all(fact["value"] > fact["given"] for fact in moved)


def test_no_nearer_number_moves_the_verdict_in_that_direction(told, shipped_book):
    rank = next(node for node in shipped_book.folder.decisions if node.name == "suitability").rank
    inputs, looked = shipped_book.vocabulary.inputs, 0
    for data, lesion in told[::2]:
        for change in lesion["singly"]:
            (fact,) = change["facts"]
            if isinstance(fact["given"], bool) or not isinstance(fact["given"], float):
                continue
            for nearer in between(fact["given"], fact["value"]):
                changed = verdict(shipped_book, with_facts(data, {fact["input"]: nearer}, inputs))
                looked += 1
                assert way(rank, lesion["verdict"], changed) != change["direction"], (fact, nearer)
    assert looked


def test_neither_fact_of_a_pair_changes_the_verdict_alone(told, shipped_book):
    inputs = shipped_book.vocabulary.inputs
    pairs = [(data, lesion["verdict"], pair) for data, lesion in told for pair in lesion["pairs"][:3]]

    assert pairs
    for data, now, pair in pairs:
        for fact in pair["facts"]:
            assert verdict(shipped_book, with_facts(data, {fact["input"]: fact["value"]}, inputs)) == now


def test_a_search_of_a_full_case_says_how_often_it_asked_and_asks_no_more_than_300_times(told):
    """The count is what the time rests on; the time itself is a benchmark's, since a busy machine has its own."""
    for _, lesion in told:
        assert len(lesion["singly"]) + len(lesion["pairs"]) < lesion["evaluations"] <= 300


def between(given, value):
    """Five numbers nearer to the given one than the one told, in hundredths."""
    steps = [given + (value - given) * share for share in (0.1, 0.3, 0.5, 0.7, 0.9)]
    return [number for number in (round(step, 2) for step in steps) if abs(number - given) < abs(value - given)]


def way(rank, was, now):
    if was == now:
        return None
    if was is None or now is None:
        return "a verdict" if was is None else "no verdict"
    return "more cautious" if rank(now) > rank(was) else "less cautious"
