"""A report as one HTML page that loads nothing: headings, lists, tables, charts."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from decision.reviewer import bar_chart

__all__ = ["page", "table"]

STYLE = """body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1a1a1a;
background:#fff}table{border-collapse:collapse}th,td{text-align:left;padding:.2rem .8rem .2rem 0;vertical-align:top}
pre{white-space:pre-wrap;background:#f3f3f3;padding:.6rem}"""


def page(title: str, parts: Iterable[str]) -> str:
    """A page with its title as the first heading.

    Args:
        title: Plain text.
        parts: HTML.
    """
    said, body = html.escape(title), "\n".join(parts)
    head = f'<meta charset="utf-8"><title>{said}</title><style>{STYLE}{bar_chart.STYLE}</style>'
    return f'<!doctype html><html lang="en"><head>{head}</head><body>\n<h1>{said}</h1>\n{body}\n</body></html>\n'


def table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table; the first cell of each row is its heading.

    >>> table(["rules"], [["plan"]])
    '<table><tr><th scope="col">rules</th></tr><tr><th scope="row">plan</th></tr></table>'
    """
    head = "".join(f'<th scope="col">{html.escape(one)}</th>' for one in columns)
    body = "".join(
        f'<tr><th scope="row">{html.escape(first)}</th>{"".join(f"<td>{html.escape(one)}</td>" for one in rest)}</tr>'
        for first, *rest in rows
    )
    return f"<table><tr>{head}</tr>{body}</table>"
