"""What stands beside a verdict: only what it needs, and nothing that contradicts the case or another line of it."""

import datetime

import pytest

from tests.rules.soft_tag import soft_tag

TODAY = datetime.date(2026, 11, 24)
HORSE = {"species": "horse", "age_years": 6, "weight_kg": 520, "grey_coat": True}
SARCOID = {"known_diagnosis": "sarcoid", "lesion_kind": "dome_nodule"}
ON_THE_LID = {**SARCOID, "site": "eyelid_skin", "mm_from_margin": 1, "base_width_mm": 6, "height_mm": 5}
LAMB = {
    "species": "sheep",
    "age_years": 1,
    "weight_kg": 40,
    "food_chain": "may_enter",
    "tetanus_covered": True,
    "herd_mates_affected": True,
}
LIP_WART = {"lesion_kind": "frond_wart", "known_diagnosis": "papilloma", "site": "lip"}
PERIANAL = {"site": "perianal", "known_diagnosis": "perianal_adenoma", "lesion_kind": "dome_nodule"}
WAXY = {"lesion_kind": "waxy_sebaceous", "known_diagnosis": "sebaceous_adenoma"}
FROZEN_ONCE = {"earlier_freezes": 1, "earlier_freeze_result": "shrinking", "days_since_last_freeze": 10}
RABBIT = {"species": "rabbit", "age_years": 1, "weight_kg": 2.5, "eating_now": True}


@pytest.fixture(scope="module")
def answer(shipped_book):
    def answered(patient=None, lesion=None, as_of="2026-11-24"):
        case = soft_tag() | {"as_of": as_of}
        case["patient"] |= patient or {}
        case["lesions"][0] |= lesion or {}
        return shipped_book.recommend(shipped_book.read(case, today=TODAY), trace=True)["lesions"][0]

    return answered


def verdict(found):
    return found["suitability"]["verdict"]


def reasons(found):
    return [one["rule"] for one in found["suitability"]["reasons"]]


def instead(found):
    return [(one["what"], one["by_when"]) for one in found["alternatives"]]


def ways(found):
    return sorted({one["what"] for one in found["alternatives"]})


def cautions(found):
    return [reason["rule"].removeprefix("cautions/") for one in found["cautions"] for reason in one["reasons"]]


def asked(found):
    return [one["input"] for one in found["ask_next"]]


# --- horses are not sampled or snipped in passing -----------------------------------------------------------


@pytest.mark.parametrize(
    "lesion",
    [
        ON_THE_LID,
        {**SARCOID, "lesion_kind": "flat_plaque", "site": "neck", "base_width_mm": 25},
        {**SARCOID, "site": "neck", "base_width_mm": 12, "change_4_weeks": "doubled"},
        {**SARCOID, "site": "neck", "surface": "ulcer_without_cause", "colour": "dark"},
    ],
)
def test_no_reason_for_a_sarcoid_speaks_of_a_sample_or_a_snip(answer, lesion):
    found = answer(HORSE, lesion)

    assert verdict(found) in ("refer", "do_not_freeze")
    titles = " ".join(one["title"].lower() for one in found["suitability"]["reasons"])
    assert not [word for word in ("sample", "snip", "submit", "biopsy") if word in titles]
    assert ways(found) == ["refer"]


def test_a_sarcoid_of_the_lid_is_referred_within_days_and_nothing_else_is_asked(answer):
    found = answer(HORSE, ON_THE_LID)

    assert instead(found) == [("refer", "within days")]
    assert asked(found) == []


def test_a_growth_of_the_trunk_is_referred_without_a_word_about_the_eye(answer):
    assert instead(answer(HORSE, {**SARCOID, "site": "trunk"})) == [("refer", "within two weeks")]


def test_a_young_horse_whose_wart_needs_a_sample_goes_to_those_who_would_treat_it(answer):
    found = answer({**HORSE, "age_years": 2, "grey_coat": False}, {**LIP_WART, "base_width_mm": 8, "site": "trunk"})

    assert verdict(found) == "sample_first"
    assert ways(found) == ["refer"]


