"""The example of a paper in the OpenAPI document: what is asked for, and what is sent."""

from __future__ import annotations

from typing import Any

from api.operations.examples import AS_OF, example_case
from api.papers.desk import laid_out, paper_of
from api.papers.request import MEDIA, read_paper_request
from decision.rule_book import RuleBook

__all__ = ["paper_examples"]

PATH = "/v1/papers/{kind}"


def paper_examples(book: RuleBook) -> tuple[dict[str, Any], dict[tuple[str, str], Any]]:
    """The body of a request by its path, and the answers by path and media type. A PDF is shown by how it begins."""
    body = {"case": example_case(book, "before"), "chart": {"side": "left", "photo": "taken"}, "format": "html"}
    asked = read_paper_request(body, book.vocabulary)
    paper = paper_of("owner-sheet", asked, book.read(asked.case, today=AS_OF), book)
    sent: dict[tuple[str, str], Any] = {(PATH, MEDIA["pdf"]): "%PDF-1.4"}
    for form in ("html", "markdown"):
        sent[PATH, MEDIA[form]] = laid_out(paper, form).decode()
    return {PATH: body}, sent
