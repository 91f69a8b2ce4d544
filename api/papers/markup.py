"""Lay a paper out as Markdown, or as a page of HTML that loads nothing and runs nothing."""

from __future__ import annotations

import base64
import hashlib
import re
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from api.papers.paper import Paper

__all__ = ["POLICY", "as_html", "as_markdown"]

FOLDER = Path(__file__).parent / "templates"
STYLE = Markup((FOLDER / "paper.css").read_text(encoding="utf-8"))
# The page may have this one style sheet, which stands in it, and nothing else.
POLICY = (
    "default-src 'none'; frame-ancestors 'none'; "
    f"style-src 'sha256-{base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()}'"
)
MOST_LETTERS = {13: 1000, 12: 1450, 11: 1700}  # on one page in print, by the size of type
SMALLEST = 10
_SPECIAL = re.compile(r"([\\`*_\[\]<>#|~])")


class _Ready(str):
    """Markdown that is not escaped once more."""

    __slots__ = ()


def as_markdown(paper: Paper) -> str:
    """Write a paper as Markdown. A blank is its name in double square brackets."""
    written = _MARKDOWN.get_template("paper.md").render(paper=paper, blank=lambda name: _Ready(f"[[{name}]]"))
    return re.sub(r"\n{3,}", "\n\n", written).strip() + "\n"


def as_html(paper: Paper) -> str:
    """Write a paper as a page to print. A blank is an empty line with its name as id."""
    return _HTML.get_template("paper.html").render(paper=paper, style=STYLE, blank=_line, size=_size(paper))


def _size(paper: Paper) -> int:
    """The type, in points, in which a paper of so many letters still stands on one page in print."""
    letters = sum(map(len, paper.texts()))
    return next((size for size, most in MOST_LETTERS.items() if letters <= most), SMALLEST)


def _line(name: str) -> Markup:
    return Markup('<span class="blank" id="{}"></span>').format(name)


def _escaped(value: Any) -> Any:
    """Keep a text from being read as Markdown or HTML."""
    if isinstance(value, _Ready) or not isinstance(value, str):
        return value
    return _SPECIAL.sub(r"\\\1", value.replace("&", "&amp;").replace("<", "&lt;"))


def _environment(**more: Any) -> Environment:
    """Templates in which a name that is not there is a fault, never an empty text."""
    loader = FileSystemLoader(FOLDER)
    return Environment(loader=loader, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, **more)


_MARKDOWN = _environment(autoescape=False, finalize=_escaped)
_HTML = _environment(autoescape=True)