# --- orf and myxomatosis ------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", ["lip", "muzzle", "nostril", "teat", "udder", "nasal_planum"])
@pytest.mark.parametrize("species", ["sheep", "goat"])
def test_a_wart_at_mouth_nose_or_teat_of_a_sheep_or_goat_is_sampled_though_tissue_will_be_submitted(
    answer, species, site
):
    lesion = {**LIP_WART, "site": site, "mm_from_teat_end": 20, "tissue_will_be_submitted": True}

    for patient in (LAMB, {**LAMB, "herd_mates_affected": False}):
        assert verdict(answer({**patient, "species": species}, lesion)) == "sample_first"


def test_a_wart_by_smear_is_sampled_again_only_where_others_of_the_flock_have_it(answer):
    smeared = {**LIP_WART, "diagnosis_basis": "cytology", "weeks_present": 40}

    alone, flock = (answer({**LAMB, "herd_mates_affected": others}, smeared) for others in (False, True))

    assert verdict(alone) == "suitable_with_care"
    assert verdict(flock) == "sample_first"
    assert ("biopsy", "within a week, of one typical animal, with gloves on") in instead(flock)


@pytest.mark.parametrize(
    ("species", "named", "unnamed"), [("rabbit", "myxomatosis", "cowpox"), ("cat", "cowpox", "myxomatosis")]
)
def test_pox_nodules_are_told_in_the_words_of_the_own_species(answer, species, named, unnamed):
    found = answer({**RABBIT, "species": species}, {"vesicles_or_erosions": True})

    told = " ".join(f"{one['summary']} {one['detail']}" for one in found["cautions"]).lower()
    assert named in told
    assert unnamed not in told


def test_a_rabbit_with_pox_nodules_is_seen_for_myxomatosis_before_it_is_treated(answer):
    found = answer(RABBIT, {"vesicles_or_erosions": True, "diagnosis_basis": "histology"})

    assert verdict(found) == "treat_first"
    assert [by for way, by in instead(found) if way == "refer" and "myxomatosis" in by and by.startswith("today")]


def test_a_dog_with_blisters_hears_of_neither(answer):
    told = " ".join(one["detail"] for one in answer({}, {"vesicles_or_erosions": True})["cautions"]).lower()

    assert "people" in told
    assert "cowpox" not in told


@pytest.mark.parametrize(("species", "way"), [("rabbit", "refer"), ("cat", "leave_alone")])
def test_a_rabbit_with_a_pox_disease_is_not_left_alone(answer, species, way):
    assert ways(answer({**RABBIT, "species": species}, {"known_diagnosis": "poxviral"})) == [way]


# --- alternatives fit the case and each other ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("lesion", "patient", "expected"),
    [
        ({"site": "ear_canal"}, {}, ["refer"]),
        ({**PERIANAL, "diagnosis_basis": "cytology"}, {"neutered": True}, ["biopsy"]),
        ({**PERIANAL, "diagnosis_basis": "histology"}, {"neutered": False}, ["castrate"]),
        ({**PERIANAL, "diagnosis_basis": "histology", "infected": True}, {"neutered": False}, ["castrate", "medical"]),
        ({**WAXY, "diagnosis_basis": "cytology", "sun_damaged_white_skin": True}, {}, ["biopsy"]),
        ({**WAXY, "diagnosis_basis": "cytology", "swells_when_handled": True}, {}, ["biopsy"]),
        ({**WAXY, "diagnosis_basis": "cytology", "change_4_weeks": "doubled"}, {}, ["biopsy"]),
        ({**WAXY, "diagnosis_basis": "cytology", "lymph_node_enlarged": True}, {}, ["needle_sample"]),
        ({**WAXY, "diagnosis_basis": "cytology", "known_diagnosis": "other_benign"}, {}, ["biopsy"]),
        ({**WAXY, "diagnosis_basis": "cytology", "known_diagnosis": "none"}, {}, ["biopsy"]),
        (
            {**WAXY, "diagnosis_basis": "histology", **FROZEN_ONCE, "earlier_freezes": 3, "days_since_last_freeze": 60},
            {},
            ["excise"],
        ),
        (
            {"known_diagnosis": "mast_cell_tumour", "lesion_kind": "dome_nodule", "swells_when_handled": True},
            {},
            ["needle_sample", "refer"],
        ),
        ({"known_diagnosis": "mast_cell_tumour", "diagnosis_basis": "cytology"}, {}, ["refer"]),
        ({"diagnosis_basis": "cytology", "height_mm": 6}, {}, ["excise", "ligate"]),
        ({"diagnosis_basis": "cytology", "height_mm": 6}, HORSE, ["refer"]),
        ({"diagnosis_basis": "histology", "height_mm": 6}, HORSE, ["excise"]),
    ],
)
def test_what_is_advised_instead_fits_the_case(answer, lesion, patient, expected):
    assert ways(answer(patient, lesion)) == expected


