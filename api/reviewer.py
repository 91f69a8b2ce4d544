"""What a reviewer asks the service: what would change a verdict, and whether an answer is given again."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request

from api.body import json_body
from api.bounds import beyond_bounds
from api.service import matching_logged, service_of, today
from decision.errors import CaseError
from decision.reviewer.change_messages import WhatWouldChange
from decision.reviewer.reproduction import Reproduction, reproduce

__all__ = ["changes_searched", "reproduced"]


async def changes_searched(request: Request) -> WhatWouldChange:
    """Read the case in a request and search what would change its verdicts.

    Raises:
        Problem: The body cannot be read.
        CaseError: It is no case.
        UnknownVersion: It asks for a rule book that is not at hand.
        MatcherFault: The two means of matching differ; nothing is told.
    """
    service = service_of(request)
    data = await json_body(request, service.settings)
    book = service.shelves.book_for(data)
    case = book.checked(book.read(data, today=today()))
    with matching_logged(request, case):
        return service.shelves.change_search_of(book).search(case)


async def reproduced(request: Request) -> Reproduction:
    """Read the record in a request and give its answer again. Raises as `changes_searched`."""
    service = service_of(request)
    record: Any = await json_body(request, service.settings)
    for fault in beyond_bounds(record):
        raise CaseError([fault])
    return reproduce(record, service.book, service.shelves.released)
