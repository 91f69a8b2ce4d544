"""Read the command line. The options that state facts are made from the vocabulary."""

from __future__ import annotations

import argparse
from pathlib import Path

from api.command.code_list_command import add_code_lists
from api.command.exit_codes import MEANINGS
from api.command.fact_options import add_fact_options
from api.command.key_command import add_new_key
from api.command.paper_command import add_papers
from api.command.reviewer_line import add_reviewer_commands
from api.command.table_commands import add_table_commands
from api.command.usage import MOMENTS
from decision.engine import ENGINE_VERSION
from decision.vocabulary import Vocabulary

__all__ = ["early", "parser"]

SAID = {
    "recommend": "say whether and how to freeze, and why",
    "review-cycle": "say whether one freeze and thaw was enough, and what to change next time",
    "review-healing": "say whether it heals as it should, and what to do when",
}


def early(written: list[str]) -> argparse.Namespace:
    """The rule folder and the command, which must be known before the facts that may be stated are."""
    reader = argparse.ArgumentParser(add_help=False, allow_abbrev=False, exit_on_error=False)
    reader.add_argument("--rules", type=Path)
    reader.add_argument("command", nargs="?")
    try:
        return reader.parse_known_args(written)[0]
    except argparse.ArgumentError:
        return argparse.Namespace(rules=None, command=None)


def parser(vocabulary: Vocabulary | None = None) -> argparse.ArgumentParser:
    """The whole command line; with a vocabulary, also its facts as options of the commands that take facts."""
    codes = "\n".join(f"  {code}  {meaning}" for code, meaning in MEANINGS.items())
    whole = argparse.ArgumentParser(
        prog="thawline",
        description="Decision support for freezing small skin lesions in animals. Facts in; verdict and reasons out.",
        epilog=f"exit codes:\n{codes}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    whole.add_argument("--version", action="version", version=f"thawline {ENGINE_VERSION}")
    whole.add_argument("--rules", type=Path, metavar="FOLDER", help="use the rules in FOLDER, not the shipped ones")
    added = whole.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for command, moment in MOMENTS.items():
        usage = f"thawline {command} [FILE] [options] [facts, each as --name value; see --help]"
        taking = added.add_parser(command, help=SAID[command], usage=usage, allow_abbrev=False)
        _add_case(taking)
        if moment == "before":
            _add_recommend(taking)
        if vocabulary is not None:
            add_fact_options(taking, vocabulary, moment)
    add_code_lists(added)
    add_new_key(added)
    add_papers(added)
    add_table_commands(added)
    add_reviewer_commands(added)
    _add_check(added)
    _add_serve(added)
    _add_written(added)
    added.add_parser("vocabulary", help="list what may be stated", allow_abbrev=False)
    return whole


def _add_check(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = added.add_parser("check", help="load a rule folder and try its examples", allow_abbrev=False)
    check.add_argument("folder", nargs="?", type=Path, metavar="FOLDER", help="the rule folder (the shipped one)")
    check.add_argument("--no-mutants", action="store_true", help="do not ask whether the examples notice changes")
    check.add_argument("--no-proofs", action="store_true", help="do not prove what can be proved of the rules")


def _add_serve(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    serve = added.add_parser("serve", help="answer over HTTP", allow_abbrev=False)
    serve.add_argument("--host", default="127.0.0.1", help="the address to listen at (127.0.0.1)")
    serve.add_argument("--port", type=_port, default=8000, metavar="N", help="the port to listen at (8000)")
    serve.add_argument("--workers", type=_workers, default=1, metavar="N", help="how many processes answer (1)")


def _add_written(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands that write what is made of the rules and the code, and is committed."""
    for name, what in (
        ("schema", "editor schema of rule files"),
        ("handbook", "handbook of the rules"),
        ("openapi", "OpenAPI document"),
    ):
        one = added.add_parser(name, help=f"write the {what}, or compare it", allow_abbrev=False)
        one.add_argument("--check", action="store_true", help="compare with what is written; print the difference")


def _add_case(taking: argparse.ArgumentParser) -> None:
    said = "a case in YAML or JSON; - for standard input; none: a case of one lesion, from the options and answers"
    taking.add_argument("file", nargs="?", metavar="FILE", help=said)
    taking.add_argument("--json", action="store_true", help="print the answer as the service would send it")
    taking.add_argument("--no-questions", action="store_true", help="ask nothing, even in a terminal")
    taking.add_argument("--as-of", metavar="DATE", help="the date of the answer, year-month-day (today)")
    taking.add_argument("--rule-book-version", metavar="VERSION", help="answer by this version and no other")


def _add_recommend(recommend: argparse.ArgumentParser) -> None:
    recommend.add_argument(
        "--trace",
        action="store_true",
        help="also tell which rules were outranked, are open, did not apply or say nothing here",
    )
    recommend.add_argument("--lesion", metavar="ID", help="the lesion that the options describe, if there are several")


def _port(written: str) -> int:
    return _whole(written, 0, 65535)


def _workers(written: str) -> int:
    return _whole(written, 1, 256)


def _whole(written: str, least: int, most: int) -> int:
    if not (written.isascii() and written.isdigit() and least <= int(written) <= most):
        raise argparse.ArgumentTypeError(f"say a whole number from {least} to {most}.")
    return int(written)
