"""Ask the freeze table and the pool over HTTP: data, or a picture in cross-section.

The answer depends on the address and on the version of the table alone. A caller may keep it, and asks whether it is
still the same: a new table answers at the same address.
"""

from __future__ import annotations

import textwrap
from xml.sax.saxutils import escape

from starlette.requests import Request

from api.operations.table_parameters import FORMATS
from api.resource import Resource, resource_of
from api.text.estimate_text import no_band
from decision.freeze.answers import FreezeRefusal
from decision.freeze.cross_section import cross_section_svg
from decision.freeze.lookup import FreezeTable, load_freeze_table
from decision.single_freeze import FreezeQuestion, answer_question, asked_of, section_of
from decision.single_pool import PoolQuestion, answer_pool

__all__ = ["estimated", "picture", "pool_measured"]

KEPT = {"Cache-Control": "private, no-cache"}  # another caller may have no key, and another table answers otherwise
LETTERS = 64  # in a line of a picture without a band
LINE = 20


def estimated(request: Request) -> Resource:
    """The estimate that a query asks for, as data or as a picture."""
    stated = dict(request.state.query)
    media_type = FORMATS.get(stated.pop("format", ""), request.state.media_type)
    question, table = FreezeQuestion(**stated), load_freeze_table()
    if media_type == FORMATS["svg"]:
        return resource_of(picture(table, question), media_type, KEPT)
    return resource_of(answer_question(table, question, asked_of(table, question)), media_type, KEPT)


def pool_measured(request: Request) -> Resource:
    """The pool that a query asks about."""
    return resource_of(answer_pool(load_freeze_table(), PoolQuestion(**request.state.query)), FORMATS["json"], KEPT)


def picture(table: FreezeTable, question: FreezeQuestion) -> str:
    """The freeze in cross-section, in millimetres; where there is no band, a picture that says why."""
    found = asked_of(table, question)
    if isinstance(found, FreezeRefusal):
        return _said(no_band(found.reason))
    return cross_section_svg(section_of(question, found))


def _said(words: str) -> str:
    """Words as a picture, on the ground and in the ink of the cross-section."""
    lines = textwrap.wrap(words, LETTERS)
    height = LINE * (len(lines) + 1)
    said = "".join(
        f'<text x="14" y="{LINE * row}" fill="#2b2723">{escape(line)}</text>' for row, line in enumerate(lines, 1)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 {height}" role="img" aria-label="No band" '
        f'font-family="sans-serif" font-size="12"><title>{escape(words)}</title>'
        f'<rect width="480" height="{height}" rx="6" fill="#f6f3ec"/>{said}</svg>\n'
    )
