"""The parts of a paper in print: headings, lists, rows with blanks, a frame for alarms, small print."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable, Paragraph, Spacer, Table

from api.papers.paper import Paper, Point, Row, Section

__all__ = ["Sheet", "small_print"]

PLAIN, BOLD = "Vera", "VeraBd"  # free fonts that come with the library; they are embedded
INK, GREY = HexColor("#1f1b17"), HexColor("#4a443d")
SMALL = 6.5
LABEL, HEAD, PAIR = 0.34, 0.36, 0.46  # share of a row, or of half a row, that the label gets
FRAME = 2.0  # line round an alarm, in points
GAP = 8.0  # between rows side by side, in points
LINE = "_" * 14  # to write on, behind a value

_FONTS: dict[str, Any] = {name: TTFont(name, f"{name}.ttf") for name in (PLAIN, BOLD)}
for _font in _FONTS.values():
    pdfmetrics.registerFont(_font)
pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
_GLYPHS = _FONTS[PLAIN].face.charToGlyph


def small_print(texts: Sequence[str]) -> list[Paragraph]:
    """What stands at the foot of each page."""
    style = ParagraphStyle("small", fontName=PLAIN, fontSize=SMALL, leading=SMALL * 1.25, textColor=GREY)
    return [Paragraph(_printed(text), style) for text in texts]


class Sheet:
    """The parts of a paper in one size of type."""

    def __init__(self, size: float, column: float) -> None:
        """Prepare the styles.

        Args:
            size: Of the body, in points.
            column: Width of the text, in points.
        """
        self._size, self._column = size, column
        body: dict[str, Any] = {"fontName": PLAIN, "fontSize": size, "leading": size * 1.2, "textColor": INK}
        self._body = ParagraphStyle("body", **body)
        self._point = ParagraphStyle(
            "point", **body, leftIndent=size * 1.1, bulletIndent=0, bulletFontName=BOLD, spaceAfter=size * 0.2
        )
        self._words = ParagraphStyle("words", **body, spaceBefore=size * 0.4, spaceAfter=size * 0.4)
        self._title = self._heading(1.5, space_before=0.0)
        self._section = self._heading(1.08, space_before=size * 0.55)

    def flowables(self, paper: Paper) -> list[Flowable]:
        """The whole paper, in order."""
        parts: list[Flowable] = [Paragraph(_printed(paper.title), self._title)]
        parts.append(Paragraph(_printed(paper.subtitle), self._body))
        parts += [Spacer(1, self._size * 0.3), self._pairs(paper.head, HEAD)]
        for section in paper.shown:
            inside = list(self._in_section(section, self._column - (2 * self._size if section.alarm else 0)))
            parts += [Spacer(1, self._size * 0.4), self._framed(inside)] if section.alarm else inside
        return parts

    def _heading(self, share: float, *, space_before: float) -> ParagraphStyle:
        size = self._size * share
        style: dict[str, Any] = {
            "fontName": BOLD,
            "fontSize": size,
            "leading": size * 1.2,
            "textColor": INK,
            "keepWithNext": 1,
        }
        return ParagraphStyle("heading", **style, spaceBefore=space_before, spaceAfter=self._size * 0.2)

    def _in_section(self, section: Section, column: float) -> Iterator[Flowable]:
        if section.title:
            title = section.title.upper() if section.alarm else section.title
            yield Paragraph(_printed(title), self._section)
        for words in section.words:
            yield Paragraph(_printed(words), self._words)
        for point in section.points:
            yield self._listed(point, ticks=section.ticks)
        if section.rows:
            yield self._pairs(section.rows, PAIR) if section.paired else self._rows(section.rows, column)

    def _listed(self, point: Point, *, ticks: bool) -> Paragraph:
        stands_out = "<b>{}</b>" if point.detail else "{}"
        said = f"{stands_out.format(_printed(point.text))} {_printed(point.detail)}".strip()
        if ticks:
            return _Ticked(said, self._point)
        return Paragraph(said, self._point, bulletText="•")

    def _rows(self, rows: Sequence[Row], column: float) -> Table:
        cells = [[Paragraph(_printed(row.label), self._body), self._value(row)] for row in rows]
        blank = [n for n, row in enumerate(rows) if not row.value]
        lines = [("LINEBELOW", (1, n), (1, n), 0.6, INK) for n in blank]
        room = [("TOPPADDING", (0, n), (-1, n), self._size * 0.7) for n in blank]  # to write by hand
        return _table(cells, [LABEL * column, (1 - LABEL) * column], [*_TIGHT, *lines, *room])

    def _value(self, row: Row) -> Paragraph:
        after = f" {LINE}" if row.then else ""
        return Paragraph(f"<b>{_printed(row.value)}</b>{after}", self._body)

    def _pairs(self, rows: Sequence[Row], label: float) -> Table:
        """Rows side by side, two in a line; `label` is the share of each half that the label gets."""
        cells: list[list[Any]] = []
        lines = []
        for n, pair in enumerate(rows[first : first + 2] for first in range(0, len(rows), 2)):
            line: list[Any] = []
            for place, row in enumerate(pair):
                line += [Paragraph(_printed(row.label), self._body), self._value(row), ""]
                if not row.value:
                    lines.append(("LINEBELOW", (3 * place + 1, n), (3 * place + 1, n), 0.6, INK))
            cells.append([*line, *[""] * (6 - len(line))])
        half = self._column / 2 - GAP
        return _table(cells, [half * label, half * (1 - label), GAP] * 2, [*_TIGHT, *lines])

    def _framed(self, inside: list[Flowable]) -> Table:
        frame = ("BOX", (0, 0), (-1, -1), FRAME, INK)
        room = self._size * 0.5
        padding = [("LEFTPADDING", (0, 0), (-1, -1), self._size), ("RIGHTPADDING", (0, 0), (-1, -1), self._size)]
        padding += [("TOPPADDING", (0, 0), (-1, -1), room), ("BOTTOMPADDING", (0, 0), (-1, -1), room)]
        return _table([[inside]], [self._column], [*padding, frame])


class _Ticked(Paragraph):
    """A point with a box to tick."""

    def draw(self) -> None:
        """Draw the box beside the first line, then the words."""
        size = self.style.fontSize
        self.canv.setLineWidth(0.8)
        self.canv.rect(0, self.height - size * 0.95, size * 0.7, size * 0.7)
        super().draw()


_TIGHT: list[Any] = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 6),
    ("TOPPADDING", (0, 0), (-1, -1), 1),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


def _table(cells: list[list[Any]], widths: list[float], style: list[Any]) -> Table:
    return Table(cells, colWidths=widths, style=style, hAlign="LEFT")


def _printed(text: str) -> str:
    """A text in characters that the font has, kept from being read as markup."""
    kept = "".join(one if ord(one) in _GLYPHS else _plain(one) for one in text)
    return escape(kept)


def _plain(character: str) -> str:
    """The nearest character that the font has, or a question mark."""
    bare = unicodedata.normalize("NFKD", character)[:1]
    return bare if bare and ord(bare) in _GLYPHS else "?"
