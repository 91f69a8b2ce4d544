"""An answer that was kept, shown as an argument: what held, what did not and why, what is open; two side by side.

The text is read as strictly as a case. It is shown as it says of itself: nothing in it is checked against the rule
book that is loaded, but for its version and digest, which are compared.
"""

from __future__ import annotations

from pydantic import TypeAdapter, ValidationError
from starlette.requests import Request
from starlette.responses import Response

from api.problems import Problem
from api.service import service_of
from api.strict_json import read_json
from api.web.compare import comparison
from api.web.form import sheet_in
from api.web.page import Pages
from decision.recommendation import Recommendation

__all__ = ["argument_page"]

_ANSWER = TypeAdapter(Recommendation)
NOT_ONE = "This is not an answer to a case as this service gives it."


async def argument_page(request: Request, pages: Pages) -> Response:
    """The page: two fields to paste into, and what stands in them."""
    written = {"first": "", "second": ""}
    if request.method == "POST":
        frame = (await sheet_in(request)).frame
        written = {name: frame.get(name, "") for name in written}
    limit = service_of(request).settings.nesting_limit
    read = {name: _read(text, limit) for name, text in written.items() if text}
    answers = {name: one for name, (one, _) in read.items() if one is not None}
    both = comparison(answers["first"], answers["second"]) if len(answers) == len(written) else None
    faults = {name: fault for name, (_, fault) in read.items() if fault}
    return pages.html(request, "review.html", written=written, answers=answers, faults=faults, both=both)


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
