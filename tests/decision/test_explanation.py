"""Reasons, questions and presumptions: what is said, in which order, and whether it is true."""

import random

import orjson
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from decision import load_rule_book
from decision.case import Facts
from decision.folder_reading import read_rule_folder
from decision.questions import Asker
from decision.rule_book import RuleBook
from decision.spoken import Spoken
from decision.unary_test import met
from tests.kleene import outcome, truth
from tests.random_rules import CHANCES, STEADY, case_values, limits_of, message, random_folder, stated_facts
from tests.small_folder import decisions_over, small_files, write


def facts(known) -> Facts:
    return Facts(dict(known), dict(known), ())


def answer(book, known):
    return book.recommend(message(known, book.vocabulary), trace=True)["lesions"][0]


def questions(book, known):
    return answer(book, known)["ask_next"]


def question(book, known, name):
    return next((one for one in questions(book, known) if one["input"] == name), None)


CLEAN = {"base_width_mm": 4.0, "infected": False, "site": "trunk", "height_mm": 1.0}


# --- findings ---------------------------------------------------------------------------------------------


def test_a_finding_says_the_test_in_words_and_the_value_of_the_case(small_book):
    (reason,) = answer(small_book, CLEAN)["suitability"]["reasons"]

    assert reason["because"][0] == {
        "input": "base_width_mm",
        "test": "base width is under 10 mm",
        "given": 4.0,
        "finding": "met",
    }


def test_a_finding_on_an_exception_says_unless(small_book):
    (reason,) = answer(small_book, {"base_width_mm": 10.0, "diagnosis_basis": "none"})["suitability"]["reasons"]

    assert reason["because"][1] == {
        "input": "sampled",
        "test": "unless sampled: yes",
        "given": False,
        "finding": "not met",
    }


def test_a_test_on_what_is_not_stated_is_found_not_stated(small_book):
    still_open = {one["rule"]: one["because"] for one in answer(small_book, {"base_width_mm": 4.0})["still_open"]}

    assert still_open["suitability/freeze_a_small_one"][2] == {
        "input": "site",
        "test": "site: trunk; or eyelid skin",
        "given": None,
        "finding": "not stated",
    }


def test_false_is_given_as_false_and_not_as_not_stated(small_book):
    (reason,) = answer(small_book, CLEAN)["suitability"]["reasons"]

    assert reason["because"][1]["given"] is False


def test_a_reason_carries_the_evidence_of_its_rule(small_book):
    (reason,) = answer(small_book, CLEAN)["suitability"]["reasons"]

    written = small_files()["suitability/freeze_a_small_one.yaml"]["evidence"]
    assert reason["evidence"] == {**written, "measured_in": []}


@pytest.fixture
def measured_in_dogs(tmp_path):
    """A book in which one rule, that does not ask the species, rests on a source that measured in dogs."""
    files = small_files()
    files["suitability/watch_the_ear.yaml"]["evidence"] |= {"citations": ["smith_2020"], "species_direct": True}
    book = load_rule_book(write(tmp_path / "rules", files))
    yield book
    book.close()


@pytest.mark.parametrize("for_json", [False, True])
def test_evidence_is_direct_only_for_a_species_in_which_it_was_measured(measured_in_dogs, for_json):
    def told(**patient):
        case = {"patient": patient, "lesions": [{"lesion_id": "one", "site": "pinna"}]}
        answered = measured_in_dogs.recommend(case, for_json=for_json)
        (reason,) = orjson.loads(orjson.dumps(answered))["lesions"][0]["suitability"]["reasons"]
        return reason["evidence"]["species_direct"], reason["evidence"]["measured_in"]

    # The rule does not ask the species, so that each answer could be the one that was kept of the last patient.
    patients = [{"species": "cat"}, {"species": "dog"}, {"species": "cat"}, {}, {"species": "horse"}]
    found = [told(**patient) for patient in patients]

    assert found == [(False, ["dog"]), (True, ["dog"]), (False, ["dog"]), (False, ["dog"]), (False, ["dog"])]


