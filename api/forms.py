"""How the texts of an answer are written, by the name of their field: what a type cannot say.

A client that knows the form of a text can check it; one that is not named here is words, without control characters.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from api.bounds import TEXT

__all__ = ["restrict", "restrict_texts"]

Form = Mapping[str, Any]

_CODE: Form = {"pattern": "^[a-z][a-z0-9_]*$", "maxLength": 128}
_RULE: Form = {"pattern": "^[a-z][a-z0-9_]*/[a-z][a-z0-9_]*$", "maxLength": 256}
_VERSION: Form = {"pattern": "^[0-9][0-9A-Za-z.+-]*$", "maxLength": 64}
_DIGEST: Form = {"pattern": "^sha-256:[0-9a-f]{64}$", "maxLength": 72}
_DATE: Form = {"format": "date", "maxLength": 10}
_UUID: Form = {"format": "uuid", "maxLength": 36}
_ADDRESS: Form = {"format": "uri-reference", "maxLength": 2_000}
_POINTER: Form = {"pattern": "^#(/([A-Za-z0-9._~!$&'()*+,;=:@?-]|%[0-9A-F]{2})*)*$", "maxLength": 10_000}
_LESION: Form = {"pattern": "^[A-Za-z0-9][A-Za-z0-9._-]*$", "maxLength": 64}

FORMS: Mapping[str, Form] = {
    **dict.fromkeys(("about", "answer", "applicator", "at_least", "certainty", "citations", "concludes"), _CODE),
    **dict.fromkeys(("could_become", "decision", "derived_from", "group", "if_wrong", "input", "inputs"), _CODE),
    **dict.fromkeys(("milestone", "not_searched", "requires", "site", "site_class"), _CODE),
    **dict.fromkeys(("strength", "urgency", "validation", "verdict", "what"), _CODE),
    "rule": _RULE,
    **dict.fromkeys(("engine_version", "http_contract", "version"), _VERSION),
    **dict.fromkeys(("case_digest", "conclusion_digest", "digest"), _DIGEST),
    **dict.fromkeys(("as_of", "date", "from_date", "frozen_on", "to_date", "visit_on"), _DATE),
    "uuid": _UUID,
    **dict.fromkeys(("instance", "system", "type", "url"), _ADDRESS),
    "pointer": _POINTER,
    "lesion_id": _LESION,
    "request_id": {"pattern": "^[A-Za-z0-9._-]{8,64}$", "maxLength": 64},
}


def restrict_texts(schema: dict[str, Any]) -> None:
    """Say of the texts of an object how they are written, by their names."""
    for name, one in schema.get("properties", {}).items():
        if name in FORMS:
            _write(one, FORMS[name])


def restrict(schema: dict[str, Any]) -> None:
    """Say of a text of which nothing is known that it is words.

    >>> said = {"type": "string", "maxLength": 5}
    >>> restrict(said)
    >>> said["pattern"] == TEXT
    True
    """
    if schema.get("type") == "string" and not schema.keys() & {"const", "enum", "format"}:
        schema.setdefault("pattern", TEXT)


def _write(schema: dict[str, Any], form: Form) -> None:
    """Give a form to a text, to the texts of a list, and to a text that may be null."""
    if schema.get("type") == "string" and not schema.keys() & {"const", "enum", "pattern"}:
        schema |= form
    for one in (*schema.get("anyOf", ()), *([schema["items"]] if isinstance(schema.get("items"), dict) else ())):
        _write(one, form)
