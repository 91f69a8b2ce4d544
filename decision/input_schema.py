"""Say to an editor how one input may be asked about and stated: parts of the schema of rule files.

The words are those of the vocabulary, so that an editor explains each input and each code where it is typed. What a
test means is for unary_test.py; that a limit lies in the range of its input is checked when a folder is loaded.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from decision.vocabulary import Input

__all__ = ["Schema", "asked_schema", "choice_schema", "closed_schema", "stated_schema", "text_schema"]

Schema = dict[str, Any]

_FIGURE = "-?[0-9]+(\\.[0-9]+)?"
_COMPARISON = f"^\\s*(>=|<=|>|<|=)\\s*{_FIGURE}\\s*$"
_INTERVAL = f"^\\s*[\\[(]\\s*{_FIGURE}\\s*\\.\\.\\s*{_FIGURE}\\s*[\\])]\\s*$"
_HOW = 'Write a comparison in quotes: ">= 10", "< 5", "= 0", or an interval: "[5..20)" (5 included, 20 not).'


def asked_schema(about: Input) -> Schema:
    """How a rule may ask about an input."""
    if about.type == "boolean":
        return {"description": about.question, "type": "boolean"}
    if about.type == "number":
        said = f"{about.question} {_range(about)} {_HOW}"
        patterns = [{"pattern": _COMPARISON}, {"pattern": _INTERVAL}]
        return {"description": said, "type": "string", "anyOf": patterns}
    code = _code(about)
    several = {"type": "array", "items": code, "minItems": 1, "uniqueItems": True}
    negated = closed_schema({"not": {"anyOf": [code, several]}}, required=["not"])
    said = f"{about.question} One code, a list (one of), or {{not: [...]}} (none of)."
    return {"description": said, "anyOf": [code, several, negated]}


def stated_schema(about: Input) -> Schema:
    """How an example may state an input.

    >>> stated_schema(Input("height_mm", "lesion", "number", "How high?", "mm", 0, 200))
    {'description': 'How high? From 0 to 200 mm.', 'type': 'number', 'minimum': 0, 'maximum': 200}
    """
    if about.type == "boolean":
        return {"description": about.question, "type": "boolean"}
    if about.type == "code":
        return {"description": about.question, **_code(about)}
    said = f"{about.question} {_range(about)}"
    number: Schema = {"type": "number", "minimum": about.low, "maximum": about.high}
    if about.type == "numbers":
        return {"description": said, "type": "array", "minItems": 1, "items": number}
    return {"description": said, **number}


def choice_schema(allowed: Mapping[str, str]) -> Schema:
    """One of some codes, each with its meaning.

    >>> choice_schema({"cone": "a cone held on the skin"})
    {'oneOf': [{'const': 'cone', 'description': 'a cone held on the skin'}]}
    """
    return {"oneOf": [{"const": code, "description": meaning} for code, meaning in allowed.items()]}


def closed_schema(fields: Mapping[str, Any], *, required: Sequence[str] = ()) -> Schema:
    """An object with these fields and no other."""
    return {
        "type": "object",
        "properties": dict(fields),
        "required": list(required),
        "additionalProperties": False,
    }


def text_schema(least: int, most: int | None = None, said: str = "") -> Schema:
    """A text of so many characters, with what it is for."""
    text: Schema = {"description": said} if said else {}
    return {**text, "type": "string", "minLength": least, **({"maxLength": most} if most else {})}


def _code(about: Input) -> Schema:
    """Where the codes of an input stand, once, in the schema of rule files."""
    return {"$ref": f"#/$defs/code_{about.name}"}


def _range(about: Input) -> str:
    return f"From {about.low:g} to {about.high:g} {about.unit}."
