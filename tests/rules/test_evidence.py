"""What the shipped rules say of their evidence, by the criterion of rules/README.md. Each failure quotes it."""

from __future__ import annotations

import pytest

from decision.folder_reading import read_rule_folder, shipped_rules
from decision.unary_test import met
from tests.rules.test_conventions import broken, texts_of

AEROSOLS = frozenset({"dimethyl_ether_propane", "tetrafluoroethane", "nitrous_oxide"})
NOT_ANIMALS = frozenset({"human", "pig_tissue"})

# Rules that rest on one and the same fact, and whether it was measured (in animals, with this kind of cryogen).
ONE_FACT = {
    "that skin and hair lose their colour, seen in animals": (
        (True, False),
        "cautions/white_or_bald_spot aftercare/white_or_bald_spot next_steps/tell_about_hair_and_colour "
        "preparation/take_consent",
    ),
    "that a lesion which grows after a freeze was a cancer, seen in a dog": (
        (True, False),
        "suitability/grew_after_freeze alternatives/excise_after_growth aftercare/call_when_it_grows "
        "healing_review/bigger_after_a_week healing_review/bigger_and_open_after_three_weeks",
    ),
    "the interval between two freezes, which the series used and did not compare": (
        (False, False),
        "suitability/too_soon_after_freeze cautions/not_smaller_after_freeze healing_review/too_early_to_judge "
        "healing_review/not_smaller_after_three_weeks calendar/not_before_day_21 calendar/decide_published "
        "next_steps/decide_from_day_21",
    ),
    "how many sessions there may be, which is our own limit": (
        (False, False),
        "suitability/three_sessions suitability/six_sessions alternatives/excise_after_three_sessions "
        "healing_review/no_smaller_after_three_sessions healing_review/residue_after_three_sessions "
        "healing_review/residue_after_six_sessions",
    ),
    "which sites hurt, which nobody counted": (
        (False, False),
        "cautions/painful_site suitability/delicate_site preparation/review_local_block aftercare/rest_a_foot",
    ),
    "how many cycles there are, which the series used and did not compare": (
        (False, False),
        "plan/two_cycles_in_the_dog plan/two_cycles_over_muscle_or_fat plan/two_cycles_in_large_animals "
        "plan/one_cycle_in_thin_skin cycle_review/ceiling_of_two_cycles cycle_review/give_the_second_cycle",
    ),
    "how much of a ring may be frozen, which is our own limit": (
        (False, False),
        "suitability/ring_round_opening precautions/leave_a_gap_at_an_opening",
    ),
    "what a text says of joints, tendons and the coronary band": (
        (False, False),
        "suitability/coronary_band suitability/joint_or_tendon_under_it cycle_review/over_joint_or_tendon",
    ),
    "what texts say of nerves": ((False, False), "cautions/nerve_under_it precautions/warn_of_numbness"),
    "what a text says of white hair": ((False, False), "cautions/show_animal"),
    "what a text says of the slough of horses": (
        (False, False),
        "calendar/slough_published_in_a_horse calendar/slough_edge_published calendar/not_before_week_8_in_a_horse "
        "suitability/too_soon_equine healing_review/too_early_to_judge_in_a_horse "
        "healing_review/no_slough_by_eight_weeks_in_a_horse healing_review/smell_in_a_horse "
        "healing_review/late_smell_in_a_horse aftercare/horse_smell_and_yellow_fluid",
    ),
    "what teaching says of sampling": (
        (False, False),
        "suitability/large_and_lasting suitability/growing_unsampled suitability/doubled_in_four_weeks "
        "suitability/look_not_classic alternatives/needle_sample alternatives/needle_before_excision "
        "alternatives/needle_before_excision_in_livestock",
    ),
    "how many growths that were sent in were cancers": (
        (True, False),
        "suitability/cat_or_ferret_unsampled suitability/species_unsampled suitability/swells_unsampled "
        "suitability/digit",
    ),
    "that harm to the eye was counted in dogs treated with an aerosol": (
        (True, True),
        "suitability/eye_surface healing_review/eye_signs",
    ),
    "that 1 mm below a foam tip nothing froze, on a bench": (
        (False, True),
        "suitability/lipoma suitability/lump_under_skin suitability/thickening_below suitability/eyelid_skin_tall "
        "method/none_higher_than_foam_treats method/none_higher_than_foam_treats_over_bone",
    ),
    "how wide a lesion foam treats, which nobody measured": (
        (False, False),
        "method/none_wider_than_foam_treats method/none_wider_than_foam_treats_over_bone "
        "method/none_base_beyond_foam method/none_base_beyond_foam_over_bone",
    ),
    "how many visits foam takes, which nobody counted": (
        (False, False),
        "preparation/expect_several_visits_with_foam aftercare/foam_takes_several_visits",
    ),
    "for how many seconds an applicator is held, which nobody measured": (
        (False, False),
        "plan/foam_contact_on_body_skin plan/foam_contact_over_muscle_or_fat plan/cone_contact_on_body_skin",
    ),
}


