"""The page on the safety of people: every subject that it must speak of, and flammability by cryogen."""

from __future__ import annotations

import pytest

from decision.folder_reading import read_rule_folder, shipped_rules
from decision.handbook.rule_in_words import rule_as_data
from decision.handbook.topic_page import topic_page

SUBJECTS = {
    "Storage": "below 50 C",
    "Heat": "Never heat it",
    "In a vehicle": "out of the vehicle",
    "Flame, spark and oxygen": "source of ignition",
    "Air in the room": "Open a window",
    "Gloves and eyes": "gloves and eye protection",
    "First aid for a cold burn": "water of at most 40 C",
    "Spent canisters": "Do not pierce",
    "Transport": "transport rules",
}
BURNS = {
    "an ether and hydrocarbon aerosol": "burn in air",
    "a tetrafluoroethane aerosol": "does not burn in the open",
    "nitrous oxide": "does not burn but feeds every fire",
    "carbon dioxide": "Neither burns",
    "liquid nitrogen": "Neither burns",
}


@pytest.fixture(scope="module")
def page():
    folder = read_rule_folder(shipped_rules())
    return topic_page(folder.pages["safety_of_people"], folder, rule_as_data)


@pytest.fixture(scope="module")
def said(page):
    """The advice and explanation of every rule of the page, by its id."""
    rules = [rule for part in page["parts"] for rule in part["rules"]]
    return {rule["id"]: " ".join([*rule["then"], rule["explanation"]]) for rule in rules}


@pytest.mark.parametrize(("subject", "words"), SUBJECTS.items())
def test_the_page_speaks_of_every_subject(page, said, subject, words):
    (part,) = [one for one in page["parts"] if one["title"] == subject]

    assert any(words in said[rule["id"]] for rule in part["rules"])


@pytest.mark.parametrize(("cryogen", "words"), BURNS.items())
def test_the_page_says_of_every_cryogen_whether_it_burns(page, said, cryogen, words):
    (concern,) = [one for one in page["concerns"] if one["words"] == cryogen]
    (part,) = [one for one in concern["parts"] if one["title"] == "Flame, spark and oxygen"]

    assert any(words in said[rule] for rule, _ in part["rules"])


def test_there_is_first_aid_for_a_cold_burn_whatever_the_cryogen(page, said):
    (part,) = [one for one in page["parts"] if "cold burn" in one["title"]]
    whatever = [rule["id"] for rule in part["rules"] if all(one["input"] != "cryogen" for one in rule["when"])]

    assert any("water of at most 40 C" in said[rule] for rule in whatever)
