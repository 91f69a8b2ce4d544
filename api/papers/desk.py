"""Write papers: answer the case, take the lesion that is asked about, and lay the paper out.

request -> recommendation, reviews of the cycles -> subject -> paper -> Markdown, HTML or PDF
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from typing import Any

from api.moments import decides
from api.papers.chart_note import chart_note
from api.papers.consent import consent_points
from api.papers.markup import as_html, as_markdown
from api.papers.owner_sheet import owner_sheet
from api.papers.paper import Paper
from api.papers.request import PaperRequest
from api.papers.subject import CycleDone, Subject
from api.problem_kinds import KINDS
from api.problems import Problem
from decision.case import Case
from decision.rule_book import RuleBook

__all__ = ["PAPERS", "laid_out", "paper_of"]

PAPERS: Mapping[str, Callable[[Subject], Paper]] = {
    "owner-sheet": owner_sheet,
    "consent": consent_points,
    "chart-note": chart_note,
}


def paper_of(kind: str, asked: PaperRequest, case: Case, book: RuleBook) -> Paper:
    """Write a paper about one lesion of a case.

    Args:
        kind: A key of PAPERS.
        asked: What was asked for.
        case: Its case, read by the rule book.
        book: The rule book that answers.

    Raises:
        Problem: `unknown-lesion`.
        UnknownVersion, MatcherFault: As `RuleBook.recommend`.
    """
    place = _place_of(asked.lesion_id, case)
    answer = book.recommend(case)
    stated = {**case.stated, **case.sizes_at_hand, **case.lesions[place].stated}
    plain_lesion = case.plain["lesions"][place]
    about = Subject(
        book=book,
        answer=answer,
        lesion=answer["lesions"][place],
        stated=stated,
        ticked=(*plain_lesion.get("ruled_out", ()), *case.plain["patient"].get("ruled_out", ())),
        cycles=tuple(_done(number, cycle, case, plain_lesion, book) for number, cycle in enumerate(asked.cycles, 1)),
        chart=asked.chart,
    )
    return PAPERS[kind](about)


def laid_out(paper: Paper, form: str) -> bytes:
    """A paper as Markdown, HTML or PDF."""
    if form == "pdf":
        from api.papers.pdf import as_pdf  # only who prints needs the library

        return as_pdf(paper)
    return (as_html(paper) if form == "html" else as_markdown(paper)).encode()


def _place_of(lesion_id: str | None, case: Case) -> int:
    """The place of the one lesion that is asked about."""
    places = [n for n, one in enumerate(case.lesions) if lesion_id in (None, one.lesion_id)]
    if len(places) == 1:
        return places[0]
    kind = KINDS["unknown-lesion"]
    said = f"say by lesion_id which lesion the paper is about; {len(places)} of {len(case.lesions)} fit."
    raise Problem(kind, said, [{"pointer": "#/lesion_id", "code": "not_one", "detail": said}])


def _done(number: int, cycle: Mapping[str, Any], case: Case, lesion: Mapping[str, Any], book: RuleBook) -> CycleDone:
    """One cycle with its review; which freeze of the visit it was is known from its place in the list."""
    stated = {"cycle_number": number, **cycle}
    if not decides(book, "during"):
        return CycleDone(stated, None)
    shared = {name: case.plain[name] for name in ("as_of", "region", "patient", "equipment") if name in case.plain}
    plain = {**shared, "lesion": {key: value for key, value in lesion.items() if key != "lesion_id"}, "cycle": stated}
    read = book.read(plain, today=datetime.date.fromisoformat(case.plain["as_of"]), moment="during")
    return CycleDone(stated, book.review_cycle(read))