def test_nothing_was_measured_in_any_species_where_the_rule_does_not_claim_it(tmp_path):
    files = small_files()
    files["suitability/watch_the_ear.yaml"]["evidence"] |= {"citations": ["smith_2020"]}
    book = load_rule_book(write(tmp_path / "rules", files))
    case = {"patient": {"species": "dog"}, "lesions": [{"lesion_id": "one", "site": "pinna"}]}
    (reason,) = book.recommend(case)["lesions"][0]["suitability"]["reasons"]
    book.close()

    assert (reason["evidence"]["species_direct"], reason["evidence"]["measured_in"]) == (False, [])


@pytest.fixture(scope="module", params=["small_book", "toy_book", "shipped_book"])
def book(request):
    return request.getfixturevalue(request.param)


FINDINGS = {0: "not met", 0.5: "not stated", 1: "met"}


@STEADY
@given(st.data())
def test_every_finding_is_what_the_judge_finds(book, data):
    told = answer(book, data.draw(stated_facts(book.folder, "patient", "lesion")))
    rules = {one.id: one.written for rules in book.folder.rules.values() for one in rules}

    for one in [*told["suitability"]["reasons"], *told["did_not_apply"], *told["still_open"]]:
        written = rules[one["rule"]]
        tests = [*written["when"].values(), *written.get("unless", {}).values()]
        judged = [
            FINDINGS[float(truth(test, found["given"]))] for test, found in zip(tests, one["because"], strict=True)
        ]
        assert [found["finding"] for found in one["because"]] == judged


@STEADY
@given(st.data())
def test_every_rule_of_a_decision_that_ran_is_told_under_its_outcome(book, data):
    told = answer(book, data.draw(stated_facts(book.folder, "patient", "lesion")))
    rules = {one.id: one.written for one in (*book.folder.rules["cautions"], *book.folder.rules["suitability"])}

    for word, listed in (("fails", told["did_not_apply"]), ("unknown", told["still_open"])):
        for one in (one for one in listed if one["rule"] in rules):
            known = {found["input"]: found["given"] for found in one["because"]}
            assert outcome(rules[one["rule"]], known) == word


@STEADY
@given(st.data())
def test_a_trace_and_the_reasons_together_name_every_rule_of_suitability_once(book, data):
    told = answer(book, data.draw(stated_facts(book.folder, "patient", "lesion")))
    reasons = {one["rule"] for one in told["suitability"]["reasons"]}
    silent = [one for one in told["outranked"] if one["rule"] not in reasons]
    listed = [*told["suitability"]["reasons"], *silent, *told["did_not_apply"], *told["still_open"]]

    named = sorted(one["rule"] for one in listed if one["rule"].startswith("suitability/"))

    assert named == sorted(one.id for one in book.folder.rules["suitability"])


# --- questions --------------------------------------------------------------------------------------------


def test_a_question_says_what_may_be_answered(small_book):
    asked = question(small_book, {"base_width_mm": 4.0, "infected": False}, "site")

    assert (asked["question"], asked["unit"], asked["allowed"]) == (
        "Which of these is it?",
        None,
        {"trunk": "trunk", "eyelid_skin": "eyelid skin", "pinna": "pinna"},
    )


def test_a_question_on_a_number_says_its_unit(small_book):
    asked = question(small_book, {"site": "trunk", "infected": False}, "base_width_mm")

    assert (asked["unit"], asked["allowed"]) == ("mm", None)


def test_a_question_that_is_the_last_open_test_of_a_rule_is_alone(small_book):
    asked = question(small_book, {"base_width_mm": 4.0, "site": "trunk"}, "infected")

    assert asked["could_change_to"] == [
        {"answer": "do_not_freeze", "alone": True},
        {"answer": "suitable", "alone": True},
    ]


