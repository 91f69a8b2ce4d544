"""Print an answer for a reader at a terminal: the verdict first, then why, then what to do.

Nothing is decided or computed here, and every clinical word comes from the rule book. Plain text carries the whole
meaning; colour only marks the verdict, in shades that can be read on light and on dark.
"""

from __future__ import annotations

from rich.console import Console

from api.estimate_text import show_estimate
from api.input_words import value_in_words
from api.layout import heading, item, paragraph
from api.plan_text import show_method, show_plan
from api.reason_text import show_briefly, show_outlined, show_reasons
from api.verdict_text import LADDER, said_by_rules, show_verdict
from decision.recommendation import LesionAnswer, Presumed, Recommendation, Step
from decision.rule_book import RuleBook
from decision.rule_folder import all_inputs
from decision.vocabulary import Input

__all__ = ["show_recommendation"]

QUESTIONS = 5


def show_recommendation(console: Console, answer: Recommendation, book: RuleBook) -> None:
    """Print the answer for every lesion, the publications, and which rule book answered."""
    page = _Page(console, book)
    for lesion in answer["lesions"]:
        page.show(lesion)
    if answer["sources"]:
        heading(console, "Sources")
        for key, citation in answer["sources"].items():
            item(console, "-", f"[{key}] {citation}", style="")
    heading(console, "Notice")
    paragraph(console, answer["notice"])
    read = answer["rule_book"]
    short = read["digest"].removeprefix("sha-256:")[:12]
    paragraph(console, f"Rule book {read['version']}, digest {short}. Answered as of {answer['as_of']}.")


class _Page:
    """The page for the lesions of one answer."""

    def __init__(self, console: Console, book: RuleBook) -> None:
        self._console = console
        self._book = book
        self._inputs: dict[str, Input] = all_inputs(book.folder)
        self._words = self._inputs[LADDER].allowed

    def show(self, lesion: LesionAnswer) -> None:
        """Print the sections of one lesion, those without content left out."""
        show_verdict(self._console, lesion, self._book)
        if reasons := lesion["suitability"]["reasons"]:
            heading(self._console, "Why")
            show_reasons(self._console, reasons, self._inputs, said_by_rules(lesion["suitability"], self._book))
        if lesion["method"] is not None:
            show_method(self._console, lesion["method"])
        if lesion["plan"] is not None:
            show_plan(self._console, lesion["plan"], self._book)
        if lesion["estimate"] is not None:
            show_estimate(self._console, lesion["estimate"])
        self._steps("Preparation", lesion["preparation"])
        self._steps("Precautions", lesion["precautions"])
        self._cautions(lesion)
        self._alternatives(lesion)
        self._questions(lesion)
        self._presumed(lesion)
        self._trace(lesion)

    def _steps(self, title: str, steps: list[Step]) -> None:
        if steps:
            heading(self._console, title)
        for step in steps:
            item(self._console, "-", step["step"])
            paragraph(self._console, step["detail"], depth=1)
            show_briefly(self._console, step["reasons"])

    def _cautions(self, lesion: LesionAnswer) -> None:
        if lesion["cautions"]:
            heading(self._console, "Cautions")
        for caution in lesion["cautions"]:
            item(self._console, "-", f"{caution['urgency']}: {caution['summary']}")
            paragraph(self._console, caution["detail"], depth=1)
            show_briefly(self._console, caution["reasons"])

    def _alternatives(self, lesion: LesionAnswer) -> None:
        if lesion["alternatives"]:
            heading(self._console, "Instead")
        for one in lesion["alternatives"]:
            item(self._console, "-", f"{one['in_words']}: {one['by_when']}")
            for reason in one["reasons"]:
                paragraph(self._console, reason["explanation"], depth=1)
            show_briefly(self._console, one["reasons"])

    def _questions(self, lesion: LesionAnswer) -> None:
        asked = lesion["ask_next"]
        if asked:
            heading(self._console, "To ask next")
        for question in asked[:QUESTIONS]:
            item(self._console, "-", f"{question['question']} ({question['input']})", style="")
            paragraph(self._console, f"Bears on: {question['why']}", depth=1)
        if len(asked) > QUESTIONS:
            paragraph(self._console, f"and {len(asked) - QUESTIONS} more")

    def _presumed(self, lesion: LesionAnswer) -> None:
        if lesion["presumed"]:
            heading(self._console, "Presumed, since not stated")
        telling = [one for one in lesion["presumed"] if one["if_wrong"]]
        for one in telling:
            wrong = ", ".join(self._words[answer] for answer in one["if_wrong"])
            item(self._console, "-", f"{self._presumption(one)}. If wrong, it could become: {wrong}.", style="")
        if idle := [self._presumption(one) for one in lesion["presumed"] if not one["if_wrong"]]:
            item(self._console, "-", f"Without bearing on the verdict now: {'; '.join(idle)}.", style="")

    def _presumption(self, one: Presumed) -> str:
        about = self._inputs[one["input"]]
        return f"{about.label}: {value_in_words(one['presumed'], about)}"

    def _trace(self, lesion: LesionAnswer) -> None:
        for title, rules in (
            ("Rules that are open", lesion.get("still_open", [])),
            ("Rules that do not apply", lesion.get("did_not_apply", [])),
        ):
            if rules:
                heading(self._console, title)
                show_outlined(self._console, rules, self._inputs)
