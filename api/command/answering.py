"""What the commands do that take a case: facts in, questions asked in a terminal, an answer printed."""

from __future__ import annotations

import argparse
import datetime
from typing import Any, cast

import orjson
from rich.console import Console

from api.command.exit_codes import OK
from api.command.interview import Interview
from api.command.output import console, in_a_terminal
from api.command.stated_case import stated_case
from api.command.usage import MOMENTS, UnusableLine
from api.moments import decides
from api.shelves import Shelves
from api.text.review_text import show_cycle_review, show_healing_review
from api.text.terminal import show_recommendation
from decision.case import Case
from decision.rule_book import RuleBook

__all__ = ["answer"]


def answer(arguments: argparse.Namespace, book: RuleBook) -> int:
    """Answer one case at its moment of the job; in a terminal, ask for what is missing first.

    Raises:
        UnusableLine: The rule book decides nothing at that moment.
    """
    moment = MOMENTS[arguments.command]
    if not decides(book, moment):
        raise UnusableLine(f"the rule book has no rules for {arguments.command}.")
    case, out = stated_case(arguments, book.vocabulary), console()
    book = Shelves(book).book_for(case)
    today = datetime.datetime.now(tz=datetime.UTC).date()
    if in_a_terminal() and not arguments.json and not arguments.no_questions:
        case = Interview(book, out, today, moment=moment).completed(case)
    found = _answered(book.read(case, today=today, moment=moment), arguments, book)
    if arguments.json:
        print(orjson.dumps(found).decode())
    else:
        _show(out, moment, found, book)
    return OK


def _answered(case: Case, arguments: argparse.Namespace, book: RuleBook) -> Any:
    if case.moment == "before":
        return book.recommend(case, trace=arguments.trace)
    return book.review_cycle(case) if case.moment == "during" else book.review_healing(case)


def _show(out: Console, moment: str, found: Any, book: RuleBook) -> None:
    show = {"before": show_recommendation, "during": show_cycle_review, "after": show_healing_review}[moment]
    cast("Any", show)(out, found, book)
