"""Say what is wrong with a case: where, and what is allowed there. Never the value that was sent.

A value typed into a wrong field may be a name; it must not come back in an answer or reach a log.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import quote

from pydantic import ValidationError

from decision.errors import CaseFault
from decision.nearest import nearest
from decision.vocabulary import Input, Vocabulary

__all__ = ["case_faults", "pointer_to", "repeated_names"]

MOST_FAULTS = 50
LONGEST_STEP = 80
OF_A_FRAGMENT = "!$&'()*+,;=:@?"  # beside letters, digits and -._~ (RFC 3986)


def case_faults(error: ValidationError, vocabulary: Vocabulary) -> list[CaseFault]:
    """Turn what pydantic found into faults at JSON Pointers, the first fifty of them."""
    found: dict[str, CaseFault] = {}
    for one in error.errors(include_input=False, include_url=False):
        loc = tuple(step for step in one["loc"])
        code, message = _said(one, loc, vocabulary)
        pointer = pointer_to(loc)
        found.setdefault(pointer, CaseFault(pointer, code, message))
    return list(found.values())[:MOST_FAULTS]


def repeated_names(lesions: Sequence[Mapping[str, Any]]) -> list[CaseFault]:
    """State each lesion that has the name of one before it: an answer could not say which of them it means.

    >>> [str(one.message) for one in repeated_names([{"lesion_id": "ear"}, {"lesion_id": "ear"}])]
    ['lesion_id must be another one for each lesion; this is that of lesions/0 too.']
    """
    first: dict[str, int] = {}
    faults = []
    for i, lesion in enumerate(lesions):
        before = first.setdefault(lesion["lesion_id"], i)
        if before != i:
            said = f"lesion_id must be another one for each lesion; this is that of lesions/{before} too."
            faults.append(CaseFault(pointer_to(("lesions", i, "lesion_id")), "repeated", said))
    return faults


def pointer_to(steps: tuple[str | int, ...]) -> str:
    """Write a path as a JSON Pointer (RFC 6901) in a URI fragment, where what a URI cannot hold is percent-encoded.

    >>> pointer_to(("lesions", 0, "a/b", "größe"))
    '#/lesions/0/a~1b/gr%C3%B6%C3%9Fe'
    """
    written = [str(step)[:LONGEST_STEP].replace("~", "~0").replace("/", "~1") for step in steps]
    return "#" + "".join(f"/{quote(step, safe=OF_A_FRAGMENT, errors='replace')}" for step in written)


def _said(one: Any, loc: tuple[str | int, ...], vocabulary: Vocabulary) -> tuple[str, str]:
    kind, name = one["type"], str(loc[-1]) if loc else "the case"
    about = vocabulary.inputs.get(next((str(step) for step in loc[::-1] if step in vocabulary.inputs), ""))
    if kind == "missing":
        return "required", f"{name} is required and is not there."
    if kind == "extra_forbidden":
        return "unknown_field", _said_of_unknown(name, vocabulary)
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return "wrong_type", f"{name} must be an object."
    if kind in ("too_long", "too_short"):
        limits = one["ctx"]
        least, most = limits.get("min_length"), limits.get("max_length")
        many = f"at most {most}" if kind == "too_long" else f"at least {least}"
        return "too_many" if kind == "too_long" else "too_few", f"{name} must hold {many} entries."
    if kind == "list_type":
        return "wrong_type", f"{name} must be a list."
    if about is None:
        return _said_of_frame(one, name)
    code = "out_of_range" if kind in ("greater_than_equal", "less_than_equal") else _code_for(kind)
    return code, f"{about.name} must be {_allowed(about)}."


def _said_of_unknown(name: str, vocabulary: Vocabulary) -> str:
    """Say where a field belongs that is known elsewhere, or which one was probably meant."""
    one = vocabulary.inputs.get(name)
    if one is None:
        statable = [each.name for each in vocabulary.inputs.values() if not each.derived]
        return f"not a field of this part of the case.{nearest(name, statable)}"
    return f"{name} is computed, never stated." if one.derived else f"{name} is stated about the {one.about}, not here."


def _said_of_frame(one: Any, name: str) -> tuple[str, str]:
    """Say faults of the fields around the inputs: as_of, rule_book_version, lesion_id, ruled_out."""
    if one["type"] == "string_pattern_mismatch":
        return "wrong_format", f"{name} must match {one['ctx']['pattern']}"
    if one["type"] == "literal_error":
        return "not_allowed", f"must be one of: {one['ctx']['expected']}."
    if name == "as_of":
        return "wrong_format", "as_of must be a calendar date, written year-month-day."
    return "wrong_type", f"{name} must be text."


def _code_for(kind: str) -> str:
    return "not_allowed" if kind == "literal_error" else "wrong_type"


def _allowed(one: Input) -> str:
    """What is allowed for an input, in words."""
    if one.type == "boolean":
        return "true or false"
    if one.type == "code":
        return f"one of: {', '.join(one.allowed)}"
    listed = "numbers, each " if one.type == "numbers" else "a number "
    return f"{listed}from {one.low:g} to {one.high:g} {one.unit}"