@pytest.fixture(scope="module")
def folder():
    return read_rule_folder(shipped_rules())


@pytest.fixture(scope="module")
def rules(folder):
    return [rule for rules in folder.rules.values() for rule in rules]


def measured_by(source):
    """The species in which a source measured: a text, a review or teaching, all of level 5, measured in none."""
    measures = source["level"] != "L5" or source["kind"] == "bench"
    return set(source["species"]) - NOT_ANIMALS if measures else set()


def species_of(rule, folder):
    """The species for which a rule can hold."""
    every = folder.vocabulary.inputs["species"].allowed
    asked = [test for test in rule.when if test.input == "species"]
    let_off = [test for test in rule.unless if test.input == "species" and len(rule.unless) == 1]
    return {
        one for one in every if all(met(test, one) for test in asked) and not any(met(test, one) for test in let_off)
    }


# --- what was measured ------------------------------------------------------------------------------------


def test_a_rule_that_speaks_of_liquid_nitrogen_does_not_claim_the_cryogen(rules):
    wrong = [rule.id for rule in rules if rule.evidence.cryogen_direct and "liquid nitrogen" in texts_of(rule).lower()]

    assert wrong == [], broken(
        "a figure from liquid nitrogen is never given as one for an aerosol.",
        "set cryogen_direct to false, or split what was measured with an aerosol into a rule of its own.",
    )


def test_a_claim_for_the_cryogen_rests_on_a_source_that_used_one_like_it(folder, rules):
    used = {key: set(source["cryogens"]) for key, source in folder.sources.items()}
    wrong = [
        rule.id
        for rule in rules
        if rule.evidence.cryogen_direct and not any(used[key] & AEROSOLS for key in rule.evidence.citations)
    ]

    assert wrong == [], broken(
        "cryogen_direct is true only where a cited source measured with a consulting-room cryogen.",
        "set it to false, or cite the source that did.",
    )


def test_a_claim_for_the_species_rests_on_sources_that_measured_in_species_of_the_rule(folder, rules):
    wrong = []
    for rule in rules:
        if rule.evidence.species_direct:
            measured = {key: found for key in rule.evidence.citations if (found := measured_by(folder.sources[key]))}
            beside = [key for key, found in measured.items() if not found & species_of(rule, folder)]
            wrong += [f"{rule.id}: {', '.join(beside) or 'no source measured in an animal'}"] * (
                not measured or bool(beside)
            )

    assert wrong == [], broken(
        "species_direct is true only where cited sources measured it, each in a species for which the rule can hold; "
        "a text, a review or teaching measured nothing.",
        "set it to false, or cite the source that measured it.",
    )


def test_an_answer_names_the_species_of_every_source_that_measured(folder, rules):
    wrong = []
    for rule in rules:
        found = {one for key in rule.evidence.citations for one in measured_by(folder.sources[key])}
        wanted = found if rule.evidence.species_direct else set()
        wrong += [rule.id] if set(rule.evidence.measured_in) != wanted else []

    assert wrong == []


@pytest.mark.parametrize("fact", ONE_FACT)
def test_rules_that_rest_on_one_fact_say_the_same_of_it(rules, fact):
    flags, names = ONE_FACT[fact]
    said = {rule.id: (rule.evidence.species_direct, rule.evidence.cryogen_direct) for rule in rules}

    wrong = {name: said.get(name, "no rule") for name in names.split() if said.get(name) != flags}

    assert wrong == {}, broken(
        "rules that rest on one fact carry the same species_direct and cryogen_direct.",
        "change all of them or none, and ONE_FACT in tests/rules/test_evidence.py with them.",
    )


def test_the_same_sources_with_the_same_limits_are_graded_alike(rules):
    seen, wrong = {}, []
    for rule in rules:
        one = rule.evidence
        if one.citations:
            graded = (one.certainty, one.species_direct, one.cryogen_direct)
            first = seen.setdefault((one.citations, one.limits), (rule.id, graded))
            wrong += [f"{rule.id} and {first[0]}"] if first[1] != graded else []

    assert wrong == [], broken(
        "rules with the same sources and the same limits have the same certainty and flags.",
        "grade them alike, or say in the limits what differs.",
    )


# --- certainty --------------------------------------------------------------------------------------------


def test_what_has_no_source_is_of_very_low_certainty(rules):
    wrong = [rule.id for rule in rules if not rule.evidence.citations and rule.evidence.certainty != "very_low"]

    assert wrong == [], broken("a rule without a source is of very low certainty.", "set certainty to very_low.")


