"""Print a recommendation for a reader at a terminal: the verdict first, then why, then what to do.

Nothing is decided or computed here, and every clinical word comes from the rule book. Plain text carries the whole
meaning; colour only marks the verdict, in shades that can be read on light and on dark.
"""

from __future__ import annotations

from rich.console import Console

from api.text.answer_text import show_frame, show_presumed, show_questions, show_steps
from api.text.calendar_text import show_calendar
from api.text.estimate_text import show_estimate
from api.text.layout import heading, item, paragraph
from api.text.plan_text import show_method, show_plan
from api.text.reason_text import show_briefly, show_outlined, show_outranked, show_reasons
from api.text.verdict_text import LADDER, ladder_of, said_by_rules, show_verdict
from decision.recommendation import LesionAnswer, Recommendation
from decision.rule_book import RuleBook
from decision.rule_folder import all_inputs
from decision.vocabulary import Input

__all__ = ["show_recommendation"]


def show_recommendation(console: Console, answer: Recommendation, book: RuleBook) -> None:
    """Print the answer for every lesion, the publications, and which rule book answered."""
    page = _Page(console, book)
    for lesion in answer["lesions"]:
        page.show(lesion)
    show_frame(console, answer)


class _Page:
    """The page for the lesions of one answer."""

    def __init__(self, console: Console, book: RuleBook) -> None:
        self._console = console
        self._book = book
        self._inputs: dict[str, Input] = all_inputs(book.folder)
        self._ladder = ladder_of(book, LADDER)

    def show(self, lesion: LesionAnswer) -> None:
        """Print the sections of one lesion, those without content left out."""
        console = self._console
        show_verdict(console, lesion, self._book)
        if reasons := lesion["suitability"]["reasons"]:
            heading(console, "Why")
            show_reasons(console, reasons, self._inputs, said_by_rules(reasons, self._ladder, self._book))
        if lesion["method"] is not None:
            show_method(console, lesion["method"])
        if lesion["plan"] is not None:
            show_plan(console, lesion["plan"], self._book, lesion["method"]["applicator"] if lesion["method"] else "")
        if lesion["estimate"] is not None:
            show_estimate(console, lesion["estimate"])
        show_steps(console, "Preparation", lesion["preparation"])
        show_steps(console, "Precautions", lesion["precautions"])
        self._cautions(lesion)
        self._alternatives(lesion)
        show_steps(console, "For the owner to take home", lesion["aftercare"])
        show_calendar(console, lesion["calendar"])
        show_questions(console, lesion["ask_next"])
        show_presumed(console, lesion["presumed"], self._inputs, self._ladder.answers)
        self._trace(lesion)

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

    def _trace(self, lesion: LesionAnswer) -> None:
        if outranked := lesion.get("outranked", []):
            heading(self._console, "Rules that hold and are outranked")
            show_outranked(self._console, outranked)
        for title, rules in (
            ("Rules that are open", lesion.get("still_open", [])),
            ("Rules that do not apply", lesion.get("did_not_apply", [])),
            ("Rules that hold and only matter for a freeze", lesion.get("not_told", [])),
        ):
            if rules:
                heading(self._console, title)
                show_outlined(self._console, rules, self._inputs)
