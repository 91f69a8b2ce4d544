"""The freeze estimate of a plan: which freeze is asked of the table, what is refused, and what is said of 40 s."""

from __future__ import annotations

import dataclasses

import pytest

from decision.freeze.cryogen import CRYOGENS, cryogen_validity
from decision.freeze.lookup import load_freeze_table
from decision.lesion_estimate import BASIS, cycle_estimate, estimate_of, thaw_note, thaw_of

KNOWN = {"site_class": "trunk", "cryogen": "dimethyl_ether_propane"}
PLAN = {"cycles": 2, "contact_s": {"low": 20, "high": 25}, "wait_between_cycles_s": {"low": 90, "high": 300}}
CONTRACT = 2
NOT_VALIDATED = [*(code for code, one in CRYOGENS.items() if not one.validated), "other"]


@pytest.fixture(scope="module")
def table():
    return load_freeze_table()


def method(applicator="cone", *, size=None, low=5.5):
    wanted = None if low is None else {"low": low, "high": low + 2.5}
    return {
        "applicator": applicator,
        "contact_diameter_mm": size,
        "wanted_diameter_mm": wanted,
        "available": None,
        "summary": "",
        "reasons": [],
    }


def of_applicator(table, chosen=None, plan=None, **known):
    """What is said of the applicator; a fact given as None is not stated."""
    facts = {name: value for name, value in {**KNOWN, **known}.items() if value is not None}
    return estimate_of(table, chosen or method(), PLAN if plan is None else plan, facts, CONTRACT)["by_applicator"][0]


def band(p10, p50, p90):
    return {"p10": p10, "p50": p50, "p90": p90}


# --- which freeze is asked ----------------------------------------------------------------------------------


def test_an_estimate_says_that_it_was_computed_and_by_which_table(table):
    found = estimate_of(table, method(), PLAN, KNOWN, CONTRACT)

    assert found["basis"] == BASIS == "computed, not measured"
    assert found["freeze_table"] == {"version": table.version, "digest": table.digest}
    assert found["site_class"] == "trunk"
    assert "not cell death" in found["limits"]


def test_every_cycle_of_the_plan_is_listed_and_no_other(table):
    assert [one["cycle"] for one in of_applicator(table)["by_cycle"]] == [1, 2]


def test_a_plan_without_a_number_of_cycles_is_estimated_for_one(table):
    assert [one["cycle"] for one in of_applicator(table, plan={**PLAN, "cycles": None})["by_cycle"]] == [1]


def test_each_band_of_a_cycle_rises(table):
    for cycle in of_applicator(table)["by_cycle"]:
        for name in ("ice_depth_mm", "depth_minus25_mm", "ice_past_edge_mm", "thaw_s"):
            assert cycle[name]["p10"] <= cycle[name]["p50"] <= cycle[name]["p90"], name


def test_each_cycle_is_that_of_the_table_for_the_longest_contact_and_the_shortest_wait(table):
    asked = [table.estimate("cone", 5.5, 25, "trunk", cycle=cycle, wait_after_thaw_s=90) for cycle in (1, 2)]

    assert of_applicator(table)["by_cycle"] == [cycle_estimate(i, one) for i, one in enumerate(asked, 1)]


def test_without_a_stated_wait_a_minute_is_taken(table):
    asked = table.estimate("cone", 5.5, 25, "trunk", cycle=2, wait_after_thaw_s=60)

    found = of_applicator(table, plan={**PLAN, "wait_between_cycles_s": None})["by_cycle"][1]

    assert found == cycle_estimate(2, asked)


def test_the_size_at_hand_is_estimated(table):
    found = of_applicator(table, method(size=8.0))

    assert found["contact_diameter_mm"] == 8.0
    assert found["by_cycle"][0] == cycle_estimate(1, table.estimate("cone", 8.0, 25, "trunk"))


def test_where_no_size_is_stated_the_smallest_that_would_do_is_estimated(table):
    assert of_applicator(table, method(size=None, low=5.5))["contact_diameter_mm"] == 5.5


def test_the_site_decides_which_skin_is_estimated(table):
    found = of_applicator(table, method("foam_tip", size=5.0), site_class="mucosa")

    assert found["by_cycle"][0] == cycle_estimate(1, table.estimate("foam_tip", 5.0, 25, "mucosa"))


