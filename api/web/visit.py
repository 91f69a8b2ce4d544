"""One visit on the pages: a form is read, answered where it can be, and put again with what the answer asks for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from starlette.requests import Request

from api.service import matching_logged, service_of, today
from api.text.verdict_text import LADDER, ladder_of
from api.web.answer import LesionView, Standing, asked_by_place, further_by_place, lesion_views, standing_of
from api.web.case import case_of, faults_by_field, places_of
from api.web.questions import Form, Section, sections_of
from api.web.sheet import Sheet
from decision.case import Case
from decision.errors import CaseError
from decision.recommendation import LesionAnswer
from decision.rule_book import RuleBook

__all__ = ["LADDERS", "Visit", "case_answer", "first_visit", "visit"]

LADDERS = {"before": LADDER, "during": "cycle_review", "after": "healing_review"}


@dataclass(frozen=True, slots=True)
class Visit:
    """A page with its form: the sections to fill in, what is wrong, and the answer where there is one."""

    moment: str
    sheet: Sheet
    sections: Sequence[Section]
    faults: Mapping[str, str]
    answer: Any = None
    lesions: Sequence[LesionView] = ()
    standing: Standing | None = None

    @property
    def places(self) -> dict[str, Section]:
        """The sections, by place."""
        return {one.place: one for one in self.sections}

    @property
    def lesion(self) -> str:
        """The place of the lesion of the case that is reviewed; empty where there is none."""
        place = self.sheet.frame.get("for", "")
        return place if place in self.sheet.lesions else ""

    @property
    def carried(self) -> list[tuple[str, str]]:
        """What this page does not show and hands on unchanged, so that nothing needs to be kept here."""
        shown = {one.place for one in self.sections}
        fields = [
            (f"{place}.{name}", written)
            for place, all_written in self.sheet.places.items()
            for name, written in all_written.items()
            if place not in shown and written
        ]
        ticks = [
            (f"{place}.ruled_out", one)
            for place, names in self.sheet.ticked.items()
            for one in names
            if place not in shown
        ]
        return fields + ticks


def first_visit(book: RuleBook, moment: str) -> Visit:
    """A page on which nothing is stated yet."""
    sheet = Sheet()
    if moment == "before":
        sheet.add_lesion()
    return Visit(moment, sheet, _sections(sheet, moment, book), {})


def visit(request: Request, sheet: Sheet, moment: str) -> Visit:
    """Answer a form.

    Raises:
        MatcherFault: The two means of matching differ; no answer is given.
    """
    book = service_of(request).book
    if moment == "before" and not sheet.lesions:
        sheet.add_lesion()
    data, faults = case_of(sheet, book.vocabulary, moment)
    try:
        case = book.read(data, today=today(), moment=moment)
    except CaseError as error:
        faults = {**faults_by_field(error.faults, book.vocabulary), **faults}
    if faults:
        found = Visit(moment, sheet, (), faults)
        return replace(found, sections=_sections(sheet, moment, book, faults=faults, answered=True))
    with matching_logged(request, case):
        return _answered(book, sheet, case)


def case_answer(request: Request, sheet: Sheet) -> LesionAnswer | None:
    """What the case says of the lesion that is reviewed, or None where there is none or it cannot be answered."""
    if sheet.frame.get("for") not in sheet.lesions:
        return None
    found = {one.place: one.said for one in visit(request, sheet, "before").lesions}
    return found.get(sheet.frame["for"])


def _answered(book: RuleBook, sheet: Sheet, case: Case) -> Visit:
    moment = case.moment
    if moment == "before":
        answer: Any = book.recommend(case)
        parts = {f"lesions.{number}": one for number, one in enumerate(answer["lesions"])}
    else:
        answer = book.review_cycle(case) if moment == "during" else book.review_healing(case)
        parts = {"lesion": answer}
    questions = {place: one["ask_next"] for place, one in parts.items()}
    presumed = {place: one["presumed"] for place, one in parts.items()}
    asked, further = asked_by_place(questions, book), further_by_place(questions, presumed, book)
    sections = _sections(sheet, moment, book, asked=asked, further=further, answered=True)
    found = Visit(moment, sheet, sections, {}, answer)
    if moment == "before":
        return replace(found, lesions=lesion_views(answer, case, book))
    standing = standing_of(answer["review"], answer["status"], ladder_of(book, LADDERS[moment]))
    return replace(found, standing=standing)


def _sections(
    sheet: Sheet,
    moment: str,
    book: RuleBook,
    *,
    faults: Mapping[str, str] | None = None,
    asked: Mapping[str, Sequence[str]] | None = None,
    further: Mapping[str, Sequence[str]] | None = None,
    answered: bool = False,
) -> list[Section]:
    form = Form(sheet, faults or {}, asked or {}, further or {}, answered)
    return sections_of(places_of(sheet, moment), book.vocabulary, form)