def test_a_question_beside_another_open_test_of_the_rule_is_not_alone(small_book):
    asked = question(small_book, {"infected": False}, "site")

    # `watch` waits for the site alone; `suitable` waits for the width too. The caution at the eye waits for the site.
    assert asked["could_change_to"] == [
        {"answer": "watch", "alone": True},
        {"answer": "suitable_with_care", "alone": True},
        {"answer": "suitable", "alone": False},
    ]


def test_an_answer_that_could_make_nothing_more_cautious_is_not_offered(small_book):
    asked = question(small_book, {"site": "pinna"}, "base_width_mm")

    assert [one["answer"] for one in asked["could_change_to"]] == ["sample_first"]


def test_a_settled_verdict_asks_nothing_more_of_suitability(small_book):
    assert [one["decision"] for one in questions(small_book, {"infected": True})] == []


def test_for_a_derived_quantity_its_parents_are_asked(small_book):
    asked = [one["input"] for one in questions(small_book, {"base_width_mm": 12.0, "infected": False, "site": "trunk"})]

    assert asked[:2] == ["known_diagnosis", "diagnosis_basis"]


def test_of_a_derived_quantity_only_parents_not_stated_are_asked(small_book):
    known = {"base_width_mm": 12.0, "infected": False, "site": "trunk", "known_diagnosis": "skin_tag"}

    assert question(small_book, known, "known_diagnosis") is None


def test_the_last_parent_of_a_derived_quantity_is_alone(small_book):
    known = {"base_width_mm": 12.0, "infected": False, "site": "trunk", "known_diagnosis": "skin_tag"}

    assert question(small_book, known, "diagnosis_basis")["could_change_to"] == [
        {"answer": "sample_first", "alone": True},
        {"answer": "suitable_with_care", "alone": True},
    ]


def test_questions_that_move_a_ladder_come_first(small_book):
    decisions = [
        one["decision"] for one in questions(small_book, {"base_width_mm": 4.0, "infected": False, "site": "trunk"})
    ]

    assert decisions == ["method", "plan", "precautions"]


def test_the_question_with_the_more_cautious_answers_comes_first(small_book):
    asked = [one["input"] for one in questions(small_book, {})]

    # infected: do_not_freeze alone (5 of 5) twice; site: watch alone, care alone, one waiting.
    assert asked[0] == "infected"


def test_why_is_the_title_of_the_rule_with_the_most_cautious_answer(tmp_path):
    files = small_files()
    files["suitability/leave_an_infected_one.yaml"]["title"] = "Leave an infected one alone"
    book = RuleBook(read_rule_folder(write(tmp_path / "rules", files)))
    why = question(book, {"base_width_mm": 4.0, "site": "trunk"}, "infected")["why"]
    book.close()

    assert why == "Leave an infected one alone"


def test_a_presumed_fact_is_not_asked(small_book):
    assert question(small_book, {}, "cold_reaction") is None


@STEADY
@given(st.data())
def test_a_stated_fact_is_never_asked_again(book, data):
    known = data.draw(stated_facts(book.folder, "patient", "lesion", "equipment", "operator"))

    assert not known.keys() & {one["input"] for one in questions(book, known)}


@pytest.mark.parametrize("bores", [[5, 8, 12], [30], []])
def test_sizes_at_hand_that_were_stated_are_not_asked_again(shipped_book, presentations, bores):
    asked = []
    for known in presentations.values():
        case = message(known, shipped_book.vocabulary)
        case["equipment"]["cone_bores_mm"] = bores
        asked += [one["input"] for one in shipped_book.recommend(case)["lesions"][0]["ask_next"]]

    assert "cone_bores_mm" not in asked


@STEADY
@given(st.data())
def test_an_unsettled_verdict_asks_something(book, data):
    told = answer(book, data.draw(stated_facts(book.folder, "patient", "lesion")))

    assert told["suitability"]["at_least"] == told["suitability"]["could_become"] or told["ask_next"]


