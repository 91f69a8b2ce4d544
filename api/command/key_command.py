"""The command `thawline new-key NAME`: draw a key, and print what to write into the file of keys."""

from __future__ import annotations

import argparse

from api.command.exit_codes import OK
from api.keys import hash_of, new_key

__all__ = ["add_new_key", "print_new_key"]


def add_new_key(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to a command line."""
    one = added.add_parser("new-key", help="draw a key for a client of the service", allow_abbrev=False)
    one.add_argument("name", metavar="NAME", help="what the key is called in the log, for instance west_practice")
    one.set_defaults(run=print_new_key)


def print_new_key(arguments: argparse.Namespace) -> int:
    """Print a key once, and its entry. The key itself is kept nowhere."""
    key = new_key()
    print(f"The key, for its holder alone: {key}\n")
    print("Its entry in the file that THAWLINE_API_KEYS names:\n")
    print(f"keys:\n  - name: {arguments.name}\n    sha256: {hash_of(key)}")
    print("    requests_per_minute: 600\n    at_once: 20")
    return OK
