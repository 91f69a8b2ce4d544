"""Headings, paragraphs and list items on a console. Bold and indentation carry the order; no colour is needed."""

from __future__ import annotations

from rich.console import Console
from rich.rule import Rule
from rich.text import Text

__all__ = ["STEP", "heading", "item", "paragraph"]

STEP = 3
NARROWEST = 20  # no text is squeezed below this, whatever the terminal says


def heading(console: Console, words: str) -> None:
    """Begin a section."""
    console.print()
    console.print(Rule(Text(words.upper(), style="bold"), align="left", style="none"))


def paragraph(console: Console, words: str, *, depth: int = 0, style: str = "") -> None:
    """Print words, wrapped to the width of the console."""
    _print(console, Text(words, style=style), first=depth * STEP, after=depth * STEP)


def item(console: Console, mark: str, words: str, *, depth: int = 0, style: str = "bold") -> None:
    """Print an item of a list behind its mark, the following lines under the first word."""
    _print(console, Text(f"{mark:<{STEP}}{words}", style=style), first=depth * STEP, after=(depth + 1) * STEP)


def _print(console: Console, text: Text, *, first: int, after: int) -> None:
    lines = text.wrap(console, max(NARROWEST, console.width - after))
    for number, line in enumerate(lines):
        line.rstrip()
        console.print(Text(" " * (after if number else first)) + line)
