"""The command `thawline`: answer a case, ask the freeze table, check, serve, and what is generated.

This module runs a command and turns what can go wrong into an exit code and a readable text on standard error. The
words and options are read in command_line.py; what is printed is written in terminal.py and its neighbours.
"""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable, Sequence

from api.command import answering, command_line, commands
from api.command.exit_codes import CASE, FAULTS, INTERNAL, OK, USAGE, VERSION
from api.command.stated_case import UnreadableCase
from api.command.usage import MOMENTS, UnusableLine
from api.problems import Problem
from api.settings import UnusableSetting
from decision import load_rule_book
from decision.errors import CaseError, MatcherFault, RuleBookError, UnknownVersion

__all__ = ["main"]

INTERRUPTED = 130


def main(written: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        written: The words after `thawline`; those of this process when left out.

    Returns:
        The exit code; `thawline --help` lists them.
    """
    try:
        return _run(list(sys.argv[1:] if written is None else written))
    except SystemExit as left:  # argparse leaves after --help, --version and a usage fault
        return left.code if isinstance(left.code, int) else USAGE
    except BrokenPipeError:  # the reader of a pipe has seen enough; nothing more can be written to it
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return OK
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as fault:
        code, text = _explained(fault)
        print(text, file=sys.stderr)
        return code


def _run(written: list[str]) -> int:
    early = command_line.early(written)
    if early.command not in MOMENTS:
        arguments = command_line.parser().parse_args(written)
        run: Callable[..., int] = getattr(arguments, "run", None) or getattr(commands, arguments.command)
        return run(arguments)
    book = load_rule_book(early.rules)
    try:
        arguments = command_line.parser(book.vocabulary).parse_args(written)
        return answering.answer(arguments, book)
    finally:
        book.close()


def _explained(fault: Exception) -> tuple[int, str]:
    """The exit code and the text for what went wrong."""
    if isinstance(fault, RuleBookError):
        return FAULTS, str(fault)
    if isinstance(fault, UnusableLine | UnusableSetting):
        return USAGE, f"thawline: {fault}"
    if isinstance(fault, UnreadableCase):
        return CASE, f"{fault}\nThe case cannot be used."
    if isinstance(fault, Problem):
        places = [f"{one.get('pointer', '#')}: {one['detail']}" for one in fault.errors]
        return CASE, "\n".join([*places, "The case cannot be used."])
    if isinstance(fault, CaseError):
        return CASE, f"{fault}\nThe case cannot be used."
    if isinstance(fault, UnknownVersion):
        return VERSION, f"thawline: {fault}"
    if isinstance(fault, MatcherFault):
        return INTERNAL, f"thawline: {fault} No answer is given. Decide without this program, and report it."
    where = "".join(traceback.format_exception(fault))
    return INTERNAL, f"{where}thawline: an internal fault. No answer is given. Please report the lines above."
