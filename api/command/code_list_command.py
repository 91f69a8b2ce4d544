"""The command `thawline code-lists`: write the code lists, or compare them with what is written."""

from __future__ import annotations

import argparse

from api.code_lists import code_lists_of
from api.code_systems import code_system_files
from api.command.exit_codes import FAULTS, OK
from api.command.generated import differences, write
from decision.folder_reading import read_rule_folder, shipped_rules

__all__ = ["add_code_lists", "code_lists"]


def add_code_lists(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to a command line."""
    one = added.add_parser("code-lists", help="write the code lists, or compare them", allow_abbrev=False)
    one.add_argument("--check", action="store_true", help="compare with what is written; print the difference")
    one.set_defaults(run=code_lists)


def code_lists(arguments: argparse.Namespace) -> int:
    """Write the code lists of the rules as FHIR CodeSystems, or compare them with what is written."""
    root = arguments.rules or shipped_rules()
    folder = root.parent / "openapi" / "code-lists"
    files = code_system_files(code_lists_of(read_rule_folder(root)))
    if not arguments.check:
        folder.parent.mkdir(exist_ok=True)
        write(folder, files)
        return OK
    found = differences(folder, files)
    if found:
        print("\n".join([*found, "The code lists differ from the rules. Run: thawline code-lists"]))
    return FAULTS if found else OK
