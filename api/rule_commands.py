"""What the commands do that look into rules: compare, evidence, without, release."""

from __future__ import annotations

import argparse

from api.exit_codes import FAULTS, OK
from api.output import console
from api.rule_text import show_comparison, show_evidence, show_fall
from decision import load_rule_book
from decision.reviewer.comparison import compare
from decision.reviewer.evidence_view import UnknownSource, evidence_of, fall_of, source_uses
from decision.reviewer.released import RELEASED, write_release
from decision.reviewer.replay import book_at
from decision.rule_folder import read_rule_folder, shipped_rules
from decision.vocabulary import nearest

__all__ = ["compare_rules", "evidence", "release", "without"]


def compare_rules(arguments: argparse.Namespace) -> int:
    """Print what a change of the rules does: which rules, and in which boxes of cases the verdict changes."""
    found = compare(book_at(arguments.before), book_at(arguments.after))
    show_comparison(console(), found)
    return FAULTS if arguments.no_less_cautious and found.less_cautious else OK


def evidence(arguments: argparse.Namespace) -> int:
    """Print how much of the rule book rests on what, and which rules rest on each source."""
    folder = read_rule_folder(arguments.rules or shipped_rules())
    show_evidence(console(), evidence_of(folder), source_uses(folder))
    return OK


def without(arguments: argparse.Namespace) -> int:
    """Print what falls if a source is retracted.

    Raises:
        UnusableLine: There is no such source.
    """
    from api.command_line import UnusableLine

    book = load_rule_book(arguments.rules)
    try:
        found = fall_of(book, arguments.source)
    except UnknownSource:
        hint = nearest(arguments.source, book.folder.sources)
        raise UnusableLine(f"{arguments.source} is no source.{hint} Sources are in sources.yaml.") from None
    show_fall(console(), found)
    return OK


def release(arguments: argparse.Namespace) -> int:
    """Keep the rule book under released/, once and for ever."""
    root = arguments.rules or shipped_rules()
    print(write_release(load_rule_book(root), root / RELEASED).name)
    return OK
