"""The page of one rule: the words of the handbook, and what they rest on."""

from __future__ import annotations

import re

import pytest

from decision.handbook.book import handbook_text
from decision.handbook.rule_page import rule_page
from decision.rule_folder import read_rule_folder
from tests.small_folder import small_files, write

WIDE = "suitability/sample_a_wide_one.yaml"


def page(tmp_path, name=WIDE, **evidence):
    """The page of a small rule whose evidence was changed."""
    files = small_files()
    files[name]["evidence"] |= evidence
    folder = read_rule_folder(write(tmp_path / "rules", files))
    return rule_page(folder.rule(*name.removesuffix(".yaml").split("/")), folder)


@pytest.fixture
def wide(tmp_path):
    return page(tmp_path)


def test_a_page_has_the_words_of_the_handbook(small_folder):
    handbook = handbook_text(small_folder)

    for rules in small_folder.rules.values():
        for rule in rules:
            said = rule_page(rule, small_folder).partition("\n\n")[2].partition("\n\n## ")[0]
            assert said in handbook, rule.id


def test_conditions_exception_and_conclusion_read_in_that_order(wide):
    assert (
        "**When this is true:**\n\n- [base width](#fact-base-width-mm) is at least 10 mm\n\n"
        "**Unless this is true:**\n\n- [sampled](#fact-sampled): yes\n\n"
        "**Then:** The verdict is “take a sample first”.\n\n"
    ) in wide


def test_several_conditions_must_all_be_true(tmp_path):
    assert "**When all of these are true:**" in page(tmp_path, "suitability/freeze_a_small_one.yaml")


def test_the_exception_is_left_out_where_there_is_none(tmp_path):
    assert "Unless" not in page(tmp_path, "suitability/watch_the_ear.yaml")


def test_the_facts_asked_about_stand_below_with_their_questions(wide):
    facts = wide.partition("## The facts it asks about")[2]

    assert "**base width**: How much is it, measured? Answers: from 0.5 to 300 mm." in facts
    assert "**sampled**: Is it so, or not? Computed from: [diagnosis basis](#fact-diagnosis-basis), " in facts


def test_every_link_of_a_page_leads_to_a_place_on_it(small_folder):
    for rules in small_folder.rules.values():
        for rule in rules:
            text = rule_page(rule, small_folder)
            assert set(re.findall(r"\]\(#([^)]+)\)", text)) <= set(re.findall(r'<a id="([^"]+)"', text)), rule.id


def test_a_presumed_fact_says_so(tmp_path):
    text = page(tmp_path, "cautions/say_that_it_is_pregnant.yaml")

    assert "On the check list of the patient. Presumed: no. A rare condition." in text


def test_a_rule_without_a_source_says_so_once(tmp_path):
    text = page(tmp_path, limits="This is common practice, no source.")

    assert "**Evidence:** very low certainty, good practice. Common practice, no source.\n" in text
    assert text.count("no source") == 1
    assert "What it rests on" not in text


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
    text = page(tmp_path, citations=["smith_2020"], species_direct=species, cryogen_direct=cryogen)

    assert f"Sources ({said}): [smith_2020](#source-smith-2020)." in text


def test_a_cited_source_stands_below_with_what_was_measured_and_read(tmp_path):
    source = page(tmp_path, citations=["smith_2020"], strength="conditional").partition("## What it rests on")[2]

    assert "**smith_2020**: Smith A. A source invented for tests. Nowhere, 2020." in source
    assert "- Evidence level 4 of 5 (1 is best): case series.\n- Species: dog. Cryogen: none.\n" in source
    assert source.endswith("- Nothing was measured.\n- Read in full.\n")


def test_the_last_revision_and_the_reviewer_are_named(tmp_path):
    files = small_files()
    files[WIDE]["maintenance"]["revisions"].append({"version": 2, "date": "2026-12-01", "note": "Wider."})
    files[WIDE]["maintenance"]["specialist"] = "A. Vet"
    folder = read_rule_folder(write(tmp_path / "rules", files))

    text = rule_page(folder.rule("suitability", "sample_a_wide_one"), folder)

    assert "**Last revised** 2026-12-01, version 2. Standing: testing, A. Vet." in text
