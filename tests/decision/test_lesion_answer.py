"""The answer for one lesion: no method, plan or estimate without a permission, and a reason for every statement."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decision.folder_reading import read_rule_folder
from decision.rule_book import RuleBook
from tests.random_rules import STEADY, message, stated_facts
from tests.small_folder import rule, small_files, write

TODAY = datetime.date(2026, 11, 24)
SMALL = {"site": "trunk", "base_width_mm": 4, "height_mm": 1, "infected": False, "swells": False}
WITHOUT_HEIGHT = {name: value for name, value in SMALL.items() if name != "height_mm"}
FORBIDDEN = {
    "watch": {**SMALL, "site": "pinna"},
    "sample_first": {**SMALL, "base_width_mm": 12, "diagnosis_basis": "none"},
    "do_not_freeze": {**SMALL, "infected": True},
    None: {"site": "trunk"},
}
PERMISSIONS = ("suitable", "suitable_with_care")
SIZES = st.lists(st.sampled_from([3.0, 5.5, 6.0, 8.0, 12.0, 16.0]), max_size=4)


@pytest.fixture
def answer(small_book):
    """The answer for one lesion, from what is stated of it."""

    def answered(lesion, *, patient=None, equipment=None, trace=False):
        case = {
            "patient": {"species": "dog", "ruled_out": ["general_health"], **(patient or {})},
            "lesions": [{"lesion_id": "flank", **lesion}],
            **({} if equipment is None else {"equipment": equipment}),
        }
        return small_book.recommend(small_book.read(case, today=TODAY), trace=trace)["lesions"][0]

    return answered


def any_answer(book, data):
    """The answer for one lesion, from facts and sizes at hand of any kind, some of them left out."""
    facts = data.draw(stated_facts(book.folder, "patient", "lesion", "equipment", "operator"))
    sizes = data.draw(st.fixed_dictionaries({}, optional={"cone_bores_mm": SIZES, "foam_tips_mm": SIZES}))
    return book.recommend(message({**facts, **sizes}, book.vocabulary))["lesions"][0]


def rules_of(statement):
    return [reason["rule"] for reason in statement["reasons"]]


# --- permission ---------------------------------------------------------------------------------------------


def test_a_permission_brings_method_plan_and_estimate(answer):
    found = answer(SMALL)

    assert found["suitability"]["verdict"] == "suitable"
    assert found["method"]["applicator"] == "cone"
    assert found["plan"]["contact_s"] == {"low": 20, "high": 25}
    assert found["estimate"]["by_applicator"][0]["refused"] is None


@pytest.mark.parametrize(("verdict", "lesion"), FORBIDDEN.items())
def test_without_a_permission_there_is_no_method_plan_or_estimate(answer, verdict, lesion):
    found = answer(lesion)

    assert found["suitability"]["verdict"] == verdict
    assert (found["method"], found["plan"], found["estimate"]) == (None, None, None)
    assert (found["preparation"], found["precautions"]) == ([], [])


@STEADY
@given(data=st.data())
def test_whatever_is_stated_a_plan_stands_beside_a_permission_and_a_size_only(small_book, data):
    lesion = any_answer(small_book, data)

    permitted = lesion["suitability"]["verdict"] in PERMISSIONS
    assert permitted or (lesion["method"], lesion["plan"], lesion["estimate"]) == (None, None, None)
    assert lesion["plan"] is None or lesion["method"]["available"] is not False
    assert (lesion["plan"] is None) == (lesion["estimate"] is None)


def test_an_alternative_is_given_where_freezing_is_not_permitted(answer):
    alternatives = answer(FORBIDDEN["sample_first"])["alternatives"]

    assert [(one["what"], one["in_words"], one["by_when"]) for one in alternatives] == [
        ("biopsy", "take a biopsy", "within two weeks")
    ]


def test_no_alternative_stands_beside_a_permission(answer):
    assert answer(SMALL)["alternatives"] == []


def test_cautions_are_given_with_and_without_a_permission(answer):
    pregnant = {"ruled_out": [], "pregnant": True}

    for lesion in (SMALL, *FORBIDDEN.values()):
        assert "cautions/say_that_it_is_pregnant" in [
            rule for one in answer(lesion, patient=pregnant)["cautions"] for rule in rules_of(one)
        ]


def test_cautions_stand_from_the_most_urgent_down(answer):
    found = answer({**SMALL, "site": "eyelid_skin"}, patient={"ruled_out": [], "pregnant": True, "cold_reaction": True})

    assert [one["urgency"] for one in found["cautions"]] == ["critical", "warning", "info"]


# --- the size -----------------------------------------------------------------------------------------------


def test_the_smallest_bore_at_hand_that_fits_is_chosen(answer):
    found = answer(SMALL, equipment={"cone_bores_mm": [12, 8, 6]})

    assert found["method"]["contact_diameter_mm"] == 6
    assert found["method"]["available"] is True
    assert found["method"]["summary"] == "A cone, 6 mm across (5.5 to 8 mm would do)."
    assert found["estimate"]["by_applicator"][0]["contact_diameter_mm"] == 6


def test_a_foam_tip_is_sized_from_the_foam_tips(answer):
    found = answer({**SMALL, "site": "eyelid_skin"}, equipment={"cone_bores_mm": [5, 6], "foam_tips_mm": [3, 5]})

    assert (found["method"]["applicator"], found["method"]["contact_diameter_mm"]) == ("foam_tip", 5)


def test_when_nothing_at_hand_fits_there_is_no_plan_and_the_answer_says_what_would(answer):
    found = answer(SMALL, equipment={"cone_bores_mm": [3, 12]})

    assert found["method"]["available"] is False
    assert found["method"]["summary"] == "A cone, but nothing at hand fits: 5.5 to 8 mm would do."
    assert (found["plan"], found["estimate"]) == (None, None)


def test_an_empty_shelf_leaves_the_verdict_as_it_is(answer):
    with_nothing, with_any = answer(SMALL, equipment={"cone_bores_mm": []})["suitability"], answer(SMALL)["suitability"]

    assert with_nothing.pop("summary") == "May be frozen, but nothing at hand fits."
    assert with_any.pop("summary") == "May be frozen."
    assert (with_nothing.pop("obstacle"), with_any.pop("obstacle")) == ("nothing at hand fits", None)
    assert with_nothing == with_any


def test_where_the_sizes_were_not_stated_the_answer_says_so_and_plans(answer):
    found = answer(SMALL)

    assert (found["method"]["available"], found["method"]["contact_diameter_mm"]) == (None, None)
    assert found["method"]["summary"] == "A cone, 5.5 to 8 mm across; the sizes at hand were not stated."
    assert found["plan"] is not None


def test_where_nothing_is_applied_nothing_is_available_or_planned(answer):
    found = answer(SMALL, equipment={"cryogen": "other", "cone_bores_mm": [6]})

    assert found["method"]["applicator"] == "none"
    assert found["method"]["available"] is False
    assert found["method"]["summary"] == "Nothing at hand."
    assert (found["plan"], found["estimate"]) == (None, None)


# --- plan and estimate --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("height_mm", "cycles"), [(1, [1]), (2, [1, 2])])
def test_each_cycle_of_the_plan_has_its_estimate(answer, height_mm, cycles):
    found = answer({**SMALL, "height_mm": height_mm})

    assert found["plan"]["cycles"] == len(cycles)
    assert [one["cycle"] for one in found["estimate"]["by_applicator"][0]["by_cycle"]] == cycles


def test_the_plan_shows_the_thaw_of_the_first_cycle_and_what_it_means(answer):
    found = answer(SMALL)

    assert found["plan"]["thaw_s"] == found["estimate"]["by_applicator"][0]["by_cycle"][0]["thaw_s"]
    assert found["plan"]["thaw_note"].startswith("Common practice's thaw of about 40 s lies ")


def test_a_refused_estimate_leaves_the_plan_without_a_thaw(answer):
    found = answer(SMALL, equipment={"cryogen": "ether"})

    assert found["estimate"]["by_applicator"][0]["refused"].startswith("No band: ")
    assert (found["plan"]["thaw_s"], found["plan"]["thaw_note"]) == (None, None)
    assert found["plan"]["contact_s"] == {"low": 20, "high": 25}


def test_a_quantity_that_no_rule_settles_is_null(answer):
    assert answer(WITHOUT_HEIGHT)["plan"]["cycles"] is None


# --- status -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lesion", "status"),
    [
        (SMALL, "success"),
        (WITHOUT_HEIGHT, "data-requested"),  # plan waits
        ({"site": "trunk"}, "data-required"),  # no verdict
        ({"site": "pinna"}, "data-requested"),  # forbidden, and could become more cautious
        (FORBIDDEN["do_not_freeze"], "success"),
    ],
)
def test_the_status_says_whether_more_would_improve_the_answer(answer, lesion, status):
    assert answer(lesion)["status"] == status


def test_a_method_that_waits_for_a_fact_is_not_guessed(tmp_path):
    files = small_files()
    files["method/use_foam_on_a_flat_one.yaml"] = rule(
        {"height_mm": "< 1"},
        {"applicator": "foam_tip"},
        ("holds", {"height_mm": 0.9}),
        ("fails", {"height_mm": 1}),
        ("unknown", {}),
    )
    book = RuleBook(read_rule_folder(write(tmp_path / "rules", files)))

    found = book.recommend(message({"species": "dog", **WITHOUT_HEIGHT}, book.vocabulary))["lesions"][0]
    book.close()

    assert found["suitability"]["verdict"] == "suitable"
    assert (found["method"], found["plan"], found["status"]) == (None, None, "data-requested")


# --- reasons ------------------------------------------------------------------------------------------------


def statements(lesion):
    """Every statement of an answer that must have a reason, by what it is."""
    yield "suitability", lesion["suitability"]
    for name in ("method", "plan"):
        if lesion[name] is not None:
            yield name, lesion[name]
    for name in ("alternatives", "cautions", "preparation", "precautions", "aftercare"):
        for one in lesion[name]:
            yield name, one


@STEADY
@given(data=st.data())
def test_every_statement_has_a_reason_whose_tests_are_met(small_book, data):
    """Where nothing permits and nothing forbids there is no verdict, and so no reason for one."""
    for name, statement in statements(any_answer(small_book, data)):
        assert statement["reasons"] or (name == "suitability" and statement["at_least"] is None), name
        for reason in statement["reasons"]:
            wanted = {one["finding"] for one in reason["because"] if not one["test"].startswith("unless ")}
            assert wanted == {"met"}, reason["rule"]


def test_a_verdict_names_every_rule_that_holds_the_most_cautious_first(answer):
    found = answer({**SMALL, "site": "eyelid_skin", "infected": True})

    assert rules_of(found["suitability"]) == [
        "suitability/leave_an_infected_one",
        "cautions/take_care_at_the_eye",
    ]


def test_a_method_names_only_the_rules_that_chose_it(answer):
    found = answer({**SMALL, "site": "eyelid_skin"})

    assert rules_of(found["method"]) == ["method/use_foam_at_the_eye"]


def test_each_quantity_of_a_plan_has_the_rule_that_gave_it(answer):
    assert rules_of(answer(SMALL)["plan"]) == ["plan/freeze_once", "plan/hold_a_cone"]


# --- trace --------------------------------------------------------------------------------------------------


def test_a_trace_names_every_other_rule_that_was_asked(answer, small_folder):
    found = answer(SMALL, trace=True)

    told = {one["rule"] for one in (*found["did_not_apply"], *found["still_open"])}
    asked = {rule.id for name, rules in small_folder.rules.items() if name != "alternatives" for rule in rules}
    held = {reason["rule"] for _, statement in statements(found) for reason in statement["reasons"]}
    assert told == asked - held
    assert "method/use_nothing_with_another_cryogen" in [one["rule"] for one in found["still_open"]]


def test_without_being_asked_for_there_is_no_trace(answer):
    assert {"outranked", "did_not_apply", "still_open", "not_told"} & answer(SMALL).keys() == set()
