"""Lay a paper out as PDF: A4, fonts embedded, the same bytes for the same paper.

A paper that must stand on one page gets the largest type that fits; the small print stands at the foot of each page.
"""

from __future__ import annotations

import bisect
import io
import threading
from collections.abc import Sequence
from typing import Any

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageTemplate
from reportlab.platypus.doctemplate import BaseDocTemplate
from reportlab.platypus.frames import Frame

from api.papers.paper import Paper
from api.papers.pdf_parts import Sheet, small_print

__all__ = ["as_pdf", "fitting_size"]

WIDE, HIGH = A4
SIDE, TOP, FOOT = 15 * mm, 12 * mm, 8 * mm
GAP = 3 * mm  # between the text and the small print
PLAIN = 9.5
_printing = threading.Lock()
SIZES = [8 + step / 4 for step in range(29)]  # up to 15 points


def as_pdf(paper: Paper) -> bytes:
    """Write a paper as PDF, one at a time: the library keeps its fonts for all."""
    with _printing:
        return _printed(paper)


def _printed(paper: Paper) -> bytes:
    size = fitting_size(paper) if paper.one_page else PLAIN
    foot = small_print(paper.small_print)
    written = io.BytesIO()
    document = BaseDocTemplate(
        written, pagesize=A4, invariant=1, title=paper.title, author="Thawline", subject=paper.subtitle, lang="en"
    )

    def print_foot(canvas: Any, _: Any) -> None:
        y = FOOT
        for one in reversed(foot):
            _, height = one.wrapOn(canvas, _column(), HIGH)
            one.drawOn(canvas, SIDE, y)
            y += height
        canvas.line(SIDE, y + 2, WIDE - SIDE, y + 2)

    frame = Frame(SIDE, HIGH - TOP - _room(paper), _column(), _room(paper), 0, 0, 0, 0)
    document.addPageTemplates([PageTemplate(frames=[frame], onPage=print_foot)])
    document.build(Sheet(size, _column()).flowables(paper))
    return written.getvalue()


def fitting_size(paper: Paper) -> float:
    """The largest type, in points, in which a paper stands on one page."""
    room = _room(paper)

    def fits(size: float) -> bool:
        return _height(Sheet(size, _column()).flowables(paper)) <= room

    return SIZES[max(bisect.bisect(SIZES, False, key=lambda size: not fits(size)) - 1, 0)]


def _column() -> float:
    return WIDE - 2 * SIDE


def _room(paper: Paper) -> float:
    """The height that is left above the small print."""
    return HIGH - TOP - FOOT - GAP - sum(one.wrap(_column(), HIGH)[1] for one in small_print(paper.small_print))


def _height(flowables: Sequence[Flowable]) -> float:
    """How high flowables stand under each other; of two spaces between them the larger counts."""
    height = after = 0.0
    for place, one in enumerate(flowables):
        before = max(one.getSpaceBefore() - after, 0.0) if place else 0.0
        height += after + before + one.wrap(_column(), HIGH)[1]
        after = one.getSpaceAfter()
    return height
