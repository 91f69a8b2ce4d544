"""The examples of the document, which are real: cases that a rule's author wrote, and what the service answers.

The same cases are answered once at start-up, before the service says that it is ready.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

import orjson

from api.moments import moments_of
from api.resource import Resource
from decision.case import PARTS
from decision.rule_book import RuleBook

__all__ = ["add_examples", "answer_example", "answer_examples", "example_case"]

AS_OF = datetime.date(2026, 11, 24)
LESION_ID = "first"
SHOWN = 2  # entries of a long list
MOMENTS = {"/v1/recommendations": "before", "/v1/cycle-reviews": "during", "/v1/healing-reviews": "after"}


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
    answer = {"before": book.recommend, "during": book.review_cycle, "after": book.review_healing}[moment]
    return answer(book.read(example_case(book, moment), today=AS_OF, moment=moment))


def answer_examples(book: RuleBook) -> None:
    """Answer the example of every moment that the rule book decides about."""
    for moment in moments_of(book):
        answer_example(book, moment)


def add_examples(paths: Mapping[str, Any], book: RuleBook, pages: Mapping[str, Resource]) -> None:
    """Put an example beside every body, answer and path parameter of a document."""
    answers = {path: _shortened(orjson.loads(page.body)) for path, page in pages.items()}
    first = answers["/v1/rules"]["rules"][0]
    answers |= {
        "/v1/rules/{decision}/{name}": answers[f"/v1/rules/{first['rule']}"],
        "/problems/{name}": answers["/problems/not-found"],
        "/livez": {"status": "alive"},
        "/readyz": {"status": "ready"},
        "/openapi.json": {"openapi": "3.1.0"},
        "/docs": "<!doctype html><title>Thawline</title>",
    }
    answers |= {path: answer_example(book, moment) for path, moment in MOMENTS.items() if path in paths}
    bodies = {path: example_case(book, moment) for path, moment in MOMENTS.items() if path in paths}
    for path, methods in paths.items():
        for operation in methods.values():
            for media in operation["responses"]["200"]["content"].values():
                media["examples"] = {"answer": {"summary": "An answer.", "value": answers[path]}}
            for media in operation.get("requestBody", {}).get("content", {}).values():
                media["examples"] = {"case": {"summary": "A case.", "value": bodies[path]}}
            for parameter in operation.get("parameters", ()):
                if path.startswith("/v1/rules"):
                    parameter["example"] = first.get(parameter["name"], parameter["example"])


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


def _shortened(page: Any) -> Any:
    """The first entries of the long lists of a page."""
    for name in ("rules", "inputs", "sources"):
        if isinstance(page.get(name), list):
            page[name] = page[name][:SHOWN]
        elif isinstance(page.get(name), dict):
            page[name] = dict(list(page[name].items())[:SHOWN])
    return page
