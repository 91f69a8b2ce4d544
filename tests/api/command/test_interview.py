"""Questions in a terminal: asked one by one, explained when badly answered, until settled or stopped."""

from __future__ import annotations

import datetime
import io
import os
import pty
import select
import sys
from pathlib import Path

import pytest
from rich.console import Console

from api.command.interview import Interview
from api.command.stated_case import new_case
from decision import load_rule_book
from tests.small_folder import small_files, write

TOY = str(Path(__file__).parents[2] / "toy_rules")
TODAY = datetime.date(2026, 11, 24)
PROMPT = b"> "
PATIENCE_S = 20


@pytest.fixture
def interview(toy_book):
    """Hold an interview with prepared replies; the case at its end and what was printed."""

    def hold(*replies, case=None):
        left = list(replies)
        console = Console(file=io.StringIO(), width=100, markup=False)
        listen = lambda prompt: left.pop(0) if left else ""  # noqa: E731
        completed = Interview(toy_book, console, TODAY, listen).completed(case or new_case("before"))
        return completed, console.file.getvalue()

    return hold


def in_a_terminal(words, replies):
    """Run the command in a terminal of its own, replying at each prompt; what it showed and its exit code."""
    child, terminal = pty.fork()
    if child == 0:
        os.environ["TERM"] = "dumb"
        os.execv(sys.executable, [sys.executable, "-m", "api", "--rules", TOY, "recommend", *words])
    shown, left = b"", list(replies)
    while select.select([terminal], [], [], PATIENCE_S)[0]:
        try:
            part = os.read(terminal, 4096)
        except OSError:  # the program has closed its side
            break
        shown += part
        if shown.endswith(PROMPT):
            os.write(terminal, (left.pop(0) if left else "").encode() + b"\n")
    os.close(terminal)
    return shown.decode().replace("\r\n", "\n"), os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def test_questions_in_a_terminal_lead_to_a_settled_verdict():
    shown, code = in_a_terminal(["--species", "dog"], ["5", "1"])

    assert code == 0
    assert "How wide is it at its widest?" in shown
    assert "Settled: nothing that is still open would make it more cautious." in shown


def test_enter_alone_stops_the_questions_and_shows_the_answer():
    shown, code = in_a_terminal([], [""])

    assert (code, shown.count("\n> "), "NO VERDICT YET" in shown) == (0, 1, True)


def test_no_question_is_asked_when_none_are_wanted():
    shown, code = in_a_terminal(["--no-questions"], [])

    assert (code, "\n> " in shown, "NO VERDICT YET" in shown) == (0, False, True)


def test_no_question_is_asked_before_json():
    shown, code = in_a_terminal(["--json"], [])

    assert (code, shown[0]) == (0, "{")


def test_a_bad_answer_is_explained_and_asked_again():
    shown, _ = in_a_terminal([], ["wide", "0.2", "5", ""])

    assert "That is not a number. Type a number from 0.5 to 300 mm." in shown
    assert "That is outside the range. Type a number from 0.5 to 300 mm." in shown
    assert "Which species is it?" in shown


def test_the_answers_are_laid_into_the_case(interview):
    case, _ = interview("5", "dog", "1")

    assert case["patient"] == {"species": "dog"}
    assert case["lesions"] == [{"lesion_id": "lesion", "longest_diameter_mm": 5.0, "ruled_out": ["checked"]}]


def test_a_number_chooses_from_the_listed_answers(interview):
    case, shown = interview("5", "2")

    assert " 2  cat" in shown
    assert case["patient"] == {"species": "cat"}


def test_a_list_that_is_not_ticked_is_asked_one_by_one(interview):
    case, shown = interview("5", "dog", "2", "no")

    assert shown.count("Is it open?") == 2
    assert case["lesions"][0]["ulcerated"] is False


def test_a_skipped_question_is_not_asked_again(interview):
    case, shown = interview("s", "dog", "1")

    assert shown.count("How wide is it at its widest?") == 1
    assert "longest_diameter_mm" not in case["lesions"][0]


def test_a_question_says_what_it_bears_on(interview):
    _, shown = interview()

    assert "Asked next, since it bears on: Sample a lesion of 10 mm or more" in shown


def test_each_lesion_is_asked_about_in_turn(interview):
    two = {"patient": {"species": "dog"}, "lesions": [{"lesion_id": "ear"}, {"lesion_id": "flank"}]}

    case, _ = interview("5", "1", "6", "1", case=two)

    assert [one["longest_diameter_mm"] for one in case["lesions"]] == [5.0, 6.0]


def test_an_answer_that_contradicts_an_earlier_one_is_said_and_asked_again(tmp_path):
    files = small_files()
    both = {"when": {"site": "pinna", "base_width_mm": "> 50"}, "says": "No ear is that wide: check site and width."}
    book = load_rule_book(
        write(tmp_path / "rules", {**files, "contradictions.yaml": {"contradictions": {"ear": both}}})
    )
    console = Console(file=io.StringIO(), width=100, markup=False)
    case = {
        "patient": {"ruled_out": ["general_health"]},
        "lesions": [{"lesion_id": "ear", "base_width_mm": 60, "ruled_out": ["lesion_signs"]}],
    }
    left = ["3", "1"]

    completed = Interview(book, console, TODAY, lambda prompt: left.pop(0) if left else "").completed(case)
    book.close()

    assert "No ear is that wide: check site and width." in console.file.getvalue()
    assert completed["lesions"][0]["site"] == "trunk"


def test_the_end_of_input_stops_the_questions(toy_book):
    def ended(prompt):
        raise EOFError

    console = Console(file=io.StringIO(), width=100, markup=False)

    assert Interview(toy_book, console, TODAY, ended).completed(new_case("before")) == new_case("before")


def test_a_question_that_settles_nothing_is_not_asked(tmp_path):
    files = small_files()
    book = load_rule_book(write(tmp_path / "rules", files))
    case = {
        "patient": {"species": "dog", "ruled_out": ["general_health"]},
        "lesions": [{"lesion_id": "flank", "site": "trunk", "base_width_mm": 4, "ruled_out": ["lesion_signs"]}],
        "equipment": {"cryogen": "ether"},
    }
    console = Console(file=io.StringIO(), width=100, markup=False)

    Interview(book, console, TODAY, lambda prompt: "2").completed(case)
    book.close()

    # the height settles the plan; practice freezes done bear on a precaution only
    assert case["lesions"][0]["height_mm"] == 2.0
    assert "operator" not in case
