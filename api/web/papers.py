"""Papers from a form: the sheet for the owner, the points of consent and the note for the chart, to print or copy."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from api.papers.desk import PAPERS, laid_out, paper_of
from api.papers.markup import POLICY
from api.papers.request import MEDIA, read_paper_request
from api.problem_kinds import KINDS
from api.problems import Problem
from api.service import matching_logged, service_of, today
from api.web.cycles import cycles_of
from api.web.form import case_in, refuse_unreadable, sheet_in
from api.web.sheet import Sheet

__all__ = ["paper_page"]

FORM = "html"


async def paper_page(request: Request) -> Response:
    """Write the paper that the pressed button names, about its lesion.

    Raises:
        Problem: The body cannot be read, or there is no such paper or lesion.
        CaseError: The form is no case.
        MatcherFault: The two means of matching differ.
    """
    kind, book = request.path_params["kind"], service_of(request).book
    sheet = await sheet_in(request)
    place = sheet.frame.get("do", "").removeprefix("of ")
    if kind not in PAPERS or place not in sheet.lesions:
        raise Problem(KINDS["not-found"], KINDS["not-found"].meaning)
    asked = read_paper_request(_asked(request, sheet, place), book.vocabulary)
    case = book.read(asked.case, today=today())
    with matching_logged(request, case):
        paper = paper_of(kind, asked, case, book)
    body = await run_in_threadpool(laid_out, paper, FORM)
    return Response(body, headers={"Content-Security-Policy": POLICY}, media_type=MEDIA[FORM])


def _asked(request: Request, sheet: Sheet, place: str) -> dict[str, Any]:
    """What a program would send for the same paper: the case, its lesion, and what was done cycle by cycle."""
    case = case_in(request, sheet)
    cycles, faults = cycles_of(sheet, place, service_of(request).book.vocabulary)
    refuse_unreadable(faults)
    lesion_id = case["lesions"][sheet.lesions.index(place)]["lesion_id"]
    return {"case": case, "lesion_id": lesion_id, "cycles": cycles, "format": FORM}