def test_a_zone_that_vanishes_is_null(table):
    whole = table.estimate("cone", 5.5, 25, "trunk")

    found = cycle_estimate(1, dataclasses.replace(whole, depth_minus25_mm=None, ice_past_edge_mm=None))

    assert (found["depth_minus25_mm"], found["ice_past_edge_mm"]) == (None, None)
    assert found["ice_depth_mm"] == dataclasses.asdict(whole.ice_depth_mm)
    assert found["thaw_s"] == dataclasses.asdict(whole.thaw_s)


# --- what is refused ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("cryogen", NOT_VALIDATED)
def test_a_cryogen_that_was_not_validated_gets_no_band_and_the_reason(table, cryogen):
    found = of_applicator(table, cryogen=cryogen)

    assert found["by_cycle"] == []
    assert found["refused"] == cryogen_validity(cryogen).statement
    assert found["refused"].startswith("No band: ")


def test_the_estimate_as_a_whole_says_what_was_checked_of_the_cryogen(table):
    found = estimate_of(table, method(), PLAN, {**KNOWN, "cryogen": "liquid_nitrogen"}, CONTRACT)

    assert found["cryogen"] == cryogen_validity("liquid_nitrogen").statement


def test_a_cryogen_that_was_not_stated_is_said_to_be_taken_for_the_aerosol(table):
    found = estimate_of(table, method(), PLAN, {"site_class": "trunk"}, CONTRACT)

    assert found["cryogen"] == "The cryogen was not stated; the band is that of an ether and hydrocarbon aerosol."
    assert found["by_applicator"][0]["refused"] is None


@pytest.mark.parametrize(
    ("chosen", "plan", "site_class"),
    [
        (method(low=None), PLAN, "trunk"),  # width not stated
        (method(), {**PLAN, "contact_s": None}, "trunk"),  # no rule gave a contact time
        (method(), PLAN, None),  # site not stated
    ],
)
def test_without_width_contact_or_site_there_is_no_band(table, chosen, plan, site_class):
    found = of_applicator(table, chosen, plan, site_class=site_class)

    assert (found["by_cycle"], found["refused"]) == ([], "Width, contact time or site is not known.")


def test_a_size_outside_the_table_is_refused_with_the_range(table):
    found = of_applicator(table, method("foam_tip", size=8.0))

    assert found["by_cycle"] == []
    assert found["refused"] == "The freeze model covers a foam tip of 2 to 7 mm, not of 8 mm."


def test_a_refusal_leaves_no_thaw(table):
    found = estimate_of(table, method(), PLAN, {**KNOWN, "cryogen": "nitrous_oxide"}, CONTRACT)

    assert thaw_of(found) is None


def test_the_thaw_of_an_estimate_is_that_of_its_first_cycle(table):
    found = estimate_of(table, method(), PLAN, KNOWN, CONTRACT)

    assert thaw_of(found) == found["by_applicator"][0]["by_cycle"][0]["thaw_s"]


# --- what is said of common practice's 40 s -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("thaw_s", "said"),
    [
        (band(41.0, 69.0, 92.0), "lies below the whole band (41 to 92 s): do not judge this freeze by it."),
        (band(40.0, 69.0, 92.0), "lies within the band (40 to 92 s)."),  # on the lower end
        (band(30.0, 39.0, 60.0), "lies within the band (30 to 60 s)."),
        (band(20.0, 30.0, 40.0), "lies within the band (20 to 40 s)."),  # on the upper end
        (band(12.0, 18.0, 39.0), "lies above the whole band (12 to 39 s): do not judge this freeze by it."),
    ],
)
def test_forty_seconds_are_placed_in_the_band(thaw_s, said):
    assert thaw_note(thaw_s) == f"Common practice's thaw of about 40 s {said}"


def test_without_a_thaw_nothing_is_said_of_forty_seconds():
    assert thaw_note(None) is None


# --- on a tilted site ---------------------------------------------------------------------------------------


FILLED = {**PLAN, "fill_depth_mm": {"low": 5.0, "high": 6.4}}


