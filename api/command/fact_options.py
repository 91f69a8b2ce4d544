"""State facts on the command line: an option for each input of the vocabulary.

`base_width_mm` is stated by `--base-width-mm 4`. Codes and yes-or-no are read here; whether a number lies in its
range is for the case to say, as for every other door.
"""

from __future__ import annotations

import argparse
import functools
from typing import Any

from decision.case import PARTS
from decision.nearest import nearest
from decision.vocabulary import Input, Value, Vocabulary

__all__ = ["add_fact_options", "facts_in", "option_of"]

FACT = "fact:"  # before the name of an input, among the names that argparse returns
YES_NO = {"yes": True, "no": False, "true": True, "false": False}


def add_fact_options(command: argparse.ArgumentParser, vocabulary: Vocabulary, moment: str) -> None:
    """Add an option for each input that may be stated at a moment of the job, and one for the check lists."""
    lists = tuple(one.name for one in vocabulary.groups.values() if one.about in PARTS[moment])
    said = f"check lists ticked as checked, none of these: {', '.join(lists)}"
    command.add_argument("--ruled-out", nargs="+", default=[], metavar="LIST", choices=lists, help=said)
    for about in PARTS[moment]:
        block = command.add_argument_group(f"facts about the {about}")
        for one in vocabulary.about(about):
            _add_fact(block, one)


def facts_in(arguments: argparse.Namespace) -> dict[str, Any]:
    """The facts that the options state, by the name of the input."""
    given = {name.removeprefix(FACT): value for name, value in vars(arguments).items() if name.startswith(FACT)}
    return {name: value for name, value in given.items() if value is not None}


def option_of(name: str) -> str:
    """The option that states an input.

    >>> option_of("base_width_mm")
    '--base-width-mm'
    """
    return f"--{name.replace('_', '-')}"


def _add_fact(block: argparse._ArgumentGroup, one: Input) -> None:
    option: dict[str, Any] = {"dest": FACT + one.name, "help": one.question.replace("%", "%%")}
    if one.type == "code":
        option |= {"type": functools.partial(_code, one), "metavar": "CODE"}
        option["help"] += f" One of: {', '.join(one.allowed)}"
    elif one.type == "boolean":
        option |= {"type": _yes_or_no, "metavar": "yes|no"}
    else:
        option |= {"type": _number, "metavar": "N"} | ({"nargs": "+"} if one.type == "numbers" else {})
    block.add_argument(option_of(one.name), **option)


def _code(one: Input, written: str) -> Value:
    if written not in one.allowed:
        said = f'"{written}" is not a value of {one.name}.{nearest(written, one.allowed)}'
        raise argparse.ArgumentTypeError(f"{said} Allowed: {', '.join(one.allowed)}.")
    return written


def _yes_or_no(written: str) -> Value:
    if written.lower() not in YES_NO:
        raise argparse.ArgumentTypeError("say yes or no.")
    return YES_NO[written.lower()]


def _number(written: str) -> Value:
    try:
        return float(written)
    except ValueError:
        raise argparse.ArgumentTypeError(f'"{written}" is not a number.') from None
