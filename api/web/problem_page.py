"""A problem as a page in the look of the others, for a person who came to an address of the pages.

Addresses of programs keep their problem documents, whatever a caller accepts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from api.acceptance import preferred
from api.problem_kinds import Kind
from api.problems import ProblemDocument
from api.web.page import Pages

__all__ = ["problem_pages"]

PAGE = "text/html"
OFFERED = ("application/problem+json", "application/json", PAGE)


def problem_pages(pages: Pages, of_programs: Iterable[BaseRoute]) -> Callable[..., Response | None]:
    """What answers with a page where a person asks.

    Args:
        pages: The templates.
        of_programs: The routes at which programs ask. No page stands below the first part of one of their paths.
    """
    taken = {_first_part(getattr(one, "path", "")) for one in of_programs}

    def page_of(request: Request, kind: Kind, document: ProblemDocument, headers: Mapping[str, str]) -> Response | None:
        asked = request.scope["path"].removeprefix(request.scope.get("root_path", ""))
        accepted = ", ".join(request.headers.getlist("accept"))
        if _first_part(asked) in taken or preferred(accepted, OFFERED) != PAGE:
            return None
        said: dict[str, Any] = {"kind": kind, "problem": document}
        response = pages.html(request, "problem.html", kind.status, **said)
        response.headers.update({**headers, "Vary": "Accept, Accept-Encoding"})
        return response

    return page_of


def _first_part(path: str) -> str:
    """The first part of a path.

    >>> _first_part("/v1/rules"), _first_part("/")
    ('v1', '')
    """
    return path.removeprefix("/").partition("/")[0]
