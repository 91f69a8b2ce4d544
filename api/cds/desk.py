"""Where calls of CDS clients are answered: what the service holds for them, and what its routes ask it for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request

from api.audit import audit
from api.body import json_body
from api.cds.advice import read_call
from api.cds.call_faults import bounded, read_shape
from api.cds.calls import CALL
from api.cds.credentials import Credentials, credentials_of
from api.cds.feedback import audit_entries, read_feedback, received
from api.cds.messages import CdsCards, FeedbackReceived
from api.cds.names import SERVICE
from api.code_lists import CodeLists, code_lists_of
from api.mapping import CodeMap, read_code_map, shipped_code_map
from api.problem_kinds import KINDS
from api.problems import Problem
from api.service import matching_logged, service_of, today
from api.settings import Settings
from api.worker.taken_tokens import TakenTokens
from decision.rule_book import RuleBook

__all__ = ["Desk", "advised", "desk_for", "desk_of", "fed_back"]

_LOOPBACK = re.compile(r"(localhost|127(\.[0-9]{1,3}){3}|\[::1\])(:[0-9]{1,5})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Desk:
    """Code lists, the mapping to them, and who may call."""

    lists: CodeLists
    code_map: CodeMap
    credentials: Credentials | None


def desk_of(book: RuleBook, settings: Settings, taken: TakenTokens | None = None) -> Desk:
    """Prepare to answer CDS clients by a rule book.

    Args:
        book: The rule book.
        settings: As the operator has set them.
        taken: The tokens that were taken; None to begin with none.

    Raises:
        UnusableCodeMap: The mapping file has faults; all of them are in the message.
        UnusableSetting: The keys cannot be used.
    """
    lists = code_lists_of(book.folder)
    code_map = shipped_code_map(lists) if settings.code_map is None else read_code_map(settings.code_map, lists)
    return Desk(lists, code_map, credentials_of(settings, taken))


def desk_for(request: Request) -> Desk:
    """The desk of the service that a request names.

    Raises:
        Problem: `not-found` for another service than ours.
    """
    desk: Desk = request.app.state.desk
    if request.path_params.get("service", SERVICE) != SERVICE:
        raise Problem(KINDS["not-found"], f"the only service is {SERVICE}.")
    return desk


async def advised(request: Request) -> CdsCards:
    """Read a call and answer it with cards.

    Raises:
        Problem: The body cannot be read, it is no call, or what is needed was not supplied.
        MatcherFault: The two means of matching differ; no answer is given.
    """
    desk, service = desk_for(request), service_of(request)
    written: Any = read_shape(CALL, bounded(await json_body(request, service.settings)))
    call = read_call(written, service.book, desk.lists, desk.code_map, today())
    if call.case is None:
        return {"cards": []}
    with matching_logged(request, call.case):
        return call.answered(service.book, desk.lists, desk.code_map, _base_url(request, service.settings))


async def fed_back(request: Request) -> FeedbackReceived:
    """Read feedback on cards and write one audit line. Nothing is kept.

    Raises:
        Problem: The body cannot be read, or is no feedback.
    """
    desk = desk_for(request)
    feedback = read_feedback(bounded(await json_body(request, service_of(request).settings)))
    audit(request, "cds-feedback", feedback=audit_entries(feedback, desk.lists))
    return received(feedback)


def _base_url(request: Request, settings: Settings) -> str:
    """Where this service is found from outside, as the operator says.

    Else, where a client says that it called this machine by a name of its own, there. Any other name could be that of
    somebody else, to whom a link in a card would lead; without one there are no links.
    """
    if settings.base_url:
        return settings.base_url
    host = request.headers.get("host", "")
    root = str(request.scope.get("root_path", ""))
    return f"{request.scope['scheme']}://{host}{root}" if _LOOPBACK.fullmatch(host) else ""
