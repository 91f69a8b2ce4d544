"""A conclusion holds verdicts, numbers and dates; what is only said of them is no part of it."""

import copy
import datetime
from pathlib import Path

import pytest

import decision
from decision.conclusion import conclusion_of
from decision.reviewer.shelf import Shelf

FIRST, SECOND = 1, 2
TODAY = datetime.date(2026, 11, 24)
RULES = Path(decision.__file__).parents[1] / "rules"
# The cone's 8 mm and a fill of 3.2 mm: at 15 degrees the shallow side holds 2.13 mm, for 4.66 s.
SHALLOW_SIDE_REFUSED = {
    "as_of": "2026-11-24",
    "patient": {"species": "cat"},
    "lesions": [
        {
            "lesion_id": "a",
            "just_deroofed": False,
            "fixed_to_deep_tissue": False,
            "felt_below_skin": False,
            "indistinct_edge": False,
            "lymph_node_enlarged": False,
            "infected": False,
            "ringworm_or_parasite_suspected": False,
            "vesicles_or_erosions": False,
            "lesion_kind": "dome_nodule",
            "known_diagnosis": "basal_cell_tumour",
            "diagnosis_basis": "histology",
            "site": "nasal_planum",
            "base_width_mm": 4.0,
            "height_mm": 2.0,
            "change_4_weeks": "none",
            "site_can_be_level": True,
            "seals_all_round": True,
        }
    ],
    "equipment": {"cone_bores_mm": [5.0, 8.0, 12.0]},
}
# What the engine that 2026.11.0 was released with gave for that case.
DIGEST_AT_RELEASE = "sha-256:443dfb8aa2c5416439eb23572ab7dc0e3bf830aa89f8a891d81f294c3540ec0a"


@pytest.fixture(scope="module")
def release():
    shelf = Shelf(RULES)
    yield shelf.of("2026.11.0")
    shelf.close()


@pytest.fixture(scope="module")
def concluded(release):
    """A lesion's answer in which one side of a tilted pool is refused, and its run."""
    case = release.read(SHALLOW_SIDE_REFUSED, today=TODAY)
    return release.recommend(case)["lesions"][0], next(release.runs(case))


def sides(answer):
    return answer["estimate"]["by_applicator"][0]["tilted"]["by_side"]


def saying(answer, refused):
    other = copy.deepcopy(answer)
    sides(other)["shallow"]["refused"] = refused
    return other


def test_why_a_side_has_no_band_is_no_part_of_a_conclusion(concluded):
    answer, run = concluded

    in_other_words = conclusion_of(saying(answer, "In other words."), run, SECOND)

    assert b"other words" not in in_other_words and b"contact_s is" not in in_other_words
    assert in_other_words == conclusion_of(answer, run, SECOND)


@pytest.mark.parametrize("name", ["depth_mm", "contact_s", "ice_depth_mm", "depth_minus25_mm"])
def test_every_number_of_a_side_is_part_of_a_conclusion(concluded, name):
    answer, run = concluded
    other = copy.deepcopy(answer)
    sides(other)["deep"][name] = 77.5

    assert conclusion_of(other, run, SECOND) != conclusion_of(answer, run, SECOND)


def test_under_the_first_contract_the_words_of_a_side_are_concluded_as_they_were(concluded):
    answer, run = concluded

    assert b"contact_s is 4.66; it must be from 5 to 40 s." in conclusion_of(answer, run, FIRST)
    assert conclusion_of(saying(answer, "In other words."), run, FIRST) != conclusion_of(answer, run, FIRST)


def test_the_first_release_concludes_a_refused_side_as_when_it_was_released(release):
    answer = release.recommend(release.read(SHALLOW_SIDE_REFUSED, today=TODAY))

    assert release.answer_contract == FIRST
    assert answer["conclusion_digest"] == DIGEST_AT_RELEASE