def test_a_cone_says_what_a_tilt_still_taken_as_level_does_to_either_side(table):
    tilted = of_applicator(table, method(size=8.0), FILLED)["tilted"]

    # The fill that tilts most, 5 mm, at 15 degrees: 25 s x (5 -+ 4 tan 15) / 5 = 25 x 3.9282 / 5 and 25 x 6.0718 / 5
    assert (tilted["degrees"], tilted["fill_mm"]) == (15.0, 5.0)
    assert [tilted["by_side"][side]["contact_s"] for side in ("shallow", "deep")] == [19.6, 30.4]
    assert tilted["by_side"]["shallow"]["ice_depth_mm"]["p50"] < tilted["by_side"]["deep"]["ice_depth_mm"]["p50"]
    assert "level pool" in tilted["rests_on"]


def test_a_pool_that_a_tilt_dries_on_one_side_says_so_in_place_of_a_band(table):
    shallow_fill = {**PLAN, "fill_depth_mm": {"low": 1.0, "high": 3.0}}

    tilted = of_applicator(table, method(size=8.0), shallow_fill)["tilted"]

    # 4 mm x tan 15 = 1.07 mm: a fill of 1 mm leaves the upper side dry
    assert tilted["by_side"] is None
    assert tilted["refused"].startswith("One side is dry: at 15 degrees a fill of 1 mm in a bore of 8 mm")


# 15 s x (1.5 - 4 tan 15) / 1.5 = 15 x 0.2855 = 4.28 s
@pytest.mark.parametrize(
    ("contract", "said"),
    [
        (1, "contact_s is 4.28; it must be from 5 to 40 s."),  # as its answers concluded it
        (2, "The freeze model covers a contact of 5 to 40 s, not of 4.28 s."),
    ],
)
def test_a_side_that_is_too_short_wet_says_so_without_the_name_of_a_parameter(table, contract, said):
    plan = {**PLAN, "contact_s": {"low": 10, "high": 15}, "fill_depth_mm": {"low": 1.5, "high": 3.0}}

    found = estimate_of(table, method(size=8.0), plan, KNOWN, contract)["by_applicator"][0]

    assert found["tilted"]["by_side"]["shallow"]["refused"] == said


def test_a_foam_tip_holds_no_pool_and_has_nothing_to_say_of_a_tilt(table):
    assert of_applicator(table, method("foam_tip", size=5.0), FILLED)["tilted"] is None


def test_a_freeze_without_a_band_has_none_on_a_tilted_site(table):
    assert of_applicator(table, method(size=20.0), FILLED)["tilted"] is None
    assert of_applicator(table, method(size=8.0), FILLED, cryogen="liquid_nitrogen")["tilted"] is None


# --- thin tissue --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("known", "backing"),
    [
        ({"site": "pinna"}, "air"),
        ({"site": "eyelid_skin"}, "globe"),
        ({"site": "head", "under_skin": "bone"}, "bone"),
        ({"site": "limb", "under_skin": "thin_plate"}, "air"),
    ],
)
def test_thin_tissue_of_a_stated_thickness_is_timed_to_its_far_side(table, known, backing):
    far = of_applicator(table, method("foam_tip", size=4, low=4), **known, thickness_mm=1.2)["far_side"]

    found = table.far_side("foam_tip", 4, backing, 1.2)
    assert (far["backing"], far["ice_s"]["p50"], far["strong_s"]) == (backing, found.ice_s.p50, found.strong_s)
    assert far["minus25_s"]["never_share"] == found.minus25_s.never_share


@pytest.mark.parametrize(
    "known",
    [
        {"site": "pinna"},  # no thickness
        {"site": "trunk", "thickness_mm": 1.5},  # not thin
        {"site": "head", "thickness_mm": 1.5},  # what lies under it is not known
        {"site": "pinna", "thickness_mm": 1.5, "cryogen": "liquid_nitrogen"},  # no band at all
    ],
    ids=str,
)
def test_nothing_else_is_timed(table, known):
    assert of_applicator(table, **known)["far_side"] is None


def test_a_thickness_outside_the_model_says_why(table):
    far = of_applicator(table, site="pinna", thickness_mm=0.4)["far_side"]

    assert far["refused"] == "The freeze model covers tissue of 0.5 to 4 mm, not of 0.4 mm."
