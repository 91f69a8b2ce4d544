"""Print the verdict on a lesion, its range, and what each rule behind it says."""

from __future__ import annotations

from rich.box import HEAVY
from rich.console import Console
from rich.panel import Panel
from rich.text import Text

from api.layout import paragraph
from decision.decision_node import DecisionNode
from decision.recommendation import LesionAnswer, Suitability
from decision.rule_book import RuleBook

__all__ = ["LADDER", "said_by_rules", "show_verdict"]

LADDER = "suitability"
STANDING = {
    "success": "Answered.",
    "data-requested": "Answered; more facts would improve it.",
    "data-required": "Facts are missing for an answer.",
}


def show_verdict(console: Console, lesion: LesionAnswer, book: RuleBook) -> None:
    """Print the verdict large, its range, and every critical caution."""
    ladder = _ladder(book)
    verdict = lesion["suitability"]["verdict"]
    said = "no verdict yet" if verdict is None else ladder.answers[verdict]
    permitted = verdict is not None and ladder.rank(verdict) < ladder.rank(ladder.stands_unsettled_from or None)
    text = Text(said.upper(), style=f"bold {'green' if permitted else 'red'}")
    title = Text(lesion["lesion_id"])
    console.print()
    console.print(Panel(text, box=HEAVY, title=title, title_align="left", padding=(0, 2)))
    paragraph(console, f"{_range(lesion['suitability'], ladder)} {STANDING[lesion['status']]}")
    for caution in lesion["cautions"]:
        if caution["urgency"] == "critical":
            paragraph(console, f"Critical: {caution['summary']}", style="bold")


def said_by_rules(suitability: Suitability, book: RuleBook) -> dict[str, str]:
    """What each rule behind the verdict says, in the words of the ladder, by rule."""
    words = _ladder(book).answers
    says = {}
    for reason in suitability["reasons"]:
        rule = book.folder.rule(*reason["rule"].split("/"))
        answers = [value for value in rule.conclude.values() if value in words] if rule else []
        if answers:
            says[reason["rule"]] = words[answers[0]]
    return says


def _ladder(book: RuleBook) -> DecisionNode:
    return next(one for one in book.folder.decisions if one.name == LADDER)


def _range(suitability: Suitability, ladder: DecisionNode) -> str:
    """The range of the verdict in words, with what was presumed and without."""
    least, most = suitability["at_least"], suitability["could_become"]
    bare = suitability["without_presumptions"]["could_become"]
    if most is None:
        said = "Nothing that is stated bears on the verdict."
    elif suitability["settled"]:
        said = "Settled: nothing that is still open would make it more cautious."
    else:
        at_least = "" if least is None else f'at least "{ladder.answers[least]}", and '
        said = f'Not settled: {at_least}it could become "{ladder.answers[most]}".'
    if bare is not None and bare != most:
        said += f' Without what is presumed it could become "{ladder.answers[bare]}".'
    return said
