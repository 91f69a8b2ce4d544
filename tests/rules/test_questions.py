"""The questions: a routine wart settles within ten of them, and each can be put to a vet as it stands."""

from __future__ import annotations

import datetime
import re

import pytest

from decision.folder_reading import read_rule_folder, shipped_rules

TODAY = datetime.date(2026, 11, 24)
MOST_FURTHER_FACTS = 10

# What the practice's program knows before anybody asks: the header of the record, two ticks, and the shelf.
HEADER = {"species": "dog", "age_years": 4, "weight_kg": 9}
PROFILE = {
    "cryogen": "dimethyl_ether_propane",
    "cone_bores_mm": [5, 8, 12],
    "foam_tips_mm": [3, 5],
    "canister_temperature": "room",
    "canister_expired": False,
    "oxygen_or_ignition_near": False,
    "room_ventilated": True,
}

# A single wart on the neck of a healthy terrier: what the vet answers, in the order in which the book asks.
CONVERSATION = {
    "known_diagnosis": "papilloma",
    "site": "neck",
    "diagnosis_basis": "appearance",
    "base_width_mm": 4,
    "lesion_kind": "frond_wart",
    "under_skin": "muscle_or_fat",
    "change_4_weeks": "none",
    "surface": "intact",
    "colour": "skin",
    "height_mm": 3,
}
# What is asked after the verdict, for the applicator and the plan.
AFTERWARDS = {
    "site_can_be_level": True,
    "seals_all_round": True,
    "tissue_will_be_submitted": False,
    "brachycephalic": False,
    "sedation_planned": False,
    "stays_still_30_s": "yes",
    "weeks_present": 20,
    "problem_caused": "bleeds",
    "neutered": True,
}
UNITS = {
    "mm": "millimetre",
    "kg": "kilogram",
    "years": "year",
    "weeks": "week",
    "days": "day",
    "s": "second",
    "lesions": "lesion",
    "sessions": "session",
    "freezes": "freeze",
    "cycles": "freeze",
}
NOT_PLAIN = re.compile(r"_|\b(boolean|enum|null|true|false|input|parameter|field|value|code|e\.g|i\.e|etc)\b", re.I)
LONGEST_QUESTION = 120

FOLDER = read_rule_folder(shipped_rules())
ASKED = [one for one in FOLDER.vocabulary.inputs.values() if not one.derived]


@pytest.fixture(scope="module")
def book(shipped_book):
    return shipped_book


def case_of(facts):
    """The case once some questions have been answered."""
    of_patient = {name: one for name, one in facts.items() if FOLDER.vocabulary.inputs[name].about == "patient"}
    of_lesion = {name: one for name, one in facts.items() if name not in of_patient}
    return {
        "as_of": TODAY.isoformat(),
        "patient": {**HEADER, **of_patient, "ruled_out": ["general_health"]},
        "lesions": [{"lesion_id": "neck", **of_lesion, "ruled_out": ["lesion_signs"]}],
        "equipment": PROFILE,
        "operator": {"practice_freezes_done": 25},
    }


def answer_to(book, facts):
    """What the book says of the lesion now."""
    return book.recommend(book.read(case_of(facts), today=TODAY))["lesions"][0]


def conversation(book, sheet, *, until):
    """Answer the first question each time; every answer of the book on the way, the first before any question."""
    facts = {}
    heard = [answer_to(book, facts)]
    while not until(heard[-1]) and heard[-1]["ask_next"]:
        name = heard[-1]["ask_next"][0]["input"]
        facts[name] = sheet[name]
        heard.append(answer_to(book, facts))
    return facts, heard


def settled(lesion):
    return lesion["suitability"]["settled"]


def test_a_routine_wart_settles_within_ten_further_facts(book):
    facts, heard = conversation(book, CONVERSATION | AFTERWARDS, until=settled)

    assert len(facts) <= MOST_FURTHER_FACTS
    assert (heard[-1]["suitability"]["verdict"], settled(heard[-1])) == ("suitable", True)


def test_the_whole_conversation_of_a_routine_wart(book):
    facts, heard = conversation(book, CONVERSATION | AFTERWARDS, until=settled)

    assert list(facts.items()) == list(CONVERSATION.items())
    assert [one["suitability"]["verdict"] for one in heard] == [None] * len(CONVERSATION) + ["suitable"]


def test_nothing_is_permitted_while_a_question_is_open(book):
    _, heard = conversation(book, CONVERSATION | AFTERWARDS, until=settled)

    assert {one["suitability"]["could_become"] for one in heard[:-1]} == {"do_not_freeze"}
    assert [one["method"] for one in heard[:-1]] == [None] * len(CONVERSATION)


def test_no_question_is_put_twice_and_none_about_what_is_known(book):
    known = HEADER.keys() | PROFILE.keys() | {"practice_freezes_done"}

    facts, heard = conversation(book, CONVERSATION | AFTERWARDS, until=lambda one: one["status"] == "success")

    for place, lesion in enumerate(heard):
        asked = {question["input"] for question in lesion["ask_next"]}
        assert asked & (known | set(list(facts)[:place])) == set()


def test_the_conversation_goes_on_to_an_applicator_and_a_plan(book):
    _, heard = conversation(book, CONVERSATION | AFTERWARDS, until=lambda one: one["status"] == "success")

    assert heard[-1]["method"]["applicator"] == "cone"
    assert heard[-1]["plan"]["contact_s"] == {"low": 20, "high": 25}
    assert all(heard[-1]["plan"][name] is not None for name in ("cycles", "fill_depth_mm", "halo_mm"))


@pytest.mark.parametrize("one", ASKED, ids=lambda one: one.name)
def test_a_question_can_be_put_to_a_vet_as_it_stands(one):
    question = one.question

    assert question[0].isupper()
    assert question.endswith("?")
    assert question.count("?") == 1
    assert NOT_PLAIN.search(question) is None
    assert len(question) <= LONGEST_QUESTION


@pytest.mark.parametrize("one", [one for one in ASKED if one.unit], ids=lambda one: one.name)
def test_a_question_for_a_number_names_its_unit(one):
    assert UNITS[one.unit] in one.question


@pytest.mark.parametrize("one", [one for one in ASKED if one.type == "code"], ids=lambda one: one.name)
def test_every_allowed_answer_is_in_plain_words(one):
    assert len(set(one.allowed.values())) == len(one.allowed)
    assert all(words and "_" not in words for words in one.allowed.values())
