"""Examples of what a reviewer asks, made by asking: the body and the answer of each address."""

from __future__ import annotations

from typing import Any

import orjson

from api.operations.examples import AS_OF, example_case
from decision.reviewer.answer_record import record_of
from decision.reviewer.reproduction import reproduce
from decision.reviewer.shelf import Shelf
from decision.reviewer.what_would_change import ChangeSearch
from decision.rule_book import RuleBook

__all__ = ["reviewer_examples"]


def reviewer_examples(book: RuleBook) -> dict[str, tuple[Any, Any]]:
    """The body and the answer of each address of the reviewer."""
    message = example_case(book, "before")
    case = book.read(message, today=AS_OF)
    whole = orjson.loads(orjson.dumps(record_of(book, case)))
    record = {"case": whole["case"], "answer": whole["answer"]}
    search = ChangeSearch(book)
    changes = search.search(case)
    search.close()
    return {
        "/v1/what-would-change": (message, {**changes, "lesions": [_shortened(one) for one in changes["lesions"]]}),
        "/v1/reproductions": (record, reproduce(record, book, Shelf(None))),
    }


def _shortened(lesion: Any) -> Any:
    return {**lesion, "singly": lesion["singly"][:2], "pairs": lesion["pairs"][:1]}
