"""Whole patients through the shipped rules: the routine ones can be treated, the traps cannot.

Each file under tests/cases has a title, what it is about, the case, and what is expected of each lesion: the verdict
(one, or one of several; null for none), whether it is settled, and where it matters the applicator. A published case
has the publication too, what it reported, which facts were filled in, and why that verdict: several verdicts say how
far either way still passes, for to refuse what was treated well is as wrong as to freeze what was refused.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from decision.strict_yaml import read_yaml

CASES = Path(__file__).parent / "cases"
FILES = sorted(path for path in CASES.rglob("*.yaml") if not path.is_relative_to(CASES / "visits"))  # test_visits.py
ROUTINE = [path for path in FILES if path.is_relative_to(CASES / "routine")]
TRAPS = [path for path in FILES if path.is_relative_to(CASES / "traps")]
DEMO = [path for path in FILES if path.is_relative_to(CASES / "demo")]
PUBLISHED = [path for path in FILES if path.is_relative_to(CASES / "published")]
TODAY = datetime.date(2026, 11, 24)
PERMISSIONS = ("suitable", "suitable_with_care")
FIELDS = {"lesion_id", "verdict", "settled", "method"}
ADDED = ("ruled_out (general_health)", "ruled_out (lesion_signs)", "equipment", "operator")
PARTS = ["title", "about", "case", "expect"]
PARTS_OF_PUBLISHED = ["title", "about", "citation", "reported", "filled_in", "case", "expect", "because"]


@pytest.fixture(scope="module")
def book(shipped_book):
    return shipped_book


def of(path):
    """Name a case by its path under the folder of cases."""
    return path.relative_to(CASES).with_suffix("").as_posix()


def read(path):
    """The content of a case file; it is written as strictly as a rule."""
    document, faults = read_yaml(path.read_text(encoding="utf-8"), file=of(path))
    assert faults == []
    return document.data


def lesions_of(book, path):
    """The answer for each lesion of a case."""
    return book.recommend(book.read(read(path)["case"], today=TODAY))["lesions"]


def found_in(lesion, expected):
    """What was found for a lesion, in the fields that are expected of it."""
    suitability, method = lesion["suitability"], lesion["method"] or {}
    found = {
        "lesion_id": lesion["lesion_id"],
        "verdict": suitability["verdict"],
        "settled": suitability["settled"],
        "method": method.get("applicator"),
    }
    return {name: found[name] for name in expected}


def one_of(expected, found):
    """The expected fields, with the verdict that was found where it is among several expected ones."""
    several = expected["verdict"] if isinstance(expected["verdict"], list) else [expected["verdict"]]
    return {**expected, "verdict": found["verdict"] if found["verdict"] in several else expected["verdict"]}


@pytest.mark.parametrize("path", FILES, ids=of)
def test_a_case_is_answered_as_its_author_expects(book, path):
    expected = read(path)["expect"]

    found = [found_in(lesion, one) for lesion, one in zip(lesions_of(book, path), expected, strict=True)]

    assert found == [one_of(*pair) for pair in zip(expected, found, strict=True)]


@pytest.mark.parametrize("path", FILES, ids=of)
def test_a_case_file_says_what_it_is_and_what_is_expected(path):
    content = read(path)

    assert list(content) == (PARTS_OF_PUBLISHED if path in PUBLISHED else PARTS)
    assert all({"lesion_id", "verdict", "settled"} <= set(one) <= FIELDS for one in content["expect"])


@pytest.mark.parametrize("path", ROUTINE, ids=of)
def test_a_routine_lesion_may_be_frozen_with_a_method_and_a_plan(book, path):
    for lesion in lesions_of(book, path):
        suitability, method = lesion["suitability"], lesion["method"]

        assert (suitability["verdict"] in PERMISSIONS, suitability["settled"]) == (True, True)
        assert method is not None
        assert method["applicator"] in ("cone", "foam_tip")
        assert lesion["plan"] is not None


@pytest.mark.parametrize("path", TRAPS, ids=of)
def test_a_trap_is_never_frozen(book, path):
    for lesion in lesions_of(book, path):
        assert lesion["suitability"]["verdict"] not in PERMISSIONS
        assert (lesion["method"], lesion["plan"]) == (None, None)


@pytest.mark.parametrize("path", TRAPS, ids=of)
def test_a_trap_says_what_to_do_instead(book, path):
    assert [lesion["lesion_id"] for lesion in lesions_of(book, path) if not lesion["alternatives"]] == []


@pytest.mark.parametrize("name", ["wide_sarcoid_suspect", "grey_horse_dark_tail_by_cytology", "cow_eye_mass"])
def test_what_no_needle_should_touch_is_only_referred(book, name):
    (lesion,) = lesions_of(book, CASES / "traps" / f"{name}.yaml")

    assert {one["what"] for one in lesion["alternatives"]} == {"refer"}


@pytest.mark.parametrize("path", PUBLISHED, ids=of)
def test_a_published_case_names_its_source_and_every_fact_that_it_adds(book, path):
    content = read(path)
    stated = [*content["case"]["patient"], *content["case"]["lesions"][0]]

    assert content["citation"] in book.folder.sources
    assert set(content["filled_in"]) <= {*stated, *ADDED}
    assert content["because"].strip().endswith(".")


def test_published_cases_hold_the_book_from_both_sides():
    expected = [one["verdict"] for path in PUBLISHED for one in read(path)["expect"]]
    several = [{*one} if isinstance(one, list) else {one} for one in expected]

    assert len(PUBLISHED) >= 25
    assert sum(one <= set(PERMISSIONS) for one in several) >= 10  # a drift to refusal fails
    assert sum(not one & set(PERMISSIONS) for one in several) >= 10  # a drift to permission fails


def test_there_are_six_routine_presentations_and_six_traps_at_least():
    assert (len(ROUTINE) >= 6, len(TRAPS) >= 6) == (True, True)


def test_the_demo_shows_each_kind_of_patient():
    shown = {read(path)["case"]["patient"].get("species") for path in DEMO}

    assert {"dog", "cat", "horse", "cattle", "rabbit"} <= shown
    assert len(DEMO) >= 6


def test_the_demo_shows_a_case_that_cannot_be_answered_yet():
    assert None in [one["verdict"] for path in DEMO for one in read(path)["expect"]]
