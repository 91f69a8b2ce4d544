"""Holding the engine to its ranges while more and more of a case is stated."""

import pytest

from decision.verification.answer_boxes import AnswerBoxes
from decision.verification.learning import learned
from decision.verification.rule_boxes import RuleBoxes
from decision.verification.witness import Witness


class Forgetful(Witness):
    """A stand-in for an engine that becomes less sure the more it is told."""

    def answer(self, case, moment):
        found = super().answer(case, moment)
        if len(case) > 6:
            found["suitability"]["could_become"] = "do_not_freeze"
            found["suitability"]["without_presumptions"] = {"at_least": None, "could_become": "do_not_freeze"}
        return found


def learned_of(book, engine, name="suitability"):
    boxes = RuleBoxes(book.folder)
    answers = AnswerBoxes(book.folder, boxes)
    return learned(book, answers, answers.ladders[name], engine(book, boxes, 1))


@pytest.mark.parametrize("name", ["suitability", "cycle_review", "healing_review"])
def test_no_range_of_the_shipped_ladders_grows_when_more_is_stated(shipped_book, name):
    check = learned_of(shipped_book, Witness, name)

    assert not check.counterexamples
    assert check.claims > 100
    assert check.replayed == 4 * check.claims


def test_a_range_that_grows_when_more_is_stated_is_found(small_book):
    check = learned_of(small_book, Forgetful)

    assert check.counterexamples
    assert check.counterexamples[0].shows.startswith("the range ")
    assert not check.proved


def test_it_is_said_to_be_held_on_cases_and_not_to_cover_every_case(small_book):
    assert not learned_of(small_book, Witness).exact
