"""Print a review for a reader at a terminal: the answer first, then why, then what to do and when."""

from __future__ import annotations

from rich.console import Console

from api.text.answer_text import show_frame, show_presumed, show_questions, show_steps
from api.text.calendar_text import show_calendar
from api.text.estimate_text import band_in_words, cycle_in_words
from api.text.input_words import figure, with_unit
from api.text.layout import heading, paragraph
from api.text.reason_text import show_reasons
from api.text.verdict_text import ladder_of, said_by_rules, show_review
from decision.decision_node import DecisionNode
from decision.recommendation import CycleReview, HealingReview, Review, Status
from decision.rule_book import RuleBook
from decision.rule_folder import all_inputs

__all__ = ["show_cycle_review", "show_healing_review"]


def show_cycle_review(console: Console, answer: CycleReview, book: RuleBook) -> None:
    """Print whether the cycle was enough, what to change, how long to wait, and the freeze that the thaw tells of."""
    ladder = ladder_of(book, "cycle_review")
    _show_answer(console, answer["review"], answer["status"], ladder, book)
    show_steps(console, "Next time", answer["next_time"])
    _show_wait(console, answer)
    _show_thaw(console, answer, book)
    _show_narrowed(console, answer)
    show_questions(console, answer["ask_next"])
    show_presumed(console, answer["presumed"], all_inputs(book.folder), ladder.answers)
    show_frame(console, answer)


def show_healing_review(console: Console, answer: HealingReview, book: RuleBook) -> None:
    """Print whether it heals as it should, what to do next, and what to expect on which day."""
    ladder = ladder_of(book, "healing_review")
    _show_answer(console, answer["review"], answer["status"], ladder, book)
    show_steps(console, "Next", answer["next_steps"])
    if answer["frozen_on"] is not None:
        paragraph(console, f"Frozen on {answer['frozen_on']}, day 0.")
    show_calendar(console, answer["calendar"])
    show_questions(console, answer["ask_next"])
    show_presumed(console, answer["presumed"], all_inputs(book.folder), ladder.answers)
    show_frame(console, answer)


def _show_answer(console: Console, review: Review, status: Status, ladder: DecisionNode, book: RuleBook) -> None:
    show_review(console, review, status, ladder)
    if review["reasons"]:
        heading(console, "Why")
        says = said_by_rules(review["reasons"], ladder, book)
        show_reasons(console, review["reasons"], all_inputs(book.folder), says)


def _show_wait(console: Console, answer: CycleReview) -> None:
    """Print how many cycles the plan has and how long to wait; a wait begins when all is thawed."""
    cycles, wait = answer["planned_cycles"], answer["wait_between_cycles_s"]
    if cycles is None and wait is None:
        return
    heading(console, "Wait")
    if cycles is not None:
        paragraph(console, f"At most {with_unit(cycles, 'cycles')} planned here.")
    if wait is not None:
        said = f"Before another cycle: full thaw, then {figure(wait['low'])} to {figure(wait['high'])} s more."
        paragraph(console, said)


def _show_thaw(console: Console, answer: CycleReview, book: RuleBook) -> None:
    """Print the observed thaw beside the band of that applicator and site."""
    thaw = answer["thaw"]
    if thaw is None:
        return
    heading(console, "Thaw")
    band = "no band" if thaw["band"] is None else band_in_words(thaw["band"], "s")
    paragraph(console, f"Observed {with_unit(thaw['observed_s'], 's')}; computed for this freeze: {band}.")
    if thaw["stands"] is not None:
        stands = all_inputs(book.folder)["thaw_against_band"].allowed[thaw["stands"]]
        paragraph(console, f"Beside that band: {stands}.")
    if thaw["note"] is not None:
        paragraph(console, thaw["note"])


def _show_narrowed(console: Console, answer: CycleReview) -> None:
    """Print the band of the freeze, narrowed by the thaw where one was observed, or why there is none."""
    heading(console, "Estimate (computed, not measured)")
    estimate, thaw = answer["estimate"], answer["thaw"]
    if estimate is not None:
        narrowed = thaw is not None and estimate["thaw_s"] != thaw["band"]
        said = "Narrowed by the observed thaw: " if narrowed else ""
        paragraph(console, f"{said}{cycle_in_words(estimate)}.")
    paragraph(console, answer["estimate_note"])