@STEADY
@given(st.data())
def test_the_answers_that_a_question_could_bring_are_those_above_the_present_one(book, data):
    told = answer(book, data.draw(stated_facts(book.folder, "patient", "lesion")))
    node = next(one for one in book.folder.decisions if one.name == "suitability")
    present, highest = (node.rank(told["suitability"][end]) for end in ("at_least", "could_become"))

    offered = [
        node.rank(change["answer"])
        for one in told["ask_next"]
        if one["decision"] == "suitability"
        for change in one["could_change_to"]
    ]

    assert all(present < rank <= highest for rank in offered)


def can_go_either_way(test, values):
    """Whether some value meets a test and some other does not; a rule may ask what no value of its range meets."""
    return {met(test, value) for value in values} == {True, False}


@STEADY
@given(CHANCES)
def test_some_answer_to_a_question_that_is_alone_brings_what_it_could_change_to(chance: random.Random):
    folder = random_folder(chance)
    decisions = decisions_over(folder)
    asker = Asker(decisions, Spoken(decisions))
    limits = limits_of([one for rules in folder.rules.values() for one in rules])
    inputs = folder.vocabulary.inputs
    known = {
        name: chance.choice(case_values(one, limits.get(name, ())))
        for name, one in inputs.items()
        if chance.random() < 0.5
    }
    node = next(one for one in folder.decisions if one.name == "suitability")
    tests = [test for rules in folder.rules.values() for rule in rules for test in rule.tests if test.input in inputs]
    assume(all(can_go_either_way(one, case_values(inputs[one.input], limits.get(one.input, ()))) for one in tests))

    unfounded = []
    for asked in asker.questions(decisions.run(facts(known))):
        tried = [
            decisions.run(facts({**known, asked["input"]: value})).ranges["suitability"]
            for value in case_values(inputs[asked["input"]], limits.get(asked["input"], ()))
            if asked["decision"] == "suitability"
        ]
        unfounded += [
            (asked["input"], change)
            for change in asked["could_change_to"]
            if asked["decision"] == "suitability"
            and change["alone"]
            and node.rank(change["answer"]) >= node.rank("watch")
            if not any(node.rank(one.at_least) >= node.rank(change["answer"]) for one in tried)
        ]

    decisions.close()
    assert unfounded == []


# --- presumptions -----------------------------------------------------------------------------------------


def test_a_presumption_says_what_it_would_bring_if_it_is_wrong(small_book):
    presumed = {one["input"]: one["if_wrong"] for one in answer(small_book, CLEAN)["presumed"]}

    assert (presumed["cold_reaction"], presumed["pregnant"]) == (["do_not_freeze"], [])


def test_a_presumption_that_could_bring_nothing_worse_than_the_verdict_brings_nothing(small_book):
    presumed = {one["input"]: one["if_wrong"] for one in answer(small_book, {"infected": True})["presumed"]}

    assert presumed["cold_reaction"] == []


def test_a_presumption_gives_its_reason(small_book):
    presumed = {one["input"]: one for one in answer(small_book, {})["presumed"]}

    assert (presumed["pregnant"]["presumed"], presumed["pregnant"]["because"]) == (False, "A rare condition.")


def test_a_presumption_that_no_rule_asks_about_is_not_listed(small_book):
    assert "similar_lesions" not in {one["input"] for one in answer(small_book, {})["presumed"]}


@STEADY
@given(st.data())
def test_no_presumption_that_is_wrong_brings_more_than_it_was_said_to(book, data):
    known = data.draw(stated_facts(book.folder, "patient", "lesion"))
    told = answer(book, known)
    node = next(one for one in book.folder.decisions if one.name == "suitability")

    surprises = []
    for one in told["presumed"]:
        highest = max([node.rank(one) for one in (told["suitability"]["could_become"], *one["if_wrong"])])
        for value in case_values(book.vocabulary.inputs[one["input"]], ()):
            if book.folder.contradictions.among({**known, one["input"]: value}):
                continue
            found = answer(book, {**known, one["input"]: value})["suitability"]
            if node.rank(found["at_least"]) > highest:
                surprises.append((one["input"], value, found["at_least"]))

    assert surprises == []
