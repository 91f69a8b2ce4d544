"""Print the sections that every answer has: steps, questions, what was presumed, and which rule book answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.console import Console

from api.text.input_words import value_in_words
from api.text.layout import heading, item, paragraph
from api.text.reason_text import show_briefly
from decision.recommendation import CycleReview, HealingReview, Presumed, Question, Recommendation, Step
from decision.vocabulary import Input

__all__ = ["show_frame", "show_presumed", "show_questions", "show_steps"]

QUESTIONS = 5


def show_steps(console: Console, title: str, steps: Sequence[Step]) -> None:
    """Print what is to be done, each step with its detail and its rule."""
    if steps:
        heading(console, title)
    for step in steps:
        item(console, "-", step["step"])
        paragraph(console, step["detail"], depth=1)
        show_briefly(console, step["reasons"])


def show_questions(console: Console, asked: Sequence[Question]) -> None:
    """Print the first questions whose answers could move the answer."""
    if asked:
        heading(console, "To ask next")
    for question in asked[:QUESTIONS]:
        item(console, "-", f"{question['question']} ({question['input']})", style="")
        paragraph(console, f"Bears on: {question['why']}", depth=1)
    if len(asked) > QUESTIONS:
        paragraph(console, f"and {len(asked) - QUESTIONS} more")


def show_presumed(
    console: Console, presumed: Sequence[Presumed], inputs: Mapping[str, Input], words: Mapping[str, str]
) -> None:
    """Print what was presumed, those presumptions first that could change the answer (`words`) if they are wrong."""
    if presumed:
        heading(console, "Presumed, since not stated")
    for one in (each for each in presumed if each["if_wrong"]):
        wrong = ", ".join(words[answer] for answer in one["if_wrong"])
        item(console, "-", f"{_presumption(one, inputs)}. If wrong, it could become: {wrong}.", style="")
    if idle := [_presumption(one, inputs) for one in presumed if not one["if_wrong"]]:
        item(console, "-", f"Without bearing on the verdict now: {'; '.join(idle)}.", style="")


def show_frame(console: Console, answer: Recommendation | CycleReview | HealingReview) -> None:
    """Print the publications, the notice, and which rule book answered as of when."""
    if answer["sources"]:
        heading(console, "Sources")
        for key, citation in answer["sources"].items():
            item(console, "-", f"[{key}] {citation}", style="")
    heading(console, "Notice")
    paragraph(console, answer["notice"])
    read = answer["rule_book"]
    short = read["digest"].removeprefix("sha-256:")[:12]
    paragraph(console, f"Rule book {read['version']}, digest {short}. Answered as of {answer['as_of']}.")


def _presumption(one: Presumed, inputs: Mapping[str, Input]) -> str:
    about = inputs[one["input"]]
    return f"{about.label}: {value_in_words(one['presumed'], about)}"
