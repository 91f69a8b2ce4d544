r"""Write text into a card so that it is read as text: no character of it begins a link, a heading or anything else.

>>> escaped("[free](http://x.example) <b> *now*")
'\\[free\\]\\(http\\://x.example\\) \\<b\\> \\*now\\*'
"""

from __future__ import annotations

import re

__all__ = ["bullets", "escaped", "named", "section", "shortened"]

MOST_OF_A_NAME = 40
MOST_OF_A_SUMMARY = 139  # a summary has fewer than 140 characters

_MARKUP = re.compile(r"([\\`*_{}\[\]<>()#!|~&])|(:)(?=//)|((?<=^)[-+.=]|(?<=www)\.)")
_NO_PLAIN_TEXT = re.compile(r"[^\w ,.'+-]|_|\.(?!\d)")
_BREAKS = re.compile(r"[\s\x00-\x1f\x7f\u2028\u2029]+")


def escaped(text: str) -> str:
    """One line of text, with everything escaped that Markdown reads as markup."""
    line = _BREAKS.sub(" ", text).strip()
    return _MARKUP.sub(lambda found: f"\\{found[0]}", line)


def shortened(text: str) -> str:
    """A summary, cut at a word where it is too long.

    >>> len(shortened("word " * 60)) < 140
    True
    """
    line = _BREAKS.sub(" ", text).strip()
    if len(line) <= MOST_OF_A_SUMMARY:
        return line
    return line[: MOST_OF_A_SUMMARY - 1].rsplit(" ", 1)[0].rstrip(" .,;:") + "…"


def named(text: str) -> str:
    """What somebody called a thing: its letters and figures in quotes, on one line, cut where it is long.

    Nothing that a client might take for markup, an address or an order of reading is left of it.

    >>> named("Tag [left](https://x.example) flank, 2.5 cm")
    '"Tag left https x example flank, 2.5 cm"'
    >>> named("*"), len(named("x" * 99))
    ('', 42)
    """
    line = " ".join(_NO_PLAIN_TEXT.sub(" ", text).split())
    cut = line if len(line) <= MOST_OF_A_NAME else f"{line[: MOST_OF_A_NAME - 1].rstrip()}…"
    return f'"{cut}"' if cut else ""


def bullets(lines: list[str]) -> str:
    """A list, each entry on a line of its own. The entries are Markdown already."""
    return "\n".join(f"- {line}" for line in lines)


def section(heading: str, lines: list[str]) -> str:
    """A heading and a list; nothing where there is nothing to list."""
    kept = [line for line in lines if line]
    return f"**{heading}**\n\n{bullets(kept)}" if kept else ""
