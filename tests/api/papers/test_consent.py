"""The points of consent, each with a box to tick, and lines to sign."""

import pytest

from api.papers.consent import ON_CONSENT
from decision.folder_reading import read_rule_folder, shipped_rules
from tests.api.papers.conftest import FORBIDDEN, a_case


def sections(paper):
    return {one.title: one for one in paper.shown}


def test_cautions_and_what_is_usual_are_ticked_off(paper, visit_book):
    case = a_case(site="eyelid_skin")
    shown = sections(paper("consent", case))

    assert [point.text for point in shown["About this patient"].points] == ["The eye is near."]
    assert [point.text for point in shown["Usual afterwards"].points] == ["A crust is normal."]
    assert shown["About this patient"].ticks


def test_what_is_planned_is_named(paper):
    rows = {row.label: row.value for row in sections(paper("consent", a_case()))["What is planned"].rows}

    assert rows["Frozen with"].startswith("A cone, 8 mm across")
    assert rows["Freezes in one visit"] == "2 at most"
    assert rows["Taken to be"] == "not named"


def test_signatures_are_blanks(paper):
    signed = sections(paper("consent", a_case()))["Signed"]

    assert [(row.value, bool(row.blank)) for row in signed.rows] == [("", True)] * 3


def test_without_a_planned_freeze_there_is_nothing_to_consent_to(paper, text_of):
    paper_ = paper("consent", FORBIDDEN)

    assert paper_.title == "Nothing to consent to: no freeze is planned"
    assert "What is planned" not in sections(paper_)
    assert "crust" not in text_of(paper_)


def test_the_rule_that_names_the_points_of_consent_is_shipped():
    assert read_rule_folder(shipped_rules()).rule(*ON_CONSENT.split("/")) is not None


@pytest.mark.parametrize(
    ("species", "said"),
    [
        ("dog", "Measured in this species, not with this kind of cryogen."),
        ("rabbit", "Measured in dogs and cats, not in this species; not with this kind of cryogen."),
    ],
)
def test_a_point_of_consent_says_in_which_species_it_was_counted(paper, shipped, species, said):
    case = {**shipped.long_case, "patient": {**shipped.long_case["patient"], "species": species}}

    (point,) = sections(paper("consent", case, shipped.book))["To be told"].points

    assert "pain" in point.detail
    assert point.detail.endswith(said)


def test_a_point_of_consent_without_a_source_claims_no_measurement(paper, text_of):
    assert "easured in" not in text_of(paper("consent", a_case()))
