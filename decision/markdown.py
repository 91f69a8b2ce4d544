"""Write Markdown: text that is not taken for markup, headings that can be linked to, lists, tables.

It knows nothing of rules. An anchor is written into its heading, so that a link outlives a change of the title.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

__all__ = ["anchor", "bullets", "heading", "link", "plain", "sentence", "table", "target"]

_MARKUP = re.compile(r"([\\`*\[\]<>|])")


def plain(text: str) -> str:
    r"""Text that a reader of Markdown sees as it stands.

    >>> plain("under 5 mm [not measured] | *")
    'under 5 mm \\[not measured\\] \\| \\*'
    """
    return _MARKUP.sub(r"\\\1", text)


def anchor(*names: str) -> str:
    """The name of a place to link to.

    >>> anchor("suitability", "classic_to_five")
    'suitability-classic-to-five'
    """
    return re.sub(r"[^a-z0-9]+", "-", "-".join(names).lower()).strip("-")


def target(place: str) -> str:
    """The place itself, for the start of a heading or a line."""
    return f'<a id="{place}"></a>'


def heading(level: int, text: str, place: str) -> str:
    """A heading that can be linked to by a name of its own."""
    return f"{'#' * level} {target(place)}{plain(text)}"


def link(words: str, place: str) -> str:
    """Words that lead to a place on the same page.

    >>> link("base width", "fact-base-width-mm")
    '[base width](#fact-base-width-mm)'
    """
    return f"[{plain(words)}](#{place})"


def bullets(lines: Iterable[str]) -> str:
    """A list, one short line for each entry."""
    return "\n".join(f"- {line}" for line in lines)


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table. Cells are Markdown already.

    >>> print(table(["certainty", "rules"], [["low", "82"]]))
    | certainty | rules |
    | --- | --- |
    | low | 82 |
    """
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)


def sentence(words: str) -> str:
    """Words with a capital and a full stop.

    >>> sentence("excise it"), sentence("Where is it?")
    ('Excise it.', 'Where is it?')
    """
    ended = words if words.endswith((".", "?", "!")) else f"{words}."
    return f"{ended[:1].upper()}{ended[1:]}"
