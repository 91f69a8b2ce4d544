"""Say what is wrong with a call: where, and what is allowed there. Never the value that was sent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter, ValidationError

from api.bounds import beyond_bounds
from api.cds.kinds import UNUSABLE_CALL
from api.problems import Place, Problem
from decision.case_faults import pointer_to

__all__ = ["MOST_FAULTS", "bounded", "read_shape", "unusable_call"]

MOST_FAULTS = 50
TAGGED = ("union_tag_invalid", "union_tag_not_found")

_SAID: Mapping[str, str] = {
    "missing": "is required and is not there.",
    "dict_type": "must be an object.",
    "model_type": "must be an object.",
    "model_attributes_type": "must be an object.",
    "list_type": "must be a list.",
    "string_type": "must be text.",
    "string_too_short": "must not be empty.",
    "string_too_long": "may have at most {max_length:,} characters.",
    "too_short": "must not be empty.",
    "too_long": "may have at most {max_length:,} entries.",
}
_CODES: Mapping[str, str] = {
    "missing": "required",
    "string_too_short": "too_few",
    "string_too_long": "too_long",
    "too_short": "too_few",
    "too_long": "too_many",
}


def bounded(data: Any) -> Any:
    """The data, when nothing in it is too great.

    Raises:
        Problem: `unusable-call`, with the first place that is at fault.
    """
    for fault in beyond_bounds(data):
        raise unusable_call([{"pointer": fault.pointer, "code": fault.code, "detail": fault.message}])
    return data


def read_shape(shape: TypeAdapter[Any], data: object) -> Any:
    """Hold data against a shape.

    Raises:
        Problem: `unusable-call`, with every fault found.
    """
    try:
        return shape.validate_python(data)
    except ValidationError as error:
        found = error.errors(include_input=False, include_url=False)
        raise unusable_call([_place(one, data) for one in found[:MOST_FAULTS]]) from None


def unusable_call(places: list[Place]) -> Problem:
    """The refusal of a call for what stands at these places."""
    many = "one fault was" if len(places) == 1 else f"{len(places)} faults were"
    return Problem(UNUSABLE_CALL, f"In the call {many} found.", places)


def _place(one: Any, data: object) -> Place:
    kind = one["type"]
    steps = _steps(one["loc"], data, missing=kind == "missing")
    if kind in TAGGED:
        name = str(one["ctx"]["discriminator"]).strip("'")
        said = "is required and is not there." if kind.endswith("found") else f"must be one of: {_tags(one)}."
        return {"pointer": pointer_to((*steps, name)), "code": "not_allowed", "detail": f"{name} {said}"}
    name = str(steps[-1]) if steps else "the body"
    if kind == "value_error" and name != "outcomeTimestamp":
        return {
            "pointer": pointer_to((*steps, "fhirServer")),
            "code": "required",
            "detail": "fhirServer is required where fhirAuthorization is sent.",
        }
    return {"pointer": pointer_to(steps), "code": _code(kind), "detail": f"{name} {_said(one)}"}


def _steps(loc: tuple[str | int, ...], data: object, *, missing: bool) -> tuple[str | int, ...]:
    """The steps of the document; names of union arms, which pydantic adds, are left out."""
    steps: list[str | int] = []
    for step in loc:
        inside = isinstance(data, list) if isinstance(step, int) else isinstance(data, dict)
        if inside and (isinstance(step, int) or step in data or (missing and step == loc[-1])):  # type: ignore[operator]
            steps.append(step)
            data = _inside(data, step)
    return tuple(steps)


def _inside(data: Any, step: str | int) -> Any:
    if isinstance(data, list):
        return data[step] if isinstance(step, int) and step < len(data) else None
    return data.get(step)


def _tags(one: Any) -> str:
    return str(one["ctx"]["expected_tags"]).replace("'", "")


def _code(kind: str) -> str:
    if kind.startswith(("string_p", "value")):
        return "wrong_format"
    return _CODES.get(kind, "wrong_type")


def _said(one: Any) -> str:
    if one["type"] == "string_pattern_mismatch":
        return f"must match {one['ctx']['pattern']}"
    if one["type"] == "value_error":
        return "must be a date and time with its offset (RFC 3339)."
    return _SAID.get(one["type"], "has the wrong type.").format(**one.get("ctx", {}))
