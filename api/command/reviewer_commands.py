"""What the commands do that look into answers: explain, what-would-change, record, reproduce, replay."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import orjson
from rich.console import Console
from rich.progress import Progress

from api.command.exit_codes import FAULTS, OK
from api.command.output import console
from api.command.usage import UnusableLine
from api.service import today
from api.shelves import Shelves
from api.text.reviewer_text import show_argument, show_changes, show_reproduction
from decision import load_rule_book
from decision.reviewer.answer_record import record_of
from decision.reviewer.argument import argue
from decision.reviewer.argument_page import argument_page
from decision.reviewer.replay import replay
from decision.reviewer.replay_report import replay_html, replay_markdown
from decision.reviewer.reproduction import reproduce
from decision.reviewer.shelf import Shelf
from decision.reviewer.what_would_change import ChangeSearch
from decision.rule_book import RuleBook

__all__ = ["changes", "explain", "record", "replayed", "reproduced"]


def explain(arguments: argparse.Namespace) -> int:
    """Print why and why not: every rule with its outcome and its findings."""
    book, case = _read(arguments)
    arguments_found = argue(book, book.checked(case, case.moment))
    if arguments.json:
        print(orjson.dumps(arguments_found).decode())
    elif arguments.markdown:
        print(argument_page(arguments_found))
    else:
        show_argument(console(), arguments_found)
    return OK


def changes(arguments: argparse.Namespace) -> int:
    """Print which facts, were they otherwise, would change the verdict."""
    book, case = _read(arguments)
    found = ChangeSearch(book).search(book.checked(case))
    if arguments.json:
        print(orjson.dumps(found).decode())
    else:
        show_changes(console(), found, book)
    return OK


def record(arguments: argparse.Namespace) -> int:
    """Print a case with its answer, as a record that stands alone."""
    book, case = _read(arguments)
    print(orjson.dumps(record_of(book, case), option=orjson.OPT_INDENT_2).decode())
    return OK


def reproduced(arguments: argparse.Namespace) -> int:
    """Give a recorded answer again. The exit code says whether the conclusion is the same."""
    from api.command.stated_case import read_file

    book = load_rule_book(arguments.rules)
    data = read_file(arguments.file)
    found = reproduce(data, book, Shelf(book.folder.root))
    if arguments.json:
        print(orjson.dumps(found).decode())
    else:
        show_reproduction(console(), found)
    return OK if found["same_conclusion"] else FAULTS


def replayed(arguments: argparse.Namespace) -> int:
    """Answer many cases by two rule books, and print what would be answered differently."""
    if not arguments.cases.is_file():
        raise UnusableLine(f"{arguments.cases} cannot be read: it is no file.")
    with _progress() as done:
        tally = _on_cluster(arguments) if arguments.cluster else _here(arguments, done)
    if arguments.json:
        print(orjson.dumps(tally).decode())
    else:
        print(replay_html(tally) if arguments.html else replay_markdown(tally), end="")
    return OK


def _read(arguments: argparse.Namespace) -> tuple[RuleBook, Any]:
    """The rule book that a case asks for, and the case read by it."""
    from api.command.stated_case import read_file, unwrapped

    data = unwrapped(read_file(arguments.file))
    moment = getattr(arguments, "moment", "before")
    book = load_rule_book(arguments.rules)
    asked = Shelves(book).book_for(data)
    return asked, asked.read(data, today=today(), moment=moment)


def _here(arguments: argparse.Namespace, done: Callable[[int, int], None]) -> Any:
    return replay(arguments.cases, arguments.against, arguments.after, arguments.workers, done)


def _on_cluster(arguments: argparse.Namespace) -> Any:
    from distributed import Client

    from decision.reviewer.replay_dask import replay_on

    rules = [str(Path(one).absolute()) for one in (arguments.against, arguments.after)]
    with Client(arguments.cluster) as client:  # type: ignore[no-untyped-call]
        return replay_on(client, arguments.cases.absolute(), *rules)


@contextmanager
def _progress() -> Any:
    """A bar on standard error, where somebody watches."""
    if not sys.stderr.isatty():
        yield lambda done, whole: None
        return
    with Progress(console=Console(file=sys.stderr), transient=True) as bar:
        task = bar.add_task("replaying", total=None)
        yield lambda done, whole: bar.update(task, completed=done, total=whole)
