"""Hand papers out over HTTP."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from api.body import json_body
from api.papers.desk import PAPERS, laid_out, paper_of
from api.papers.markup import POLICY
from api.papers.request import MEDIA, read_paper_request
from api.problem_kinds import KINDS
from api.problems import Problem, refusal_of
from api.service import matching_logged, service_of, today
from decision.errors import UnknownVersion
from decision.reviewer.record_faults import inside

__all__ = ["paper_written"]

ENDINGS = {"pdf": "pdf", "html": "html", "markdown": "md"}


async def paper_written(request: Request) -> Response:
    """Read what is asked for in a request and write the paper.

    Raises:
        Problem: The body cannot be read, there is no such paper, or no single lesion is meant.
        CaseError: It is no request for a paper.
        UnknownVersion, MatcherFault: As for a recommendation.
    """
    kind = request.path_params["kind"]
    if kind not in PAPERS:
        raise Problem(KINDS["not-found"], KINDS["not-found"].meaning)
    service = service_of(request)
    asked = read_paper_request(await json_body(request, service.settings), service.book.vocabulary)
    book = service.shelves.book_for(asked.case)
    with inside("case"):
        case = book.read(asked.case, today=today())
    with matching_logged(request, case), _pinned_inside():
        paper = paper_of(kind, asked, case, book)
    form = asked.form or next(one for one, media in MEDIA.items() if media == request.state.media_type)
    body = await run_in_threadpool(laid_out, paper, form)
    headers = {"Content-Disposition": f'inline; filename="{kind}.{ENDINGS[form]}"'}
    if form == "html":
        headers["Content-Security-Policy"] = POLICY
    return Response(body, headers=headers, media_type=MEDIA[form])


@contextlib.contextmanager
def _pinned_inside() -> Iterator[None]:
    """Tell a version that is not at hand at its place in the case of the request."""
    try:
        yield
    except UnknownVersion as unknown:
        kind, said, (place,) = refusal_of(unknown)
        raise Problem(kind, said, [{**place, "pointer": "#/case/rule_book_version"}]) from None
