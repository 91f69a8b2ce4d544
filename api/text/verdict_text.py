"""Print the answer of a ladder large: the verdict on a lesion or the answer of a review, its range, its rules."""

from __future__ import annotations

from collections.abc import Sequence

from rich.box import HEAVY
from rich.console import Console
from rich.panel import Panel
from rich.text import Text

from api.text.layout import paragraph
from decision.applicator import with_obstacle
from decision.decision_node import DecisionNode
from decision.recommendation import LesionAnswer, Reason, Review, Status, Suitability
from decision.rule_book import RuleBook

__all__ = ["LADDER", "ladder_of", "said_by_rules", "show_review", "show_verdict"]

LADDER = "suitability"
STANDING = {
    "success": "Answered.",
    "data-requested": "Answered; more facts would improve it.",
    "data-required": "Facts are missing for an answer.",
}


def show_verdict(console: Console, lesion: LesionAnswer, book: RuleBook) -> None:
    """Print the verdict large, its range, every critical caution, and what must be done before any freeze."""
    ladder, found = ladder_of(book, LADDER), lesion["suitability"]
    against = found["obstacle"]
    title = lesion["lesion_id"]
    _show_large(console, found["verdict"], ladder, title=title, nothing="no verdict yet", against=against)
    paragraph(console, f"{_range(found, ladder)}{_bare(found, ladder)} {STANDING[lesion['status']]}")
    for caution in lesion["cautions"]:
        if caution["urgency"] == "critical":
            paragraph(console, f"Critical: {caution['summary']}", style="bold")
    for step in [*lesion["precautions"], *lesion["preparation"]]:
        if "not_now" in step:
            paragraph(console, f"Not now: {step['step']}", style="bold")


def show_review(console: Console, review: Review, status: Status, ladder: DecisionNode) -> None:
    """Print the answer of a review large, and its range."""
    _show_large(console, review["answer"], ladder, title=ladder.question, nothing="no answer yet")
    paragraph(console, f"{_range(review, ladder)} {STANDING[status]}")


def said_by_rules(reasons: Sequence[Reason], ladder: DecisionNode, book: RuleBook) -> dict[str, str]:
    """What each rule behind the answer of a ladder says, in the words of the ladder, by rule."""
    says = {}
    for reason in reasons:
        rule = book.folder.rule(*reason["rule"].split("/"))
        answers = [value for value in rule.conclude.values() if value in ladder.answers] if rule else []
        if answers:
            says[reason["rule"]] = ladder.answers[answers[0]]
    return says


def ladder_of(book: RuleBook, name: str) -> DecisionNode:
    """A ladder of the rule book, with its words."""
    return next(one for one in book.folder.decisions if one.name == name)


def _show_large(
    console: Console,
    answer: str | None,
    ladder: DecisionNode,
    *,
    title: str,
    nothing: str,
    against: str | None = None,
) -> None:
    """Print an answer in a frame; green below the rung from which an answer stands unsettled, red from there on.

    What stands against a permission is said with it, and then it is not green.
    """
    said = nothing if answer is None else with_obstacle(ladder.answers[answer], against)
    below = answer is not None and ladder.rank(answer) < ladder.rank(ladder.stands_unsettled_from or None)
    permitted = below and not against
    text = Text(said.upper(), style=f"bold {'green' if permitted else 'red'}")
    console.print()
    console.print(Panel(text, box=HEAVY, title=Text(title), title_align="left", padding=(0, 2)))


def _range(found: Suitability | Review, ladder: DecisionNode) -> str:
    """The range of an answer in words."""
    least, most = found["at_least"], found["could_become"]
    if most is None:
        return f"Nothing that is stated bears on the {ladder.concludes}."
    if found["settled"]:
        return "Settled: nothing that is still open would make it more cautious."
    at_least = "" if least is None else f'at least "{ladder.answers[least]}", and '
    return f'Not settled: {at_least}it could become "{ladder.answers[most]}".'


def _bare(suitability: Suitability, ladder: DecisionNode) -> str:
    """What the verdict could become without what is presumed, where that differs."""
    bare = suitability["without_presumptions"]["could_become"]
    if bare is None or bare == suitability["could_become"]:
        return ""
    return f' Without what is presumed it could become "{ladder.answers[bare]}".'
