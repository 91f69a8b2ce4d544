"""The note for the chart: found, decided, done, why, planned; what is not known is a blank."""

import pytest

from tests.api.papers.conftest import FORBIDDEN, a_case, a_cycle


@pytest.fixture
def note(paper):
    """The rows of a section of the note, by label."""

    def rows(title, case=None, **more):
        written = paper("chart-note", a_case() if case is None else case, **more)
        section = next(one for one in written.sections if one.title == title)
        return {row.label: row.value or f"[{row.blank}]" for row in section.rows}

    return rows


def test_what_was_found_is_every_stated_fact_in_words(note):
    found = note("Found")

    assert {"Site": "trunk", "Base width": "4 mm", "Species": "dog"}.items() <= found.items()
    assert found["Lesion signs"] == "checked, none of: infected, swells"


def test_side_place_and_photograph_are_blanks_until_they_are_stated(note):
    stated = {"side": "left", "photo": "taken"}

    assert {"Side": "[side]", "Exact place": "[exact_place]", "Photograph": "[photo]"}.items() <= note("Found").items()
    assert {"Side": "left", "Photograph": "taken, with a scale"}.items() <= note("Found", chart=stated).items()


def test_the_verdict_and_the_plan_stand_in_it(note):
    assert note("Decided")["Verdict"] == "may be frozen"
    assert note("Planned")["Hold on the skin"] == "20 to 25 s"


def test_a_cycle_that_is_not_stated_yet_is_a_section_of_blanks(note):
    assert note("Done: cycle 1") == {
        "Applicator used": "[cycle_1_applicator_used]",
        "Contact diameter": "[cycle_1_contact_diameter_mm]",
        "Fill reached": "[cycle_1_fill_reached_mm]",
        "Contact seconds": "[cycle_1_contact_seconds]",
        "Observed thaw": "[cycle_1_observed_thaw_s]",
    }


def test_each_cycle_has_bore_fill_hold_and_thaw_beside_its_band_and_its_review(note):
    done = note("Done: cycle 2", cycles=[a_cycle(), a_cycle(cycle_number=2, contact_seconds=25)])

    assert list(done.items())[:5] == [
        ("Applicator used", "cone"),
        ("Contact diameter", "5 mm"),
        ("Fill reached", "5.5 mm"),
        ("Contact seconds", "25 s"),
        ("Observed thaw", "36 s"),
    ]
    assert "middle" in done["Thaw computed for it"]
    assert done["Review"] == "enough"


def test_the_place_in_the_list_says_which_freeze_it_was(note):
    unnumbered = {name: value for name, value in a_cycle().items() if name != "cycle_number"}

    reviews = [note(f"Done: cycle {number}", cycles=[unnumbered] * 2)["Review"] for number in (1, 2)]

    assert reviews == ["repeat it", "enough"]


def test_the_canister_and_who_froze_are_there(note):
    with_what = note("With what", chart={"canister_lot": "L2611-07", "canister_expires": "2028-06"})

    assert with_what == {
        "Frozen by": "[frozen_by]",
        "Cryogen": "an ether mixture",
        "Canister, lot": "L2611-07",
        "Canister, expires": "June 2028",
    }


def test_tissue_is_a_blank_until_it_is_stated(note):
    assert note("Tissue") == {"Tissue": "[tissue]"}
    assert note("Tissue", chart={"tissue": "submitted"}) == {"Tissue": "submitted"}


def test_every_reason_names_its_rule_and_its_evidence(paper):
    written = paper("chart-note", a_case())
    why = next(one for one in written.sections if one.title == "Why")

    assert "very low certainty; common practice, no source; suitability/freeze_a_small_one" in [
        point.detail for point in why.points
    ]


def test_the_recheck_stands_with_the_holidays_that_moved_it(note):
    assert note("Next")["Recheck"] == (
        "Tuesday 29 December 2026; 2026-12-25 is Christmas Day; 2026-12-28 is Boxing Day (observed)"
    )


def test_without_a_freeze_nothing_is_planned_done_or_sprayed(paper):
    shown = [one.title for one in paper("chart-note", FORBIDDEN).shown]

    assert not {"Planned", "Done: cycle 1", "With what", "Next"} & set(shown)


def test_a_freeze_that_was_done_against_the_verdict_is_recorded_all_the_same(note):
    assert note("Done: cycle 1", case=FORBIDDEN, cycles=[a_cycle()])["Contact seconds"] == "20 s"


def test_no_two_blanks_have_one_name(paper):
    written = paper("chart-note", a_case(), cycles=[{}, {}])

    rows = [*written.head, *(row for section in written.sections for row in section.rows)]
    names = [row.blank for row in rows if row.blank and not row.value]
    assert len(names) == len(set(names))


def test_the_digests_of_case_and_conclusion_stand_in_small_print(paper, visit_book):
    answer = visit_book.recommend(a_case())

    small = " ".join(paper("chart-note", a_case()).small_print)

    for digest in (answer["case_digest"], answer["conclusion_digest"], visit_book.digest):
        assert digest in small


def test_a_reason_from_another_species_says_so_beside_its_certainty(paper, shipped):
    lesion = {**shipped.long_case["lesions"][0], "diagnosis_basis": "cytology"}
    written = paper("chart-note", {**shipped.long_case, "lesions": [lesion]}, shipped.book)
    why = next(one for one in written.sections if one.title == "Why")

    (said,) = (point.detail for point in why.points if "sampled_to_five" in point.detail)

    assert "measured in dogs and cats, not in this species; not with this kind of cryogen" in said


def test_the_recheck_of_a_region_whose_holidays_are_not_known_says_so(note):
    case = {**a_case(), "region": "ZZ"}

    assert note("Next", case)["Recheck"] == (
        "Friday 25 December 2026; public holidays not known, look whether it is one"
    )
