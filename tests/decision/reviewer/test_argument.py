"""Why and why not: every rule is told, with what outranks it and what it waits for."""

import datetime

from decision.reviewer.argument import argue
from decision.reviewer.argument_page import argument_page, standing


def told(argument):
    return {rule["rule"]: rule for one in argument["decisions"] for rule in one["rules"]}


def test_every_rule_of_a_decision_that_was_asked_is_told_once(small_book, case_of):
    argument = argue(small_book, case_of())[0]

    for one in argument["decisions"]:
        rules = [rule["rule"] for rule in one["rules"]]
        wanted = [rule.id for rule in small_book.folder.rules[one["decision"]]] if one["asked"] else []
        assert sorted(rules) == sorted(wanted)


def test_a_rule_that_holds_under_a_more_cautious_one_names_it(small_book, case_of):
    argument = argue(small_book, case_of(site="eyelid_skin"))[0]

    small = told(argument)["suitability/freeze_a_small_one"]
    assert (small["standing"], small["says"]) == ("outranked", "suitable")
    assert small["outranked_by_answer"] == "suitable_with_care"
    assert small["outranked_by"] == ["cautions/take_care_at_the_eye"]


def test_a_decision_names_the_rules_that_decide_it_wherever_they_stand(small_book, case_of):
    one = next(
        one
        for one in argue(small_book, case_of(site="eyelid_skin"))[0]["decisions"]
        if one["decision"] == "suitability"
    )

    assert one["decided_by"] == ["cautions/take_care_at_the_eye"]
    assert standing(one) == "Answer: suitable_with_care, settled. By cautions/take_care_at_the_eye."


def test_a_rule_that_brings_the_answer_decides_and_one_that_collects_holds(small_book, case_of):
    argument = argue(small_book, case_of(pregnant=True))[0]

    assert told(argument)["suitability/freeze_a_small_one"]["standing"] == "decides"
    assert told(argument)["cautions/say_that_it_is_pregnant"]["standing"] == "holds"


def test_a_rule_is_told_with_its_certainty_and_where_it_was_measured(shipped_book):
    lesion = {"lesion_id": "l", "site": "trunk", "known_diagnosis": "papilloma", "diagnosis_basis": "cytology"}
    case = {"as_of": "2026-11-24", "patient": {"species": "rabbit"}, "lesions": [{**lesion, "base_width_mm": 3}]}
    page = argument_page(argue(shipped_book, shipped_book.checked(case)))

    from_dogs = "measured in dogs and cats, not in this species; not with this kind of cryogen"
    assert f"(`suitability/sampled_to_five`, low certainty, {from_dogs})" in page
    assert "(`suitability/sampled_to_five`, low certainty)" not in page


def test_an_open_rule_names_what_it_waits_for_as_it_may_be_stated(small_book, case_of):
    argument = argue(small_book, case_of(base_width_mm=12, diagnosis_basis=None))[0]

    open_rule = told(argument)["suitability/sample_a_wide_one"]
    assert (open_rule["standing"], open_rule["needs"]) == ("open", ["diagnosis_basis"])


def test_a_decision_that_was_not_asked_says_where_it_is(small_book, case_of):
    argument = argue(small_book, case_of(infected=True))[0]

    method = next(one for one in argument["decisions"] if one["decision"] == "method")
    assert not method["asked"]
    assert method["asked_only_where"] == "suitability is suitable or suitable_with_care"


def test_findings_carry_the_values_of_the_case(small_book, case_of):
    argument = argue(small_book, case_of())[0]

    finding = told(argument)["suitability/freeze_a_small_one"]["findings"][0]
    assert (finding["input"], finding["given"], finding["finding"]) == ("base_width_mm", 6.0, "met")


def test_the_page_groups_rules_by_what_became_of_them(small_book, case_of):
    page = argument_page(argue(small_book, case_of(site="eyelid_skin", diagnosis_basis=None, base_width_mm=12)))

    assert "### Holds (1)" in page
    assert "### Open (2)" in page
    assert "Needs: `diagnosis_basis`" in page
    assert "base width is under 10 mm: not met (12)" in page


def test_a_caution_that_only_matters_for_a_freeze_is_silent_beside_a_refusal(shipped_book):
    case = {"patient": {"species": "dog"}, "lesions": [{"lesion_id": "l", "site": "digit"}]}

    (argument,) = argue(shipped_book, shipped_book.read(case, today=datetime.date(2026, 11, 24)))

    spot = told(argument)["cautions/white_or_bald_spot"]
    assert spot["standing"] == "silent"
    assert "suitable" not in spot["says"]
    assert "### Holds, and only matters for a freeze (1)" in argument_page([argument])