@pytest.mark.parametrize(
    ("patient", "days", "as_of", "date", "words"),
    [
        ({}, 10, "2026-11-24", "2026-12-05", "from 5 December 2026"),
        ({}, 20, "2026-12-31", "2027-01-01", "from 1 January 2027"),
        (HORSE, 10, "2026-11-24", "2027-01-09", "from 9 January 2027"),
    ],
)
def test_a_freeze_that_is_put_off_for_the_last_one_carries_its_date(answer, patient, days, as_of, date, words):
    histology = {"diagnosis_basis": "histology"} if patient else {}
    found = answer(patient, {**FROZEN_ONCE, "days_since_last_freeze": days, **histology}, as_of=as_of)

    assert verdict(found) == "defer"
    (only,) = found["alternatives"]
    assert only["from_date"] == date
    assert only["by_when"].endswith(words)


def test_a_freeze_that_is_put_off_for_an_illness_has_no_date(answer):
    (only,) = answer({"systemically_ill": True})["alternatives"]

    assert (only["by_when"], only["from_date"]) == ("until the reason has passed, then look again", None)


def test_the_date_is_part_of_what_is_concluded(shipped_book):
    case = soft_tag()
    case["lesions"][0] |= FROZEN_ONCE

    digests = {
        shipped_book.recommend(shipped_book.read({**case, "as_of": day}, today=TODAY))["conclusion_digest"]
        for day in ("2026-11-23", "2026-11-24")
    }

    assert len(digests) == 2


# --- nothing is told or asked for a freeze that is not given -------------------------------------------------

OF_A_FREEZE = {
    "ear_flap_through",
    "painful_site",
    "white_or_bald_spot",
    "under_two_kilograms",
    "opening_may_narrow",
    "endocrine_disease",
    "steroid_course",
}


@pytest.mark.parametrize(
    ("patient", "lesion", "stands"),
    [
        (
            {"age_years": 0.8},
            {
                "known_diagnosis": "histiocytoma",
                "diagnosis_basis": "cytology",
                "site": "pinna",
                "lesion_kind": "dome_nodule",
                "weeks_present": 4,
                "problem_caused": "none",
            },
            "watch",
        ),
        ({"species": "ferret", "weight_kg": 1.2}, {"site": "tail", "known_diagnosis": "none"}, "sample_first"),
        ({"endocrine_disease": "uncontrolled"}, {}, "defer"),
        ({"steroid_use": "immunosuppressive"}, {}, "defer"),
        ({}, {"colour": "dark", "sampling_declined": True}, "sample_first"),
        ({}, {"site": "ear_canal"}, "refer"),
        ({}, {"site": "digit"}, "do_not_freeze"),
    ],
)
def test_beside_a_refusal_nothing_is_told_or_asked_for_a_freeze(answer, patient, lesion, stands):
    found = answer(patient, lesion)

    assert verdict(found) == stands
    assert not OF_A_FREEZE & set(cautions(found))
    assert not {"brachycephalic", "sedation_planned", "tetanus_covered"} & set(asked(found))
    assert not [rule for rule in reasons(found) if rule.removeprefix("cautions/") in OF_A_FREEZE]
    assert not {"suitability/sampling_declined", "suitability/classic_to_five"} & set(reasons(found))


def test_the_same_cautions_are_told_and_asked_for_where_a_freeze_may_follow(answer):
    found = answer({"weight_kg": 1.8})

    assert {"under_two_kilograms", "white_or_bald_spot"} <= set(cautions(found))
    assert {"brachycephalic", "sedation_planned"} <= set(asked(found))
    assert "cautions/under_two_kilograms" in reasons(found)


