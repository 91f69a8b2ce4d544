"""The example cases, which are real: those that a rule's author wrote.

They stand in the OpenAPI document with their answers, and are answered once at start-up, before the service says that
it is ready.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from api.moments import moments_of
from decision.case import PARTS
from decision.rule_book import RuleBook

__all__ = ["AS_OF", "answer_example", "answer_examples", "example_case"]

AS_OF = datetime.date(2026, 11, 24)
LESION_ID = "first"


def example_case(book: RuleBook, moment: str) -> dict[str, Any]:
    """The fullest example in the rule book of a rule that holds, as the body of a request.

    Args:
        book: The rule book.
        moment: "before", "during" or "after" the freeze. Where no rule of that moment has an example, what the
            fullest one from before says of patient and lesion is taken.
    """
    parts: dict[str, dict[str, Any]] = {part: {} for part in (*PARTS[moment][:2], *PARTS[moment][-1:])}
    for name, value in (_fullest(book, moment) or _fullest(book, "before")).items():
        about = book.vocabulary.inputs[name].about
        if about in PARTS[moment]:
            parts.setdefault(about, {})[name] = value
    if moment != "before":
        return {"as_of": AS_OF.isoformat(), **parts}
    lesion = {"lesion_id": LESION_ID, **parts.pop("lesion")}
    stated = {name: part for name, part in parts.items() if part or name == "patient"}
    return {"as_of": AS_OF.isoformat(), **stated, "lesions": [lesion]}


def answer_example(book: RuleBook, moment: str) -> Any:
    """Answer the example of a moment, by both means of matching."""
    case = book.read(example_case(book, moment), today=AS_OF, moment=moment)
    if moment == "before":
        return book.recommend(case)
    return book.review_cycle(case) if moment == "during" else book.review_healing(case)


def answer_examples(book: RuleBook) -> None:
    """Answer the example of every moment that the rule book decides about."""
    for moment in moments_of(book):
        answer_example(book, moment)


def _fullest(book: RuleBook, moment: str) -> Mapping[str, Any]:
    """The facts of the fullest example of a rule that holds, among the decisions first taken at a moment."""
    inputs = book.vocabulary.inputs
    fullest: dict[str, Any] = {}
    for node in (one for one in book.folder.decisions if one.moments[0] == moment):
        rules = book.folder.rules[node.name]
        for example in (example for rule in rules for example in rule.examples if example.outcome == "holds"):
            stated = {name: value for name, value in example.case.items() if name in inputs}
            if len(stated) > len(fullest):
                fullest = stated
    return fullest
