"""What the handbook says of one rule, of a fact and of a source."""

from __future__ import annotations

import pytest

from decision.folder_reading import read_rule_folder
from decision.handbook.book import handbook_text
from decision.handbook.rule_in_words import rule_as_data
from decision.handbook.rule_text import fact_entry, rule_text, source_entry
from decision.rule_folder import all_inputs
from tests.small_folder import small_files, write

WIDE = "suitability/sample_a_wide_one.yaml"


def folder_with(tmp_path, name=WIDE, **evidence):
    """The small folder, in which the evidence of a rule was changed, and that rule."""
    files = small_files()
    files[name]["evidence"] |= evidence
    folder = read_rule_folder(write(tmp_path / "rules", files))
    return folder, folder.rule(*name.removesuffix(".yaml").split("/"))


def text(tmp_path, name=WIDE, **evidence):
    """What the handbook says of a small rule whose evidence was changed."""
    folder, rule = folder_with(tmp_path, name, **evidence)
    return "\n\n".join(rule_text(rule_as_data(rule, folder)))


@pytest.fixture
def wide(tmp_path):
    return text(tmp_path)


def test_the_handbook_has_this_text_of_every_rule(small_folder):
    handbook = handbook_text(small_folder)

    for rules in small_folder.rules.values():
        for rule in rules:
            assert "\n\n".join(rule_text(rule_as_data(rule, small_folder))) in handbook, rule.id


def test_conditions_exception_and_conclusion_read_in_that_order(wide):
    assert (
        "**When this is true:**\n\n- [base width](#fact-base-width-mm) is at least 10 mm\n\n"
        "**Unless this is true:**\n\n- [sampled](#fact-sampled): yes\n\n"
        "**Then:** The verdict is “take a sample first”.\n\n"
    ) in wide


def test_several_conditions_must_all_be_true(tmp_path):
    assert "**When all of these are true:**" in text(tmp_path, "suitability/freeze_a_small_one.yaml")


def test_the_exception_is_left_out_where_there_is_none(tmp_path):
    assert "Unless" not in text(tmp_path, "suitability/watch_the_ear.yaml")


def fact(folder, name):
    return fact_entry(all_inputs(folder)[name], folder)


def test_a_fact_has_its_question_its_answers_and_what_it_is_computed_from(small_folder):
    assert "**base width**: How much is it, measured? Answers: from 0.5 to 300 mm." in fact(
        small_folder, "base_width_mm"
    )
    assert "**sampled**: Is it so, or not? Computed from: [diagnosis basis](#fact-diagnosis-basis), " in fact(
        small_folder, "sampled"
    )


def test_a_presumed_fact_says_so(small_folder):
    assert "On the check list of the patient. Presumed: no. A rare condition." in fact(small_folder, "pregnant")


def test_a_rule_without_a_source_says_so_once(tmp_path):
    said = text(tmp_path, limits="This is common practice, no source.")

    assert "**Evidence:** very low certainty, good practice. Common practice, no source.\n" in said
    assert said.count("no source") == 1


@pytest.mark.parametrize(
    ("species", "cryogen", "said"),
    [
        (True, True, "measured in dogs, with this kind of cryogen"),
        (True, False, "measured in dogs, not with this kind of cryogen"),
        (False, True, "measured with this kind of cryogen, not in any species"),
        (False, False, "not measured in any species, nor with this kind of cryogen"),
    ],
)
def test_a_cited_source_says_how_direct_it_is(tmp_path, species, cryogen, said):
    found = text(tmp_path, citations=["smith_2020"], species_direct=species, cryogen_direct=cryogen)

    assert f"Sources ({said}): [smith_2020](#source-smith-2020)." in found


def test_a_source_says_what_was_measured_and_read(tmp_path):
    folder, _ = folder_with(tmp_path, citations=["smith_2020"], strength="conditional")

    source = source_entry("smith_2020", folder)

    assert "**smith_2020**: Smith A. A source invented for tests. Nowhere, 2020." in source
    assert "- Evidence level 4 of 5 (1 is best): case series.\n- Species: dog. Cryogen: none.\n" in source
    assert source.endswith("- Nothing was measured.\n- Read in full.")


def test_the_last_revision_and_the_reviewer_are_named(tmp_path):
    files = small_files()
    files[WIDE]["maintenance"]["revisions"].append({"version": 2, "date": "2026-12-01", "note": "Wider."})
    files[WIDE]["maintenance"]["specialist"] = "A. Vet"
    folder = read_rule_folder(write(tmp_path / "rules", files))

    said = rule_text(rule_as_data(folder.rule("suitability", "sample_a_wide_one"), folder))

    assert said[-1] == "**Last revised** 2026-12-01, version 2. Standing: testing, A. Vet."
