"""Pages as they are sent: templates filled in, style sheet and scripts, compressed, loading nothing from elsewhere."""

from __future__ import annotations

import gzip
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import Response

from api.moments import moments_of
from api.resource import resource_of, send
from api.settings import Settings
from api.text.estimate_text import band_in_words, through_in_words
from api.text.input_words import figure, value_in_words
from api.text.verdict_text import ladder_of
from api.web.body import body_of
from api.web.cycles import done_on, kept_of
from api.web.section import SKIN_DRAWN_MM
from api.web.settling import settling
from api.web.visit import LADDERS
from decision.measured import measured_for, measured_of
from decision.recommendation import Finding
from decision.rule_book import RuleBook
from decision.rule_folder import all_inputs

__all__ = ["POLICY", "Pages"]

TEMPLATES = Path(__file__).parent / "templates"
FILES = Path(__file__).parent / "files"
POLICY = "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
MEDIA = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
QUICK = 6  # of the levels 1 to 9 of gzip


class Pages:
    """The templates of the pages and the files they load."""

    def __init__(self, book: RuleBook, settings: Settings) -> None:
        """Read the templates once. They lead to no page that is off."""
        self._environment = Environment(
            loader=FileSystemLoader(TEMPLATES),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters.update(_filters(book))
        self._environment.globals.update(_at_hand(book), pages_open=settings.pages_open)
        self._files = {
            path.name: (resource_of(path.read_text(encoding="utf-8"), MEDIA[path.suffix]), _squeezed(path.read_bytes()))
            for path in FILES.iterdir()
        }

    def html(self, request: Request, template: str, status: int = 200, **shown: Any) -> Response:
        """Fill in a template and send it. Its security policy admits what this service itself serves, and no more."""
        root = request.scope.get("root_path", "")
        body = self._environment.get_template(template).render(root=root, **shown).encode()
        headers = {"Content-Security-Policy": POLICY, "Vary": "Accept-Encoding"}
        if _takes_gzip(request):
            headers["Content-Encoding"] = "gzip"
            body = gzip.compress(body, QUICK, mtime=0)
        return Response(body, status, headers, "text/html; charset=utf-8")

    def file(self, request: Request, name: str) -> Response | None:
        """Send a style sheet or a script; None where there is none of that name."""
        if name not in self._files:
            return None
        plain, squeezed = self._files[name]
        zipped = _takes_gzip(request)
        response = send(request, replace(plain, body=squeezed, etag=f'{plain.etag[:-1]}-gz"') if zipped else plain)
        response.headers["Vary"] = "Accept-Encoding"
        if zipped and response.body:
            response.headers["Content-Encoding"] = "gzip"
        return response


def _filters(book: RuleBook) -> dict[str, Callable[..., str]]:
    """How templates put what an answer holds into words."""
    inputs = all_inputs(book.folder)

    def finding_in_words(finding: Finding) -> str:
        about = inputs.get(finding["input"])  # an answer of another rule book may ask about something else
        return value_in_words(finding["given"], about) if about else f"{finding['given']}"

    return {
        "given": finding_in_words,
        "measured": measured_for,
        "measured_of": measured_of,
        "band": band_in_words,
        "through": through_in_words,
        "figure": figure,
        "window": _window,
        "spoken": _spoken,
    }


def _at_hand(book: RuleBook) -> dict[str, Any]:
    """What every template may ask for."""
    return {
        "book": book,
        "moments": moments_of(book),
        "ladder_for": lambda moment: ladder_of(book, LADDERS[moment]),
        "kept_of": lambda sheet, place: kept_of(sheet, place, book.vocabulary),
        "done_on": done_on,
        "settling": lambda questions, place: settling(questions, place, book.vocabulary),
        "body_of": body_of,
        "skin_mm": SKIN_DRAWN_MM,
    }


def _squeezed(body: bytes) -> bytes:
    return gzip.compress(body, mtime=0)


def _takes_gzip(request: Request) -> bool:
    offered = [one.strip().split(";") for one in request.headers.get("accept-encoding", "").lower().split(",")]
    return any(name == "gzip" and "q=0" not in "".join(more).replace(" ", "") for name, *more in offered)


def _window(window: Mapping[str, float] | None, unit: str = "") -> str:
    """A window in words.

    >>> _window({"low": 20, "high": 25}, "s"), _window({"low": 2, "high": 2}, "mm")
    ('20 to 25 s', '2 mm')
    """
    if window is None:
        return "not settled"
    ends = dict.fromkeys((figure(window["low"]), figure(window["high"])))
    return f"{' to '.join(ends)} {unit}".strip()


def _spoken(code: str) -> str:
    """A code as a reader says it."""
    return code.replace("_", " ")
