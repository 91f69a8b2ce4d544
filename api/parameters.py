"""Hold the query and the headers of a request against the parameters that its operation states, and read them.

What is stated about a parameter in the OpenAPI document is what is checked. A fault names the parameter and what is
allowed, never the value that was sent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request

from api.problem_kinds import KINDS
from api.problems import Place, Problem
from decision.nearest import nearest

__all__ = ["Parameters"]

Schema = Mapping[str, Any]

NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?", re.ASCII)  # as JSON writes one
LONGEST_NAME = 64
NUMBERS = ("number", "integer")


@dataclass(frozen=True, slots=True)
class Parameters:
    """The parameters of one operation, by where they stand."""

    queries: Mapping[str, Schema]
    headers: Mapping[str, Schema]
    required: tuple[str, ...]

    @classmethod
    def of(cls, stated: Sequence[Mapping[str, Any]]) -> Parameters:
        """Take the parameters from an operation of the OpenAPI document. Those in the path are the route's own."""
        return cls(
            queries={one["name"]: one["schema"] for one in stated if one["in"] == "query"},
            headers={one["name"]: one["schema"] for one in stated if one["in"] == "header"},
            required=tuple(one["name"] for one in stated if one["in"] == "query" and one["required"]),
        )

    def read(self, request: Request) -> dict[str, Any]:
        """The query as its schemas mean it: numbers as numbers, all else as text.

        Raises:
            Problem: `unusable-parameter`, with every fault found.
        """
        if not (self.headers or self.required or request.scope["query_string"]):
            return {}
        places = [*self._query_faults(request), *self._header_faults(request)]
        if places:
            raise Problem(KINDS["unusable-parameter"], places[0]["detail"], places)
        return {name: _value(written, self.queries[name]) for name, written in request.query_params.items()}

    def _query_faults(self, request: Request) -> Iterable[Place]:
        for name in request.query_params:
            schema = self.queries.get(name)
            if schema is None:
                yield self._unknown(name)
            elif len(request.query_params.getlist(name)) > 1:
                yield {"parameter": name, "code": "repeated", "detail": f"{name} may stand once."}
            elif said := _unfit(request.query_params[name], schema):
                yield {"parameter": name, "code": "not_allowed", "detail": f"{name} must {said}."}
        for name in self.required:
            if name not in request.query_params:
                yield {"parameter": name, "code": "required", "detail": f"{name} is required and is not there."}

    def _unknown(self, name: str) -> Place:
        """A parameter that is none. A name that resembles none may be anything, and is not repeated."""
        short = name[:LONGEST_NAME]
        meant = nearest(short, self.queries)
        said = f"the query parameters allowed here are: {', '.join(self.queries) or 'none'}.{meant}"
        place: Place = {"code": "unknown_parameter", "detail": said}
        return {"parameter": short, **place} if meant else place

    def _header_faults(self, request: Request) -> Iterable[Place]:
        for name, schema in self.headers.items():
            if said := _unfit(request.headers.get(name, ""), schema):
                yield {"parameter": name, "code": "not_allowed", "detail": f"{name} must {said}."}


def _unfit(written: str, schema: Schema) -> str:
    """What a value must be, where it is not."""
    if schema["type"] in NUMBERS:
        return _unfit_number(written, schema)
    if "enum" in schema and written not in schema["enum"]:
        return f"be one of: {', '.join(schema['enum'])}"
    if "pattern" in schema and not re.fullmatch(schema["pattern"], written):
        return f"match {schema['pattern']}"
    if len(written) > schema.get("maxLength", len(written)):
        return f"have at most {schema['maxLength']} characters"
    return ""


def _unfit_number(written: str, schema: Schema) -> str:
    fits = bool(NUMBER.fullmatch(written)) and schema["minimum"] <= float(written) <= schema["maximum"]
    if fits and (schema["type"] == "number" or float(written).is_integer()):
        return ""
    kind = "whole number" if schema["type"] == "integer" else "number"
    return f"be a {kind} from {schema['minimum']:g} to {schema['maximum']:g}"


def _value(written: str, schema: Schema) -> str | float | int:
    if schema["type"] not in NUMBERS:
        return written
    return float(written) if schema["type"] == "number" else int(float(written))
