"""No hold of the plan lets ice cross thin tissue by the freeze table; no fill, hold, halo or cycle beyond its limit.

The limit for thin tissue is four fifths of the time in which strong contact crosses it, for every width of tip or bore
that the table has. Where no thickness can be measured, the rule says which one it takes, and that one is tried here.
"""

from __future__ import annotations

import itertools

import pytest

from decision.derived import derive
from decision.evaluator import Outcome, compile_rules
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.freeze.lookup import load_freeze_table

FOLDER = read_rule_folder(shipped_rules())
PLAN = FOLDER.rules["plan"]
CONTACT = [rule for rule in PLAN if "contact_s" in rule.conclude]
OUTCOMES = compile_rules(PLAN)
TABLE = load_freeze_table()
ALLOWED = {name: one.allowed for name, one in FOLDER.vocabulary.inputs.items() if one.type == "code"}

SHARE = 0.8  # of the time of strong contact, and no more
WIDTHS = {"foam_tip": (2.0, 3.0, 4.0, 5.0, 6.0, 7.0), "cone": (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0)}
SHORTEST_S = 3.0  # nobody can time less; where even this is too long the rule must say so

# What lies behind the tissue, and how thin the rule takes it to be where nobody can measure it.
TAKEN = {
    "foam_contact_on_a_lid": ("globe", 0.9),
    "foam_contact_soft_openings": ("air", 2.0),
    "foam_contact_soft_openings_thin_skin": ("air", 1.5),
    "foam_contact_thin_openings": ("air", 1.5),
    "cone_contact_at_lip_and_muzzle": ("air", 3.0),
    "cone_contact_at_nostril": ("air", 2.5),
    "cone_contact_at_a_thin_lip": ("air", 2.0),
}
DEEP = {"cone_contact_on_body_skin", "foam_contact_on_body_skin", "foam_contact_over_muscle_or_fat"}
MEASURED = {
    "foam_contact_thick_ear_or_digit",
    "foam_contact_thin_ear_or_digit",
    "foam_contact_thinnest_ear_or_digit",
    "foam_contact_under_a_millimetre_of_ear",
    "foam_contact_over_bone_thicker_skin",
    "foam_contact_over_bone_thin_skin",
    "foam_contact_under_a_millimetre_over_bone",
    "cone_contact_at_a_thick_lip",
    "cone_contact_at_a_lip_under_3_mm",
}
THICKNESSES = [round(0.5 + 0.1 * step, 1) for step in range(36)]  # what the table covers: 0.5 to 4 mm
BODY = ("head", "neck", "trunk", "axilla_or_groin", "limb", "tail", "mammary", "udder")
SITES_MEASURED = [("pinna", None), ("lip", None), *itertools.product((*BODY, "digit"), ("bone", "thin_plate"))]


def longest_safe_s(applicator, backing, thickness_mm):
    """Four fifths of the shortest time in which strong contact crosses, over every width; 60 s when none does."""
    found = [TABLE.far_side(applicator, width, backing, thickness_mm).strong_s for width in WIDTHS[applicator]]
    return SHARE * min(60.0 if one is None else one for one in found)


def concluded(known, quantity):
    """What the plan gives for a quantity in a case, or None."""
    outcomes = OUTCOMES({**known, **derive(known)})
    holding = [rule for rule, outcome in zip(PLAN, outcomes, strict=True) if outcome == int(Outcome.HOLDS)]
    given = [rule.conclude[quantity] for rule in holding if quantity in rule.conclude]
    return given[0] if given else None


def named(name):
    """A rule of the plan."""
    return next(rule for rule in PLAN if rule.name == name)


def test_every_contact_window_is_held_against_the_freeze_table_here():
    assert {rule.name for rule in CONTACT} == TAKEN.keys() | DEEP | MEASURED


@pytest.mark.parametrize("name", sorted(TAKEN))
def test_a_hold_on_unmeasured_tissue_ends_before_strong_contact_crosses_it(name):
    backing, thickness_mm = TAKEN[name]
    rule = named(name)
    applicator = "cone" if name.startswith("cone") else "foam_tip"

    assert rule.conclude["contact_s"]["high"] <= longest_safe_s(applicator, backing, thickness_mm)
    assert f"at least {thickness_mm:g} mm thick" in " ".join(rule.explanation.split())


@pytest.mark.parametrize(("site", "under"), SITES_MEASURED)
def test_a_hold_on_measured_tissue_ends_before_strong_contact_crosses_it(site, under):
    backing = "bone" if under == "bone" else "air"
    case = {"method": "foam_tip", "site": site} | ({} if under is None else {"under_skin": under})

    held = {one: concluded({**case, "thickness_mm": one}, "contact_s")["high"] for one in THICKNESSES}

    too_long = {one for one, high in held.items() if high > longest_safe_s("foam_tip", backing, one)}
    assert all(one < 0.7 and held[one] == SHORTEST_S for one in too_long)


def test_a_cone_on_a_measured_lip_is_lifted_before_strong_contact_crosses_it():
    for one in (one for one in THICKNESSES if one >= 2):
        held = concluded({"method": "cone", "site": "lip", "thickness_mm": one}, "contact_s")

        assert held["high"] <= longest_safe_s("cone", "air", one)


def test_no_cone_is_held_on_a_lip_under_2_mm():
    assert concluded({"method": "cone", "site": "lip", "thickness_mm": 1.9}, "contact_s") is None


@pytest.mark.parametrize("name", sorted(name for name in MEASURED if "under_a_millimetre" in name))
def test_the_rule_says_where_even_the_shortest_hold_is_too_long(name):
    limits = " ".join(named(name).evidence.limits.split())

    assert "Below 0.7 mm" in limits
    assert "more than four fifths" in limits


