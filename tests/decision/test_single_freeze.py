"""One question put to the freeze table."""

from dataclasses import replace

import pytest

from decision.freeze.answers import FreezeRefusal
from decision.freeze.lookup import load_freeze_table
from decision.single_freeze import PLACES, FreezeQuestion, answer_question, asked_of, section_of

TABLE = load_freeze_table()


def answered(question):
    return answer_question(TABLE, question, asked_of(TABLE, question))


@pytest.mark.parametrize("site", PLACES)
def test_every_place_has_an_answer(site):
    assert answered(FreezeQuestion("cone", 5, 20, site))["estimate"] is not None


def test_a_later_cycle_reaches_deeper():
    first, second = (answered(FreezeQuestion("cone", 5, 20, "trunk", cycle=cycle)) for cycle in (1, 2))

    assert second["estimate"]["ice_depth_mm"]["p50"] > first["estimate"]["ice_depth_mm"]["p50"]


def test_a_zone_that_vanishes_is_null():
    answer = answered(FreezeQuestion("foam_tip", 2, 5, "mucosa"))

    assert answer["estimate"]["depth_minus40_mm"] is None


@pytest.mark.parametrize(
    "cryogen", ["nitrous_oxide", "carbon_dioxide", "liquid_nitrogen", "tetrafluoroethane", "other"]
)
def test_a_cryogen_that_was_not_validated_has_no_band(cryogen):
    question = FreezeQuestion("cone", 5, 20, "trunk", cryogen=cryogen)

    assert isinstance(asked_of(TABLE, question), FreezeRefusal)
    assert answered(question)["reason"] == answered(question)["cryogen"]


def test_a_cryogen_that_is_not_stated_is_said_to_be_assumed():
    assert "not stated" in answered(FreezeQuestion("cone", 5, 20, "trunk"))["cryogen"]


def test_the_lesion_drawn_is_the_widest_that_the_applicator_is_meant_for():
    question = FreezeQuestion("cone", 5, 20, "trunk")

    assert section_of(question, asked_of(TABLE, question)).lesion_width_mm == 3.5  # 1.5 mm less than the bore


def test_fat_is_drawn_under_the_skin_of_the_body_alone():
    drawn = {}
    for site in ("trunk", "distal", "mucosa"):
        question = FreezeQuestion("cone", 5, 20, site)
        drawn[site] = section_of(question, asked_of(TABLE, question)).fat_below

    assert drawn == {"trunk": True, "distal": False, "mucosa": False}


def test_a_thickness_times_the_far_side_of_an_ear_flap():
    far = answered(FreezeQuestion("foam_tip", 5, 10, "pinna", thickness_mm=1.5))["far_side"]

    found = TABLE.far_side("foam_tip", 5, "air", 1.5)
    assert (far["backing"], far["strong_s"]) == ("air", found.strong_s)
    assert (far["ice_s"]["p10"], far["ice_s"]["never_share"]) == (found.ice_s.p10, found.ice_s.never_share)
    assert "assumptions without a source" in far["rests_on"]


def test_what_lies_behind_is_asked_for_where_the_site_does_not_say_it():
    question = FreezeQuestion("foam_tip", 5, 10, "head", thickness_mm=1.5)

    assert answered(question)["far_side"] is None
    assert "not what lies behind" in answered(question)["tissue_note"]
    assert answered(replace(question, backing="bone"))["far_side"]["backing"] == "bone"


def test_a_thickness_outside_the_model_is_refused_with_its_reason():
    far = answered(FreezeQuestion("cone", 5, 10, "pinna", thickness_mm=5))["far_side"]

    assert far["refused"] == "The freeze model covers tissue of 0.5 to 4 mm, not of 5 mm."
    assert far["ice_s"] is None


def test_no_far_side_is_timed_for_a_cryogen_that_was_not_validated():
    question = FreezeQuestion("cone", 5, 10, "pinna", thickness_mm=1, cryogen="liquid_nitrogen")

    assert answered(question)["far_side"] is None
