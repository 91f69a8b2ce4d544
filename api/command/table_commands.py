"""What the commands do that ask the freeze table and the pool: no case, no rule, no question."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from typing import Any

import orjson

from api.command.exit_codes import OK
from api.command.output import console
from api.operations.table_parameters import OF_FREEZE, OF_POOL
from api.text.input_words import figure
from api.text.table_text import show_freeze, show_picture, show_pool
from decision.freeze.answers import FreezeRefusal
from decision.freeze.cross_section import cross_section_text
from decision.freeze.lookup import load_freeze_table
from decision.single_freeze import FreezeQuestion, answer_question, asked_of, section_of
from decision.single_pool import PoolQuestion, answer_pool

__all__ = ["add_table_commands", "estimate", "tilt"]

FINE_MM, COARSE_MM = 0.25, 0.5  # of a picture, in a column
WIDE = 80  # columns that the fine picture may need


def add_table_commands(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add `estimate` and `tilt`, with an option for each parameter of the service."""
    for name, help_text, parameters in (
        ("estimate", "print what one freeze reaches, and its cross-section", OF_FREEZE),
        ("tilt", "print how a pool stands in a tilted cone, what its sides reach, and what a fill takes", OF_POOL),
    ):
        command = added.add_parser(name, help=help_text, allow_abbrev=False)
        command.add_argument("--json", action="store_true", help="print the answer as the service would send it")
        for one in parameters:
            _add_option(command, one)


def estimate(arguments: argparse.Namespace) -> int:
    """Print what one freeze reaches, or why there is no band."""
    question, table = FreezeQuestion(**_stated(arguments, OF_FREEZE)), load_freeze_table()
    found = asked_of(table, question)
    answer = answer_question(table, question, found)
    if arguments.json:
        print(orjson.dumps(answer).decode())
        return OK
    out = console()
    show_freeze(out, answer)
    if not isinstance(found, FreezeRefusal):
        cell_mm = FINE_MM if out.width >= WIDE else COARSE_MM
        show_picture(out, cross_section_text(section_of(question, found), cell_mm=cell_mm))
    return OK


def tilt(arguments: argparse.Namespace) -> int:
    """Print how a pool stands in a tilted cone."""
    answer = answer_pool(load_freeze_table(), PoolQuestion(**_stated(arguments, OF_POOL)))
    if arguments.json:
        print(orjson.dumps(answer).decode())
    else:
        show_pool(console(), answer)
    return OK


def _add_option(command: argparse.ArgumentParser, one: Mapping[str, Any]) -> None:
    schema, option = one["schema"], f"--{one['name'].replace('_', '-')}"
    more: dict[str, Any] = {"required": one["required"], "help": one["description"], "dest": one["name"]}
    if "enum" in schema:
        command.add_argument(option, choices=schema["enum"], metavar="CODE", **more)
    else:
        more["help"] += f" From {figure(schema['minimum'])} to {figure(schema['maximum'])}."
        command.add_argument(option, type=_Number(schema), metavar="N", **more)


def _stated(arguments: argparse.Namespace, parameters: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    given = {one["name"]: getattr(arguments, one["name"]) for one in parameters}
    return {name: value for name, value in given.items() if value is not None}


class _Number:
    """Reads a number within the range of a parameter."""

    def __init__(self, schema: Mapping[str, Any]) -> None:
        self._schema = schema

    def __call__(self, written: str) -> float:
        low, high, whole = self._schema["minimum"], self._schema["maximum"], self._schema["type"] == "integer"
        try:
            number = float(written)
        except ValueError:
            number = float("nan")
        if not low <= number <= high or (whole and not number.is_integer()):
            kind = "whole number" if whole else "number"
            raise argparse.ArgumentTypeError(f"say a {kind} from {figure(low)} to {figure(high)}.")
        return int(number) if whole else number
