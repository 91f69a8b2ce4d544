"""Whole visits through the shipped rules: one invented animal before the freeze, during it and until it has healed.

Each file under tests/cases/visits has a title, what it is about, the case before the freeze with what is expected of
its lesion, and then each review of a cycle and each review of healing with the answer expected.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from decision.strict_yaml import read_yaml

VISITS = sorted((Path(__file__).parent / "cases" / "visits").glob("*.yaml"))
TODAY = datetime.date(2026, 11, 24)
PERMISSIONS = ("suitable", "suitable_with_care")


@pytest.fixture(scope="module")
def book(shipped_book):
    return shipped_book


def read(path):
    """The content of a visit; it is written as strictly as a rule."""
    document, faults = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
    assert faults == []
    return document.data


def before_of(book, visit):
    """The answer for the lesion of a visit before it is frozen."""
    (lesion,) = book.recommend(book.read(visit["before"]["case"], today=TODAY))["lesions"]
    return lesion


def reviews_of(book, visit, moment):
    """The answers of all reviews of a visit at one moment."""
    review = {"during": book.review_cycle, "after": book.review_healing}[moment]
    return [review(book.read(one["case"], today=TODAY, moment=moment)) for one in visit[moment]]


def expected_of(visit, moment):
    return [one["expect"]["answer"] for one in visit[moment]]


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_a_visit_file_says_what_it_is_and_what_is_expected(path):
    visit = read(path)

    assert list(visit) == ["title", "about", "before", "during", "after"]
    assert all(set(one) == {"case", "expect"} for one in [visit["before"], *visit["during"], *visit["after"]])
    assert all(list(one["expect"]) == ["answer"] for one in [*visit["during"], *visit["after"]])


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_the_lesion_of_a_visit_may_be_frozen(book, path):
    visit = read(path)
    (expected,) = visit["before"]["expect"]
    lesion = before_of(book, visit)

    found = {"lesion_id": lesion["lesion_id"], **{key: lesion["suitability"][key] for key in ("verdict", "settled")}}

    assert found == {key: expected[key] for key in found}
    assert found["verdict"] in PERMISSIONS


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_the_owner_of_a_visit_takes_aftercare_and_dates_home(book, path):
    lesion = before_of(book, read(path))

    assert {one["kind"] for one in lesion["aftercare"]} == {"normal", "care", "red_flag"}
    assert {"recheck", "retreat_decision", "not_again_before"} <= {one["milestone"] for one in lesion["calendar"]}


@pytest.mark.parametrize("moment", ["during", "after"])
@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_each_review_of_a_visit_is_answered_as_its_author_expects(book, path, moment):
    visit = read(path)

    found = [one["review"]["answer"] for one in reviews_of(book, visit, moment)]

    assert found == expected_of(visit, moment)


@pytest.mark.parametrize("moment", ["during", "after"])
@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_each_review_of_a_visit_is_settled_by_what_is_stated(book, path, moment):
    assert [one["review"]["settled"] for one in reviews_of(book, read(path), moment)] == [
        True for _ in read(path)[moment]
    ]


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_no_cycle_is_repeated_at_the_ceiling_of_the_plan(book, path):
    for one, review in zip(read(path)["during"], reviews_of(book, read(path), "during"), strict=True):
        again = review["review"]["answer"] == "repeat_cycle"

        assert not again or one["case"]["cycle"]["cycle_number"] < review["planned_cycles"]


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_each_review_of_a_visit_says_what_to_do(book, path):
    visit = read(path)

    assert all(one["next_time"] for one in reviews_of(book, visit, "during"))
    assert all(one["calendar"] for one in reviews_of(book, visit, "after"))


def test_the_visits_reach_every_answer_of_both_reviews(book):
    reached = {
        answer for path in VISITS for moment in ("during", "after") for answer in expected_of(read(path), moment)
    }
    ladders = [node for node in book.folder.decisions if node.name in ("cycle_review", "healing_review")]

    assert reached == {answer for node in ladders for answer in node.answers}


def test_there_are_six_visits_at_least():
    assert len(VISITS) >= 6