def test_a_hold_over_a_nerve_or_the_eye_is_no_longer_than_over_a_free_fold():
    for site, under, one in itertools.product(BODY, ("nerve", "globe"), THICKNESSES):
        case = {"method": "foam_tip", "site": site, "thickness_mm": one}

        assert concluded({**case, "under_skin": under}, "contact_s") == concluded(
            {**case, "under_skin": "thin_plate"}, "contact_s"
        )


@pytest.mark.parametrize("method", ["cone", "foam_tip"])
def test_a_hold_that_nothing_below_ends_is_given_over_muscle_or_fat_alone(method):
    given = {
        (site, under)
        for site, under in itertools.product(ALLOWED["site"], ALLOWED["under_skin"])
        for rule, outcome in zip(PLAN, OUTCOMES({"method": method, "site": site, "under_skin": under}), strict=True)
        if rule.name in DEEP and outcome == int(Outcome.HOLDS)
    }

    assert given == {(site, "muscle_or_fat") for site in BODY}


def test_no_cone_is_put_on_body_skin_over_anything_but_muscle_or_fat():
    rules = FOLDER.rules["method"]
    outcomes = compile_rules(rules)
    level = {"site_can_be_level": True, "seals_all_round": True}
    given = {
        (site, under)
        for site, under in itertools.product(BODY, ALLOWED["under_skin"])
        for rule, outcome in zip(rules, outcomes({**level, "site": site, "under_skin": under}), strict=True)
        if rule.conclude["applicator"] == "cone" and outcome == int(Outcome.HOLDS)
    }

    assert given == {(site, "muscle_or_fat") for site in BODY}


@pytest.mark.parametrize(("under", "verdict"), [("joint_or_tendon", "do_not_freeze"), ("globe", "refer")])
def test_body_skin_over_a_joint_or_the_eye_is_never_permitted(under, verdict):
    rules = FOLDER.rules["suitability"]
    outcomes = compile_rules(rules)
    for site in BODY:
        found = zip(rules, outcomes({"site": site, "under_skin": under}), strict=True)

        assert verdict in {rule.conclude["verdict"] for rule, one in found if one == int(Outcome.HOLDS)}


def test_no_hold_is_longer_than_the_bench_study_had_and_none_of_foam_needs_a_refill():
    highest = {rule.name: rule.conclude["contact_s"]["high"] for rule in CONTACT}

    assert max(highest.values()) <= 40
    assert max(high for name, high in highest.items() if name.startswith("cone")) <= 25  # then one fill is gone


def test_no_fill_stands_above_the_line():
    fills = [rule.conclude["fill_depth_mm"]["high"] for rule in PLAN if "fill_depth_mm" in rule.conclude]

    assert fills != []
    assert max(fills) <= 6.4


def test_no_halo_is_wider_than_3_mm():
    assert max(rule.conclude["halo_mm"]["high"] for rule in PLAN if "halo_mm" in rule.conclude) <= 3


@pytest.mark.parametrize("method", ["cone", "foam_tip"])
def test_thin_skin_is_never_frozen_twice(method):
    thin_species = {"cat", "rabbit", "ferret", "guinea_pig"}
    thin_sites = {"pinna", "eyelid_skin", "eyelid_margin"}
    twice = set()
    for species, site, under in itertools.product(ALLOWED["species"], ALLOWED["site"], ALLOWED["under_skin"]):
        cycles = concluded({"method": method, "species": species, "site": site, "under_skin": under}, "cycles")
        if (cycles or 1) > 1 and (species in thin_species or site in thin_sites):
            twice.add((species, site, under))

    assert twice == set()


def test_no_plan_has_more_than_two_cycles():
    assert max(rule.conclude["cycles"] for rule in PLAN if "cycles" in rule.conclude) == 2


# --- figures of the table that rules state in words -----------------------------------------------------------------


@pytest.mark.parametrize("site_class", ["trunk", "distal", "mucosa"])
def test_ice_past_the_rim_of_a_tight_cone_stays_below_the_limit_for_a_leak(site_class):
    past = [TABLE.estimate("cone", width, 25, site_class).ice_past_edge_mm.p90 for width in WIDTHS["cone"]]

    assert max(past) < 1.2


def test_a_thaw_of_40_s_is_right_for_a_5_mm_cone_on_the_trunk_only():
    band = {width: TABLE.estimate("cone", width, 25, "trunk").thaw_s for width in (5.0, 8.0, 12.0)}

    assert band[5.0].p10 < 40 < band[5.0].p90
    assert (band[8.0].p10 > 40, band[12.0].p10 > 40) == (True, True)
    assert TABLE.estimate("foam_tip", 5, 30, "trunk").thaw_s.p90 < 40


@pytest.mark.parametrize("site_class", ["trunk", "distal", "mucosa"])
def test_foam_is_not_credited_with_depth(site_class):
    found = [TABLE.estimate("foam_tip", width, 30, site_class) for width in WIDTHS["foam_tip"]]

    assert all(one.depth_minus25_mm is None or one.depth_minus25_mm.p50 == 0 for one in found)
    assert max(one.ice_depth_mm.p50 for one in found) <= 1.3


def test_a_second_cycle_adds_little_depth():
    def median(cycle, width):
        return TABLE.estimate("cone", width, 20, "trunk", cycle=cycle, wait_after_thaw_s=60).ice_depth_mm.p50

    added = [median(2, width) / median(1, width) - 1 for width in (5.0, 8.0, 12.0)]

    assert (min(added) > 0.03, max(added) < 0.17) == (True, True)
