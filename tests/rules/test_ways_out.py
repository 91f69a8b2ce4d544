"""No permission without a way on: what nothing can freeze, what may not be frozen now, what a plan does not reach."""

from __future__ import annotations

import pytest

from tests.rules.soft_tag import soft_tag

OF_A_FREEZE = ("preparation", "precautions", "aftercare", "calendar")
THIN_EAR = {"site": "pinna", "under_skin": "thin_plate", "thickness_mm": 1}
LID = {
    "lesion_kind": "frond_wart",
    "known_diagnosis": "papilloma",
    "site": "eyelid_skin",
    "mm_from_margin": 3,
    "base_width_mm": 2.5,
    "height_mm": 1,
    "weeks_present": 12,
    "under_skin": "globe",
    "problem_caused": "none",
}


@pytest.fixture(scope="module")
def book(shipped_book):
    return shipped_book


def asked(book, **parts):
    """The answer for the tag on the flank, with other facts in some of its parts; None leaves a fact out."""
    case = {"operator": {}, **soft_tag()}
    case["lesion"] = case.pop("lesions")[0]
    for part, facts in parts.items():
        case[part].update(facts)
        case[part] = {name: one for name, one in case[part].items() if one is not None}
    lesion = case.pop("lesion")
    return book.recommend({**case, "lesions": [lesion]})["lesions"][0]


@pytest.mark.parametrize(
    ("parts", "ways"),
    [
        ({"lesion": THIN_EAR}, ["leave_alone", "excise"]),
        ({"lesion": THIN_EAR, "patient": {"bleeding_disorder": True}}, ["leave_alone", "refer"]),
        ({"lesion": {"under_skin": "nerve", "base_width_mm": 4}}, ["leave_alone", "excise"]),
        ({"lesion": {"site_can_be_level": False}, "equipment": {"cryogen": None}}, ["leave_alone"]),
        ({"equipment": {"cryogen": "liquid_nitrogen"}}, ["leave_alone", "refer"]),
    ],
)
def test_what_no_applicator_can_freeze_has_another_way_and_no_plan_for_a_freeze(book, parts, ways):
    found = asked(book, **parts)

    assert found["method"]["applicator"] == "none"
    assert [one["what"] for one in found["alternatives"]] == ways
    assert [name for name in OF_A_FREEZE if found[name]] == []
    assert {one["decision"] for one in found["ask_next"]} <= {"cautions", "other_ways"}


def test_a_shelf_without_the_size_brings_no_plan_for_a_freeze_and_says_which_would_do(book):
    found = asked(book, equipment={"cone_bores_mm": [12]})

    assert found["suitability"]["summary"] == "May be frozen, but nothing at hand fits."
    assert found["method"]["wanted_diameter_mm"] == {"low": 4.5, "high": 7.0}
    assert [name for name in OF_A_FREEZE if found[name]] == []


def test_an_open_applicator_is_said_with_the_verdict_and_its_question_asked_first(book):
    found = asked(book, lesion={**THIN_EAR, "tissue_will_be_submitted": None})

    assert found["suitability"]["obstacle"] == "with which applicator is still open"
    assert found["ask_next"][0]["input"] == "tissue_will_be_submitted"
    assert (found["method"], found["calendar"]) == (None, [])


@pytest.mark.parametrize(
    ("part", "facts", "said"),
    [
        ("equipment", {"oxygen_or_ignition_near": True}, "oxygen or a source of ignition is near"),
        ("equipment", {"canister_temperature": "hot"}, "the canister is hot"),
        ("equipment", {"canister_expired": True}, "the canister is past its date"),
        ("equipment", {"room_ventilated": False}, "the room is not aired"),
        ("operator", {"practice_freezes_done": 0}, "fewer than five practice freezes have been done"),
        (
            "patient",
            {"stays_still_30_s": "no", "sedation_planned": False},
            "the patient does not keep still and no sedation is planned",
        ),
    ],
)
def test_what_must_be_done_before_any_freeze_stands_first_and_with_the_verdict(book, part, facts, said):
    found = asked(book, **{part: facts})

    first = [listed[0] for name in ("precautions", "preparation") if "not_now" in (listed := found[name])[0]]
    assert [one["not_now"] for one in first] == [said]
    assert found["suitability"]["summary"] == f"May be frozen, but not now: {said}."


def test_dangers_to_people_are_named_before_the_rest(book):
    found = asked(book, equipment={"oxygen_or_ignition_near": True}, operator={"practice_freezes_done": 0})

    said = [one["not_now"] for one in found["precautions"] if "not_now" in one]
    assert said == ["oxygen or a source of ignition is near", "fewer than five practice freezes have been done"]


@pytest.mark.parametrize(
    "lesion",
    [
        {**LID, "site_can_be_level": None, "seals_all_round": None},
        {"site": "pinna", "under_skin": "thin_plate", "thickness_mm": 2, "base_width_mm": 2, "height_mm": 1},
    ],
)
def test_no_rim_of_ice_is_asked_for_that_foam_does_not_reach(book, lesion):
    plan = asked(book, lesion=lesion)["plan"]

    assert (plan["halo_mm"], plan["wait_between_cycles_s"], plan["cycles"]) == (None, None, 1)
    assert "brings nothing to -25 C" in plan["reach_note"]
    assert "plan/aim_for_a_narrow_halo" not in {one["rule"] for one in plan["reasons"]}


def test_a_cone_on_the_flank_reaches_its_halo(book):
    plan = asked(book)["plan"]

    assert (plan["halo_mm"], plan["reach_note"]) == ({"low": 1, "high": 2}, None)


def test_nothing_is_filled_for_a_snipped_base_in_a_patient_that_bleeds_easily(book):
    found = asked(book, lesion={"tissue_will_be_submitted": True}, patient={"bleeding_disorder": True})

    assert found["plan"]["fill_depth_mm"] == {"low": 6.0, "high": 6.4}
    assert "preparation/leave_a_bleeder_whole" in {one["reasons"][0]["rule"] for one in found["preparation"]}


def test_the_local_block_is_reviewed_where_the_caution_says_that_it_hurts(book):
    rules = {f"{one.decision}/{one.name}": one for rules in book.folder.rules.values() for one in rules}

    sites = {
        name: next(test.codes for test in rules[name].when if test.input == "site")
        for name in ("cautions/painful_site", "preparation/review_local_block")
    }
    assert len({frozenset(one) for one in sites.values()}) == 1