def test_what_rests_on_level_five_alone_is_of_very_low_certainty(folder, rules):
    wrong = []
    for rule in rules:
        cited = [folder.sources[key] for key in rule.evidence.citations]
        lifted = rule.evidence.cryogen_direct and any(
            one["kind"] == "bench" and set(one["cryogens"]) & AEROSOLS for one in cited
        )
        allowed = {"very_low", "low"} if lifted else {"very_low"}
        if cited and all(one["level"] == "L5" for one in cited) and rule.evidence.certainty not in allowed:
            wrong.append(rule.id)

    assert wrong == [], broken(
        "what rests on level 5 alone is of very low certainty; a bench that measured what the rule says with this kind "
        "of cryogen lifts it to low.",
        "set certainty to very_low.",
    )


def test_what_a_bench_lifts_says_in_its_limits_on_what_it_was_measured(folder, rules):
    lifted = [
        rule
        for rule in rules
        if rule.evidence.certainty == "low"
        and all(folder.sources[key]["level"] == "L5" for key in rule.evidence.citations)
    ]

    assert {rule.id for rule in lifted if "dead pig skin" not in " ".join(rule.evidence.limits.split())} == set()
    assert lifted


def test_nothing_is_of_more_than_low_certainty_without_a_trial_in_the_species_with_the_cryogen(folder, rules):
    wrong = [
        rule.id
        for rule in rules
        if rule.evidence.certainty in ("moderate", "high")
        and not (
            rule.evidence.species_direct
            and rule.evidence.cryogen_direct
            and any(folder.sources[key]["level"] in ("L1", "L2") for key in rule.evidence.citations)
        )
    ]

    assert wrong == [], broken(
        "more than low certainty needs a trial in animals with this kind of cryogen.", "set certainty to low."
    )


def test_what_is_recalled_says_so_and_is_of_very_low_certainty_where_nothing_else_is_cited(folder, rules):
    wrong = []
    for rule in rules:
        recalled = [folder.sources[key]["read"] == "from_memory" for key in rule.evidence.citations]
        if any(recalled) and "recalled" not in rule.evidence.limits:
            wrong.append(f"{rule.id}: its limits do not say that it is recalled")
        if recalled and all(recalled) and rule.evidence.certainty != "very_low":
            wrong.append(f"{rule.id}: {rule.evidence.certainty}, from memory alone")

    assert wrong == [], broken(
        'a rule that cites a source from memory says "recalled" in its limits, and is of very low certainty where it '
        "cites nothing else.",
        "say it, and grade it so.",
    )


# --- for which patient ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("species", "rule", "measured_in"),
    [
        ("dog", "suitability/sampled_to_five", ["dog", "cat"]),
        ("cat", "suitability/sampled_to_five", ["dog", "cat"]),
        ("rabbit", "suitability/sampled_to_five", ["dog", "cat"]),
        ("cattle", "cautions/white_or_bald_spot", ["dog", "cat", "guinea_pig"]),
        ("horse", "cautions/white_or_bald_spot", ["dog", "cat", "guinea_pig"]),
        ("donkey", "suitability/species_unsampled", ["rabbit"]),
        ("rabbit", "suitability/species_unsampled", ["rabbit"]),
    ],
)
def test_an_answer_claims_a_measurement_only_for_the_species_of_its_sources(shipped_book, species, rule, measured_in):
    lesion = {"lesion_id": "l", "site": "trunk", "base_width_mm": 3, "sampling_declined": False}
    sampled = rule != "suitability/species_unsampled"
    lesion |= {"known_diagnosis": "papilloma", "diagnosis_basis": "cytology" if sampled else "none"}
    lesion |= {"tissue_will_be_submitted": False, "height_mm": 2}
    told = shipped_book.recommend({"patient": {"species": species, "weight_kg": 5}, "lesions": [lesion]})
    (answered,) = told["lesions"]
    given = [*answered["suitability"]["reasons"], *(one for had in answered["cautions"] for one in had["reasons"])]

    (evidence,) = (one["evidence"] for one in given if one["rule"] == rule)

    assert (evidence["species_direct"], evidence["measured_in"]) == (species in measured_in, measured_in)


def test_no_answer_claims_a_measurement_for_a_rabbit_with_a_sampled_wart_of_the_lip(shipped_book):
    lesion = {"lesion_id": "l", "site": "lip", "base_width_mm": 3, "height_mm": 2, "known_diagnosis": "papilloma"}
    case = {"patient": {"species": "rabbit", "weight_kg": 1.5}, "lesions": [{**lesion, "diagnosis_basis": "cytology"}]}
    (answered,) = shipped_book.recommend(case)["lesions"]
    given = [*answered["suitability"]["reasons"], *(one for had in answered["cautions"] for one in had["reasons"])]

    assert len(given) > 5
    assert [one["rule"] for one in given if one["evidence"]["species_direct"]] == []
