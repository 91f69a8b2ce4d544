"""The words and options of the reviewer's commands."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from api.command import reviewer_commands as commands
from api.command import rule_commands

__all__ = ["add_reviewer_commands"]

CASE = "a case in YAML or JSON; - for standard input"
RULES = "a rule folder, or a released rule book (a JSON file)"


def add_reviewer_commands(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands that look into answers, and those that look into rules."""
    _add_of_answers(added)
    _add_of_rules(added)


def _add_of_answers(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    for name, said, file, run in (
        ("explain", "tell why and why not: every rule with its findings", CASE, commands.explain),
        (
            "what-would-change",
            "tell which facts, were they otherwise, would change the verdict",
            CASE,
            commands.changes,
        ),
        ("record", "print a case with its answer, as a record that stands alone", CASE, commands.record),
        ("reproduce", "give a recorded answer again, and tell each difference", "a record", commands.reproduced),
    ):
        one = added.add_parser(name, help=said, allow_abbrev=False)
        one.add_argument("file", metavar="FILE", help=file)
        if name in ("explain", "record"):
            one.add_argument("--moment", choices=("before", "during", "after"), default="before", help="of the job")
        if name == "explain":
            one.add_argument("--markdown", action="store_true", help="print it as Markdown")
        if name != "record":
            one.add_argument("--json", action="store_true", help="print it as data")
        one.set_defaults(run=run)
    replay = added.add_parser(
        "replay", help="answer many cases by two rule books and count changes", allow_abbrev=False
    )
    replay.add_argument("cases", type=Path, metavar="CASES", help="JSON Lines, or Parquet with a column `case`")
    replay.add_argument("--against", required=True, metavar="RULES", help=f"as it was: {RULES}")
    replay.add_argument("--and", dest="after", required=True, metavar="RULES", help=f"as it is to be: {RULES}")
    replay.add_argument("--workers", type=int, choices=range(1, 257), default=os.cpu_count() or 1, metavar="N")
    replay.add_argument(
        "--cluster", metavar="ADDRESS", help="the scheduler of a Dask cluster, instead of processes here"
    )
    form = replay.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print the counts as data")
    form.add_argument("--html", action="store_true", help="print the report as a page")
    replay.set_defaults(run=commands.replayed)


def _add_of_rules(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    compare = added.add_parser("compare", help="tell what a change of the rules does", allow_abbrev=False)
    compare.add_argument("before", metavar="RULES_A", help=f"as it was: {RULES}")
    compare.add_argument("after", metavar="RULES_B", help=f"as it is to be: {RULES}")
    compare.add_argument(
        "--no-less-cautious", action="store_true", help="fail when some case is answered less cautiously"
    )
    compare.set_defaults(run=rule_commands.compare_rules)
    changelog = added.add_parser(
        "changelog",
        help="check that the changelog names every verdict that changes since the last release",
        allow_abbrev=False,
    )
    changelog.set_defaults(run=rule_commands.changelog)
    evidence = added.add_parser("evidence", help="tell what the rules rest on", allow_abbrev=False)
    evidence.add_argument("--html", action="store_true", help="print it as a page with charts")
    evidence.set_defaults(run=rule_commands.evidence)
    without = added.add_parser("without", help="tell what falls if a source is retracted", allow_abbrev=False)
    without.add_argument("source", metavar="SOURCE", help="the key of a source in sources.yaml")
    without.set_defaults(run=rule_commands.without)
    release = added.add_parser("release", help="keep the rule book for ever, under released/", allow_abbrev=False)
    release.set_defaults(run=rule_commands.release)
