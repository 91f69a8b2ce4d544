"""What the commands do that take no case: ask the freeze table, check, serve, list, and the generated documents."""

from __future__ import annotations

import argparse
import dataclasses
import os

from api.command.check_report import show_faults, show_proof, show_survivors, show_tallies
from api.command.exit_codes import FAULTS, OK
from api.command.generated import differences, write
from api.command.output import console
from api.command.table_commands import estimate, tilt
from api.command.vocabulary_table import show_vocabulary
from api.settings import settings_from
from decision import load_rule_book
from decision.errors import RuleBookError
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.handbook.book import HANDBOOK, handbook_differs, write_handbook
from decision.rule_schema import schema_files
from decision.verification.examples import tally
from decision.verification.proof import prove

__all__ = ["check", "estimate", "handbook", "openapi", "schema", "serve", "tilt", "vocabulary"]


def check(arguments: argparse.Namespace) -> int:
    """Load a rule folder, print every fault, and ask whether its examples notice changes."""
    out = console()
    try:
        book = load_rule_book(arguments.folder or arguments.rules)
    except RuleBookError as refused:
        show_faults(out, refused)
        return FAULTS
    tallies = tally(book.folder, mutants=not arguments.no_mutants)
    show_tallies(out, tallies, book.folder, mutants=not arguments.no_mutants)
    found = show_survivors(out, tallies)
    if not arguments.no_proofs:
        found = show_proof(out, prove(book)) or found
    book.close()
    return FAULTS if found else OK


def serve(arguments: argparse.Namespace) -> int:
    """Answer over HTTP until told to stop.

    A rule folder, a mapping or a file of keys with a fault is reported, and nothing is served.
    """
    from api.running.serving import APPLICATION, serve_until_stopped

    settings = settings_from(os.environ)
    if arguments.rules is not None:
        settings = dataclasses.replace(settings, rules_folder=arguments.rules.absolute())
    where = {"host": arguments.host, "port": arguments.port}
    serve_until_stopped(settings, workers=arguments.workers, application=APPLICATION, **where)
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


def handbook(arguments: argparse.Namespace) -> int:
    """Write the handbook of the rules, or compare it with what is written."""
    root = arguments.rules or shipped_rules()
    folder = read_rule_folder(root)
    if not arguments.check:
        write_handbook(root / HANDBOOK, folder)
    elif found := handbook_differs(root / HANDBOOK, folder):
        print(f"{found}\nThe handbook differs from the rules. Run: thawline handbook")
        return FAULTS
    return OK


def openapi(arguments: argparse.Namespace) -> int:
    """Write the OpenAPI document, or compare it with what is written."""
    from api.released.committed import openapi_differs, write_openapi

    path = shipped_rules().parent / "openapi" / "openapi.json"
    if not arguments.check:
        write_openapi(path)
    elif openapi_differs(path):
        print("openapi/openapi.json differs from what the service answers. Run: thawline openapi")
        return FAULTS
    return OK


def vocabulary(arguments: argparse.Namespace) -> int:
    """List what may be stated."""
    show_vocabulary(console(), read_rule_folder(arguments.rules or shipped_rules()).vocabulary)
    return OK
