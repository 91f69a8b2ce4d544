"""What the service answers to a reviewer, and the record that it takes. The types make the OpenAPI document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from api.bounds import ANYTHING
from api.operations.operation import SCHEMA
from decision.case import PARTS
from decision.reviewer.change_messages import WhatWouldChange
from decision.reviewer.record_faults import DIGEST, GREATEST_CONTRACT, LONGEST
from decision.reviewer.reproduction import Reproduction

__all__ = ["REVIEWER_ANSWERS", "record_message"]

REVIEWER_ANSWERS: tuple[Any, ...] = (WhatWouldChange, Reproduction)

_TEXT = {"type": "string", "maxLength": LONGEST}
_DIGEST = {"type": "string", "pattern": DIGEST, "maxLength": LONGEST + 8}
_ANYTHING = {"$ref": f"{SCHEMA}{ANYTHING}"}
_OBJECT = {"type": "object", "additionalProperties": _ANYTHING}
_NEEDED: dict[str, Any] = {
    "engine_version": _TEXT,
    "conclusion_digest": _DIGEST,
    "case_digest": _DIGEST,
    "answer_contract": {"type": "integer", "minimum": 0, "maximum": GREATEST_CONTRACT},
    "as_of": {"type": "string", "format": "date", "maxLength": 10},
}


def record_message(shapes: Sequence[str]) -> dict[str, Any]:
    """The schema of a record.

    Args:
        shapes: The schemas of the cases that the rule book answers.
    """
    said = {
        "record": {**_TEXT, "description": "The form of the record."},
        "moment": {"type": "string", "enum": list(PARTS), "description": "The moment of the job it was answered for."},
        "case": {"anyOf": [{"$ref": one} for one in shapes], "description": "The case as it was answered."},
        "answer": _answer(),
        "rules": {**_OBJECT, "description": "The digest of each rule that could have answered, by its path."},
        "provenance": {**_OBJECT, "description": "Where the answer came from, in words of W3C PROV."},
    }
    return {
        "type": "object",
        "description": "A record of an answer: what `thawline record` writes, or a case and its answer alone.",
        "required": ["case", "answer"],
        "properties": said,
        "additionalProperties": False,
    }


def _answer() -> dict[str, Any]:
    properties = {name: dict(one) for name, one in _NEEDED.items()}
    properties |= {name: _which() for name in ("rule_book", "freeze_table")}
    return {
        "type": "object",
        "description": "The answer as it was given, whole.",
        "required": list(properties),
        "properties": properties,
        "additionalProperties": _ANYTHING,
    }


def _which() -> dict[str, Any]:
    return {
        "type": "object",
        "description": "Which one, by version and digest.",
        "required": ["version", "digest"],
        "properties": {"version": dict(_TEXT), "digest": dict(_DIGEST)},
        "additionalProperties": False,
    }
