"""The console of standard output."""

from __future__ import annotations

import sys

from rich.console import Console

__all__ = ["console", "in_a_terminal"]


class _Output(Console):
    """A console that leaves it to the command what to do when its reader has gone."""

    def on_broken_pipe(self) -> None:
        raise BrokenPipeError


def console() -> Console:
    """The console of standard output: no markup, no guessing at what to colour."""
    return _Output(file=sys.stdout, markup=False, highlight=False, emoji=False, soft_wrap=False)


def in_a_terminal() -> bool:
    """Whether somebody sits at both ends, so that questions can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()