def test_what_matters_anyway_is_told_beside_a_refusal(answer):
    found = answer(
        {**LAMB, "tetanus_covered": False, "bleeding_disorder": True}, {**LIP_WART, "swells_when_handled": True}
    )

    assert verdict(found) == "sample_first"
    assert {"food_chain", "herd_affected", "tetanus", "bleeding_disorder", "swells_when_handled"} <= set(
        cautions(found)
    )


def test_a_short_nose_under_sedation_is_told_beside_a_refusal_and_not_asked_for(answer):
    lesion = {"colour": "dark"}

    assert "brachycephalic_sedation" in cautions(answer({"brachycephalic": True, "sedation_planned": True}, lesion))
    assert "sedation_planned" not in asked(answer({"brachycephalic": True}, lesion))


@pytest.mark.parametrize(("field", "code"), [("endocrine_disease", "controlled"), ("steroid_use", "anti_inflammatory")])
def test_a_disease_under_control_still_asks_for_care(answer, field, code):
    assert verdict(answer({field: code})) == "suitable_with_care"


# --- the owner hears of the own species ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("patient", "said", "unsaid"),
    [
        ({}, "judged after three weeks", "horse"),
        ({**RABBIT, "species": "guinea_pig"}, "fly screen", "fly sheet"),
        ({"species": "cattle", "age_years": 5}, "fly sheet", "fly screen"),
    ],
)
def test_aftercare_speaks_of_the_own_species(answer, patient, said, unsaid):
    found = answer(patient, {**WAXY, "diagnosis_basis": "histology"})

    told = " ".join(f"{one['step']} {one['detail']}" for one in found["aftercare"])
    assert said in told
    assert unsaid not in told


def test_no_owner_of_a_dog_hears_of_horses_or_tack(answer):
    wart = {
        "known_diagnosis": "papilloma",
        "diagnosis_basis": "histology",
        "site": "pinna",
        "thickness_mm": 3,
        "height_mm": 0.8,
    }

    found = answer({}, wart)

    told = " ".join(f"{one['step']} {one['detail']}" for one in found["aftercare"])
    assert "Share no bowls" in told
    assert "sun" in told
    assert "horse" not in told
    assert "tack" not in told


def test_a_horse_is_judged_after_eight_weeks(answer):
    histology = {"known_diagnosis": "papilloma", "diagnosis_basis": "histology", "sarcoid_suspected": False}

    found = answer(HORSE, histology)

    assert "judged after eight weeks" in " ".join(one["detail"] for one in found["aftercare"])


def test_no_figure_is_passed_off_as_advice_of_a_label(shipped_book):
    written = {rule.name: rule.explanation for rule in shipped_book.folder.rules["precautions"]}

    for name in ("vent_the_nitrogen_vessel", "keep_flammable_canisters_cool"):
        assert "%" not in written[name].replace("about 3 % on", "")
        assert "years" not in written[name]


THIN_EAR = {"site": "pinna", "under_skin": "thin_plate", "thickness_mm": 1}
ABOUT_THE_FREEZE = {"cautions/ear_flap_through", "cautions/painful_site", "cautions/white_or_bald_spot"}


def test_where_neither_applicator_will_do_nothing_is_told_of_a_freeze_and_the_trace_names_it(answer):
    found = answer(lesion=THIN_EAR)

    assert (found["method"]["applicator"], found["plan"], found["calendar"]) == ("none", None, [])
    told = {why["rule"] for one in found["cautions"] for why in one["reasons"]}
    untold = {one["rule"] for one in found["not_told"]}
    assert told & ABOUT_THE_FREEZE == set()
    assert untold >= ABOUT_THE_FREEZE
    assert {one.partition("/")[0] for one in untold} >= {"cautions", "precautions", "calendar"}
    assert ways(found) == ["excise", "leave_alone"]


def test_a_thicker_ear_hears_of_them(answer):
    found = answer(lesion={**THIN_EAR, "thickness_mm": 2, "base_width_mm": 2, "height_mm": 1})

    assert found["method"]["applicator"] == "foam_tip"
    assert {why["rule"] for one in found["cautions"] for why in one["reasons"]} >= ABOUT_THE_FREEZE
