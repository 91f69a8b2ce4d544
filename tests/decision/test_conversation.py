"""A conversation: from nothing stated to a settled verdict, one fact at a time, by the questions in their order.

The table of the small book is worked by hand from its five rules. The table of the shipped book is printed
(`pytest -s -k conversation`) and held to what must be true of any conversation, so that no clinical limit is
repeated here.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

import pytest

from decision.rule_book import RuleBook
from tests.random_rules import message

PERMISSIONS = ("suitable", "suitable_with_care")


@dataclass(frozen=True)
class Step:
    """What the answer was after one more fact."""

    stated: str
    at_least: str | None
    could_become: str | None
    verdict: str | None
    settled: bool
    questions: list[str]

    def __str__(self) -> str:
        """One line of the table."""
        ends = f"{self.at_least or '-':18} {self.could_become or '-':18} {self.verdict or '-':18}"
        asked = f"{len(self.questions):2} {self.questions[0] if self.questions else ''}"
        return f"{self.stated:34} {ends} {asked}"


def answered(book: RuleBook, known: dict[str, Any], stated: str) -> Step:
    lesion = book.recommend(message(known, book.vocabulary))["lesions"][0]
    found = lesion["suitability"]
    asked = [one["input"] for one in lesion["ask_next"] if one["decision"] == "suitability"]
    ends = (found["at_least"], found["could_become"], found["verdict"], found["settled"])
    return Step(stated, *ends, questions=asked)


def conversation(book: RuleBook, facts: dict[str, Any]) -> list[Step]:
    """Answer the first question that the facts can answer, until none is asked; a check list is ticked as a whole.

    What is not as it would be presumed is never asked: a vet says it unasked, and so it is stated at the start.
    """
    inputs = book.vocabulary.inputs
    known = {name: value for name, value in facts.items() if inputs[name].presumed not in (None, value)}
    steps = [answered(book, known, ", ".join(known) or "nothing")]
    while asked := next((name for name in steps[-1].questions if name in facts), None):
        group = book.vocabulary.inputs[asked].group
        listed = [one.name for one in book.vocabulary.in_group(group)] if group else [asked]
        known |= {name: facts[name] for name in listed if name in facts}
        steps.append(answered(book, known, f"+ {group or asked}: {'none' if group else facts[asked]}"))
    return steps


# --- worked by hand, on the small book --------------------------------------------------------------------

SMALL = {"infected": False, "site": "trunk", "base_width_mm": 4.0}

# What each rule still waits for, and so what could come of it:
#   leave_an_infected_one  infected                    do_not_freeze
#   sample_a_wide_one      width, unless sampled       sample_first       (sampled: known_diagnosis, diagnosis_basis)
#   watch_the_ear          site                        watch
#   freeze_sampled         width, infected, sampled    suitable_with_care
#   freeze_a_small_one     width, infected, site       suitable
WORKED = [
    # stated             at_least    could_become     verdict     open questions
    ("nothing", None, "do_not_freeze", None, 5),
    ("site", None, "do_not_freeze", None, 4),  # the ear is out; infected, width, diagnosis and basis are left
    ("base_width_mm", None, "do_not_freeze", None, 1),  # both rules on wide ones are out: only infected is left
    ("infected", "suitable", "suitable", "suitable", 0),
]


@pytest.mark.parametrize("row", range(len(WORKED)))
def test_a_small_lesion_goes_from_nothing_to_settled_as_worked_by_hand(small_book, row):
    known = {name: SMALL[name] for name, *_ in WORKED[1 : row + 1]}

    step = answered(small_book, known, WORKED[row][0])

    assert (step.stated, step.at_least, step.could_become, step.verdict, len(step.questions)) == WORKED[row]


def test_the_questions_themselves_lead_to_the_same_end(small_book):
    last = conversation(small_book, SMALL)[-1]

    assert (last.verdict, last.settled) == ("suitable", True)


# --- the shipped book -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def wart(shipped_book, presentations):
    """The conversation on a wart on the neck of an adult dog."""
    steps = conversation(shipped_book, presentations["routine/dog_wart_adult"])
    print("", *steps, sep="\n")
    return steps


def test_a_wart_of_which_nothing_is_stated_could_become_anything(wart, shipped_book):
    answers = next(list(one.answers) for one in shipped_book.folder.decisions if one.name == "suitability")

    assert (wart[0].at_least, wart[0].could_become, wart[0].verdict) == (None, answers[-1], None)


def test_a_routine_wart_ends_settled_and_permitted(wart):
    assert (wart[-1].settled, wart[-1].verdict in PERMISSIONS) == (True, True)


def test_a_routine_wart_is_permitted_at_the_last_answer_and_not_before(wart):
    assert {step.verdict for step in wart[:-1]} == {None}


def test_a_routine_wart_is_settled_by_no_more_answers_than_a_vet_charts(wart):
    assert len(wart) - 1 <= 16


@pytest.fixture(scope="module")
def conversations(shipped_book, presentations):
    return [conversation(shipped_book, facts) for facts in presentations.values()]


def test_no_answer_in_any_conversation_widens_the_range(conversations, shipped_book):
    rank = next(one.rank for one in shipped_book.folder.decisions if one.name == "suitability")

    widened = [
        (before.stated, after.stated)
        for steps in conversations
        for before, after in itertools.pairwise(steps)
        if rank(after.at_least) < rank(before.at_least) or rank(after.could_become) > rank(before.could_become)
    ]

    assert widened == []


def test_no_answer_in_any_conversation_opens_a_question_that_was_not_open(conversations):
    opened = [
        (after.stated, set(after.questions) - set(before.questions))
        for steps in conversations
        for before, after in itertools.pairwise(steps)
        if not set(after.questions) <= set(before.questions)
    ]

    assert opened == []


def test_following_the_questions_leads_to_the_verdict_of_the_whole_case(conversations, presentations, shipped_book):
    led = [steps[-1].verdict for steps in conversations]

    whole = [answered(shipped_book, facts, "all").verdict for facts in presentations.values()]

    assert led == whole
