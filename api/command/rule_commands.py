"""What the commands do that look into rules: compare, changelog, evidence, without, release."""

from __future__ import annotations

import argparse

from api.command.exit_codes import FAULTS, OK
from api.command.output import console
from api.command.usage import UnusableLine
from api.text.rule_text import show_comparison, show_evidence, show_fall
from decision import load_rule_book
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.nearest import nearest
from decision.reviewer.change_log import changelog_faults, verdict_changes
from decision.reviewer.comparison import compare
from decision.reviewer.evidence_report import evidence_html
from decision.reviewer.evidence_view import UnknownSource, evidence_of, fall_of, source_uses
from decision.reviewer.released import RELEASED, newest_release, write_release
from decision.reviewer.replay import book_at

__all__ = ["changelog", "compare_rules", "evidence", "release", "without"]

CHANGELOG = "CHANGELOG.md"


def compare_rules(arguments: argparse.Namespace) -> int:
    """Print what a change of the rules does: which rules, and in which boxes of cases the verdict changes."""
    found = compare(book_at(arguments.before), book_at(arguments.after))
    show_comparison(console(), found)
    return FAULTS if arguments.no_less_cautious and found.less_cautious else OK


def changelog(arguments: argparse.Namespace) -> int:
    """Say whether the changelog names every verdict that changes since the newest released rule book."""
    root = arguments.rules or shipped_rules()
    newest = newest_release(root)
    if newest is None:
        print("No rule book is released yet, so there is nothing that a recommendation could change from.")
        return OK
    released, now = book_at(str(newest)), load_rule_book(root)
    if released.digest == now.digest:
        print(f"The rules are those of the released rule book {released.version}.")
        return OK
    path = root.resolve().parent / CHANGELOG
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    found = compare(released, now)
    faults = list(changelog_faults(found, text))
    for fault in faults:
        print(f"{CHANGELOG}: {fault}")
    print(f"Since {released.version} verdicts change by {len(verdict_changes(found))} rules. {len(faults)} faults.")
    return FAULTS if faults else OK


def evidence(arguments: argparse.Namespace) -> int:
    """Print how much of the rule book rests on what, and which rules rest on each source."""
    folder = read_rule_folder(arguments.rules or shipped_rules())
    counted, uses = evidence_of(folder), source_uses(folder)
    if arguments.html:
        print(evidence_html(counted, uses), end="")
    else:
        show_evidence(console(), counted, uses)
    return OK


def without(arguments: argparse.Namespace) -> int:
    """Print what falls if a source is retracted.

    Raises:
        UnusableLine: There is no such source.
    """
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
