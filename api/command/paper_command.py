"""The command `thawline papers`: a case in, a paper out."""

from __future__ import annotations

import argparse
import datetime
import sys
from pathlib import Path
from typing import Any

from api.command.exit_codes import OK
from api.command.usage import UnusableLine
from api.papers.desk import PAPERS, laid_out, paper_of
from api.papers.request import MEDIA, read_paper_request
from api.shelves import Shelves
from decision import load_rule_book
from decision.reviewer.record_faults import inside

__all__ = ["add_papers", "papers"]

FORM_OF = {".pdf": "pdf", ".html": "html", ".htm": "html", ".md": "markdown"}


def add_papers(added: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command and its options."""
    said = "write the sheet for the owner, the points of consent, or the note for the chart"
    command = added.add_parser("papers", help=said, allow_abbrev=False)
    command.add_argument("kind", choices=tuple(PAPERS), metavar="KIND", help=f"one of: {', '.join(PAPERS)}")
    command.add_argument(
        "file", metavar="FILE", help="a case, or a request with case, cycles and chart, in YAML or JSON; - for input"
    )
    command.add_argument("--format", choices=tuple(MEDIA), help="how it is laid out (by the name of OUT; markdown)")
    command.add_argument("--lesion", metavar="ID", help="which lesion it is about, if there are several")
    command.add_argument("-o", "--output", type=Path, metavar="OUT", help="the file to write (standard output)")
    command.set_defaults(run=papers)


def papers(arguments: argparse.Namespace) -> int:
    """Write one paper."""
    from api.command.stated_case import read_file

    book = load_rule_book(arguments.rules)
    try:
        asked = read_paper_request(_asked(read_file(arguments.file), arguments), book.vocabulary)
        answering = Shelves(book).book_for(asked.case)
        with inside("case"):
            case = answering.read(asked.case, today=datetime.datetime.now(tz=datetime.UTC).date())
        written = laid_out(paper_of(arguments.kind, asked, case, answering), asked.form or _form(arguments))
    finally:
        book.close()
    if arguments.output is None:
        sys.stdout.buffer.write(written)
        sys.stdout.buffer.flush()
        return OK
    try:
        arguments.output.write_bytes(written)
    except OSError as fault:
        raise UnusableLine(f"{arguments.output} cannot be written: {fault.strerror}.") from None
    return OK


def _asked(data: Any, arguments: argparse.Namespace) -> Any:
    """The request in a file; a case alone is one, and so is the case of a file with a title and what is expected."""
    if not isinstance(data, dict):
        return {"case": data}
    known = ("case", "lesion_id", "cycles", "chart", "format")
    asked = {name: data[name] for name in known if name in data} if "case" in data else {"case": data}
    if arguments.lesion is not None:
        asked["lesion_id"] = arguments.lesion
    if arguments.format is not None:
        asked["format"] = arguments.format
    return asked


def _form(arguments: argparse.Namespace) -> str:
    """The layout that the name of the file asks for."""
    return "markdown" if arguments.output is None else FORM_OF.get(arguments.output.suffix.lower(), "markdown")
