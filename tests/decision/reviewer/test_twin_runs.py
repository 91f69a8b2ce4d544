"""Two books run no more than where they can differ, and every whole run says that nothing was missed."""

import dataclasses
import datetime

import pytest

from decision.reviewer.twin_runs import TwinRuns
from decision.rule_book import RuleBook
from tests.benchmarks.practice_cases import practice_cases

TODAY = datetime.date(2026, 11, 24)
DECISIONS = ["suitability", "cautions", "method", "plan", "aftercare", "precautions"]


def changed(book, rules):
    """The book without some of its rules."""
    left = {name: tuple(one for one in listed if one.id not in rules) for name, listed in book.folder.rules.items()}
    return RuleBook(dataclasses.replace(book.folder, rules=left))


def verdicts(runs):
    return [run.ranges["suitability"] for run in runs]


def holding(run):
    return {rule.id for hits in run.hits.values() for rule in hits.held}


@pytest.fixture(scope="module", params=DECISIONS)
def books(request, shipped_book):
    """The shipped book, and one without every third rule of one decision."""
    gone = {rule.id for rule in shipped_book.folder.rules[request.param][::3]}
    fewer = changed(shipped_book, gone)
    yield shipped_book, fewer
    fewer.close()


@pytest.mark.parametrize("turned", [False, True], ids=["withdrawn", "added"])
def test_nothing_that_whole_runs_differ_in_is_missed(books, turned):
    before, after = books[::-1] if turned else books
    twins = TwinRuns(before, after, "before")
    for data in practice_cases(100, 7):
        case = before.read(data, today=TODAY)
        for place, whole in enumerate(zip(before.runs(case), after.runs(case), strict=True)):
            found = twins.runs((case, case), place)
            if found is None:
                assert verdicts(whole) == verdicts(whole[::-1])
                assert holding(whole[0]) == holding(whole[1])
            else:
                assert verdicts(found) == verdicts(whole)
                assert len({one.answer for one in verdicts(whole)}) > 1 or (
                    holding(found[0]) ^ holding(found[1]) == holding(whole[0]) ^ holding(whole[1])
                )
    twins.close()


def test_a_case_in_which_a_withdrawn_rule_fails_is_not_run(small_book, book_with, case_of):
    twins = TwinRuns(small_book, book_with({"suitability/watch_the_ear.yaml": None}), "before")
    on_the_trunk, on_the_ear = case_of(site="trunk"), case_of(site="pinna")

    assert twins.runs((on_the_trunk, on_the_trunk), 0) is None
    assert twins.runs((on_the_ear, on_the_ear), 0) is not None
    twins.close()


def test_books_with_the_same_rules_are_never_run(shipped_book):
    made = TwinRuns(shipped_book, shipped_book, "before")
    case = shipped_book.read(next(practice_cases(1, 9)), today=TODAY)

    assert made.runs((case, case), 0) is None
    made.close()


def test_another_order_of_the_answers_of_a_ladder_is_run(small_book, book_with, case_of):
    node = dict(small_book.folder.written["suitability/decision.yaml"])
    node["answers"] = dict(reversed(node["answers"].items()))
    made = TwinRuns(small_book, book_with({"suitability/decision.yaml": node}), "before")

    assert not made.same_facts
    made.close()
