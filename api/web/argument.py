"""An answer that was kept, shown as an argument: what held, what did not and why, what is open; two side by side.

The text is read as strictly as a case. It is shown as it says of itself: nothing in it is checked against the rule
book that is loaded, but for its version and digest, which are compared.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError
from starlette.requests import Request
from starlette.responses import Response

from api.problems import Problem
from api.service import service_of
from api.strict_json import read_json
from api.text.verdict_text import LADDER
from api.web.compare import comparison, reasons_in
from api.web.form import sheet_in
from api.web.page import Pages
from decision.recommendation import Recommendation
from decision.rule_book import RuleBook

__all__ = ["argument_page", "by_decision"]

_ANSWER = TypeAdapter(Recommendation)
NOT_ONE = "This is not an answer to a case as this service gives it."
Told = TypeVar("Told", bound=Mapping[str, Any])  # a rule that held, was open or did not apply, as an answer tells it


async def argument_page(request: Request, pages: Pages) -> Response:
    """The page: two fields to paste into, and what stands in them."""
    written = {"first": "", "second": ""}
    if request.method == "POST":
        frame = (await sheet_in(request)).frame
        written = {name: frame.get(name, "") for name in written}
    service = service_of(request)
    limit = service.settings.nesting_limit
    read = {name: _read(text, limit) for name, text in written.items() if text}
    answers = {name: one for name, (one, _) in read.items() if one is not None}
    both = comparison(answers["first"], answers["second"]) if len(answers) == len(written) else None
    faults = {name: fault for name, (_, fault) in read.items() if fault}
    shown: dict[str, Any] = {"written": written, "answers": answers, "faults": faults, "both": both}
    shown |= {"by_decision": partial(by_decision, book=service.book), "reasons_in": reasons_in}
    return pages.html(request, "review.html", **shown)


def by_decision(rules: Iterable[Told], book: RuleBook) -> list[tuple[str, list[Told]]]:
    """Rules as an answer tells them, each once, below the question of their decision: the verdict, then the others.

    A decision that the rule book does not know stands last, under its own name.
    """
    decisions = sorted(book.folder.decisions, key=lambda node: node.name != LADDER)
    questions = {node.name: node.question for node in decisions}
    found: dict[str, dict[str, Told]] = {name: {} for name in questions}
    for one in rules:
        found.setdefault(one["rule"].partition("/")[0], {}).setdefault(one["rule"], one)
    return [(questions.get(name, name), list(listed.values())) for name, listed in found.items() if listed]


def _read(text: str, nesting_limit: int) -> tuple[Recommendation | None, str]:
    """An answer, or what is wrong with the text."""
    try:
        data = read_json(text.encode(), nesting_limit=nesting_limit)
        return _ANSWER.validate_python(data), ""
    except Problem as problem:
        return None, problem.detail
    except ValidationError as error:
        first = error.errors(include_input=False, include_url=False)[0]
        place = "/".join(str(step) for step in first["loc"])[:200]
        return None, f"{NOT_ONE} The first difference is at {place}."
