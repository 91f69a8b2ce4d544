"""What each command does: facts in, an answer printed, an exit code out."""

from __future__ import annotations

import argparse
import datetime
import os
import sys

import orjson
from rich.console import Console

from api.check_report import show_faults, show_survivors, show_tallies
from api.exit_codes import FAULTS, OK
from api.generated import differences, write
from api.interview import Interview
from api.settings import settings_from
from api.stated_case import stated_case
from api.terminal import show_recommendation
from api.vocabulary_table import show_vocabulary
from decision import load_rule_book
from decision.errors import RuleBookError
from decision.rule_book import RuleBook
from decision.rule_folder import read_rule_folder, shipped_rules
from decision.rule_schema import schema_files
from decision.verification import tally

__all__ = ["check", "openapi", "recommend", "schema", "serve", "vocabulary"]


def recommend(arguments: argparse.Namespace, book: RuleBook) -> int:
    """Answer one case; in a terminal, ask for what is missing first."""
    case = stated_case(arguments, book.vocabulary)
    today = datetime.datetime.now(tz=datetime.UTC).date()
    console = _console()
    if _in_a_terminal() and not arguments.json and not arguments.no_questions:
        case = Interview(book, console, today).completed(case)
    answer = book.recommend(book.read(case, today=today), trace=arguments.trace)
    if arguments.json:
        print(orjson.dumps(answer).decode())
    else:
        show_recommendation(console, answer, book)
    return OK


def check(arguments: argparse.Namespace) -> int:
    """Load a rule folder, print every fault, and ask whether its examples notice changes."""
    console = _console()
    try:
        book = load_rule_book(arguments.folder or arguments.rules)
    except RuleBookError as refused:
        show_faults(console, refused)
        return FAULTS
    tallies = tally(book.folder, mutants=not arguments.no_mutants)
    book.close()
    show_tallies(console, tallies, book.folder, mutants=not arguments.no_mutants)
    return FAULTS if show_survivors(console, tallies) else OK


def serve(arguments: argparse.Namespace) -> int:
    """Answer over HTTP until told to stop. A rule folder with a fault is reported and nothing is served."""
    import uvicorn

    load_rule_book(arguments.rules or settings_from(os.environ).rules_folder).close()
    if arguments.rules is not None:
        os.environ["THAWLINE_RULES_FOLDER"] = str(arguments.rules.absolute())
    uvicorn.run(
        "api.app:create",
        factory=True,
        host=arguments.host,
        port=arguments.port,
        workers=arguments.workers,
        server_header=False,
    )
    return OK


def schema(arguments: argparse.Namespace) -> int:
    """Write the editor schema of rule files, or compare it with what is written."""
    root = arguments.rules or shipped_rules()
    files = schema_files(read_rule_folder(root))
    if not arguments.check:
        write(root / "schema", files)
        return OK
    found = differences(root / "schema", files)
    print("\n".join([*found, "The schema differs from the rules. Run: thawline schema"] if found else []), end="")
    return FAULTS if found else OK


def openapi(arguments: argparse.Namespace) -> int:
    """Write the OpenAPI document, or compare it with what is written."""
    from api.openapi import openapi_differs, write_openapi

    path = shipped_rules().parent / "openapi" / "openapi.json"
    if not arguments.check:
        write_openapi(path)
    elif openapi_differs(path):
        print("openapi/openapi.json differs from what the service answers. Run: thawline openapi")
        return FAULTS
    return OK


def vocabulary(arguments: argparse.Namespace) -> int:
    """List what may be stated."""
    show_vocabulary(_console(), read_rule_folder(arguments.rules or shipped_rules()).vocabulary)
    return OK


class _Output(Console):
    """A console that leaves it to the command what to do when its reader has gone."""

    def on_broken_pipe(self) -> None:
        raise BrokenPipeError


def _console() -> Console:
    """The console of standard output: no markup, no guessing at what to colour."""
    return _Output(file=sys.stdout, markup=False, highlight=False, emoji=False, soft_wrap=False)


def _in_a_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()
