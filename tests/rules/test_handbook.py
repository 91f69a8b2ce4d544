"""The committed handbook is the one that the shipped rules make, and all of it can be read."""

from __future__ import annotations

import re

import pytest

from decision.folder_reading import read_rule_folder, shipped_rules
from decision.handbook.book import HANDBOOK, handbook_differs, handbook_text
from decision.handbook.rule_text import rule_anchor

LARGEST_BYTES = 1_500_000  # above 2 MB, forges tend to show such a page as plain text or not at all


@pytest.fixture(scope="module")
def folder():
    return read_rule_folder(shipped_rules())


@pytest.fixture(scope="module")
def text(folder):
    return handbook_text(folder)


def test_the_committed_handbook_is_what_the_rules_make(folder):
    found = handbook_differs(shipped_rules() / HANDBOOK, folder)

    assert found == "", f"The handbook differs from the rules. Run: thawline handbook\n{found}"


def test_every_rule_appears_once(text, folder):
    places = re.findall(r'<a id="([^"]+)"></a>', text)
    rules = [rule for rules in folder.rules.values() for rule in rules]

    assert [rule.id for rule in rules if places.count(rule_anchor(rule)) != 1] == []
    assert len(places) == len(set(places))


def test_every_link_leads_somewhere(text):
    assert set(re.findall(r"\]\(#([^)]+)\)", text)) - set(re.findall(r'<a id="([^"]+)"></a>', text)) == set()


def test_every_rule_says_what_it_rests_on(text, folder):
    assert text.count("\n**Evidence:** ") == sum(len(rules) for rules in folder.rules.values())


def test_the_handbook_is_small_enough_to_be_shown_as_a_page(text):
    assert len(text.encode()) < LARGEST_BYTES
