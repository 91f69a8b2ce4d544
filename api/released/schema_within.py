"""Hold one JSON Schema against another: may everything that fits the one also fit the other?

Only what the OpenAPI document uses is understood. A keyword that is not must be the same in both, so that a change of
it is told rather than missed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["Document", "Excess", "excesses"]

Document = Mapping[str, Any]
Schema = Mapping[str, Any]

ANNOTATIONS = {"$defs", "default", "description", "discriminator", "example", "examples", "title"}
UPPER = ("exclusiveMaximum", "maxItems", "maxLength", "maxProperties", "maximum")
LOWER = ("exclusiveMinimum", "minItems", "minLength", "minProperties", "minimum")
TYPES = {str: "string", bool: "boolean", int: "integer", float: "number", type(None): "null"}
WALKED = {"$ref", "additionalProperties", "anyOf", "const", "enum", "items", "oneOf", "properties", "required", "type"}


@dataclass(frozen=True, slots=True)
class Excess:
    """A place where something fits the inner schema and not the outer one, and the keyword that says so."""

    place: str
    keyword: str


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two schemas to be compared, each with the document that its references lead into."""

    inner: Schema
    outer: Schema
    documents: tuple[Document, Document]
    tolerant: bool  # of properties that only the inner schema knows
    place: str = ""
    followed: frozenset[tuple[str, str]] = frozenset()

    def at(self, inner: Schema, outer: Schema, step: str = "") -> _Pair:
        return _Pair(inner, outer, self.documents, self.tolerant, self.place + step, self.followed)


def excesses(
    inner: Schema, outer: Schema, documents: tuple[Document, Document], *, tolerant: bool = False
) -> Iterator[Excess]:
    """Every place where something may fit the inner schema and not the outer one.

    Args:
        inner: The schema whose values are looked at.
        outer: The schema that they should fit.
        documents: What references of the inner, and of the outer schema lead into.
        tolerant: Whether properties that only the inner schema knows are let be.

    >>> [one.keyword for one in excesses({"type": "integer"}, {"type": "number", "maximum": 3}, ({}, {}))]
    ['maximum']
    """
    yield from _excesses(_Pair(inner, outer, documents, tolerant))


def _excesses(pair: _Pair) -> Iterator[Excess]:
    names = (pair.inner.get("$ref", ""), pair.outer.get("$ref", ""))
    if any(names):
        if names not in pair.followed:
            inner, outer = (_resolved(*one) for one in zip((pair.inner, pair.outer), pair.documents, strict=True))
            followed = pair.followed | {names}
            yield from _excesses(_Pair(inner, outer, pair.documents, pair.tolerant, pair.place, followed))
        return
    outers = _branches(pair.outer)
    for inner in _branches(pair.inner):
        tried = [list(_of_branch(pair.at(inner, outer))) for outer in outers]
        if all(tried):
            yield from tried[0] if len(tried) == 1 else [Excess(pair.place, "anyOf")]


def _resolved(schema: Schema, document: Document) -> Schema:
    """A schema with its reference followed; what stands beside a reference is kept."""
    while "$ref" in schema:
        found: Any = document
        for step in schema["$ref"].removeprefix("#/").split("/"):
            found = found[step]
        schema = {**found, **{key: value for key, value in schema.items() if key != "$ref"}}
    return schema


def _branches(schema: Schema) -> list[Schema]:
    """The alternatives of a schema; itself where it has none."""
    for keyword in ("anyOf", "oneOf"):
        if keyword in schema:
            beside = {key: value for key, value in schema.items() if key != keyword}
            return [{**beside, **one} for one in schema[keyword]]
    return [schema]


def _of_branch(pair: _Pair) -> Iterator[Excess]:
    """The excesses of two schemas without alternatives."""
    if any("$ref" in one or "anyOf" in one or "oneOf" in one for one in (pair.inner, pair.outer)):
        yield from _excesses(pair)
        return
    told = [*_of_type(pair), *_of_values(pair), *_of_limits(pair), *_of_names(pair)]
    yield from (Excess(pair.place, keyword) for keyword in told)
    yield from _inside(pair)


def _of_type(pair: _Pair) -> Iterator[str]:
    allowed, found = _types(pair.outer), _types(pair.inner)
    if "number" in allowed:
        allowed |= {"integer"}
    if allowed and not (found and found <= allowed):
        yield "type"


def _types(schema: Schema) -> set[str]:
    """The types that a schema names, or those of the values that it lists."""
    if "type" in schema:
        return {schema["type"]} if isinstance(schema["type"], str) else set(schema["type"])
    return {TYPES.get(type(one), "object") for one in _values(schema) or ()}


def _of_values(pair: _Pair) -> Iterator[str]:
    allowed, found = _values(pair.outer), _values(pair.inner)
    if allowed is not None and (found is None or any(one not in allowed for one in found)):
        yield "enum"


def _values(schema: Schema) -> list[Any] | None:
    return [schema["const"]] if "const" in schema else schema.get("enum")


def _of_limits(pair: _Pair) -> Iterator[str]:
    for keyword in UPPER:
        if keyword in pair.outer and not pair.inner.get(keyword, float("inf")) <= pair.outer[keyword]:
            yield keyword
    for keyword in LOWER:
        if keyword in pair.outer and not pair.inner.get(keyword, float("-inf")) >= pair.outer[keyword]:
            yield keyword
    listed = _values(pair.inner) is not None  # a list of values says more than any form
    for keyword in sorted(pair.outer.keys() - ANNOTATIONS - WALKED - {*UPPER, *LOWER}):
        if pair.inner.get(keyword) != pair.outer[keyword] and not listed:
            yield keyword


def _of_names(pair: _Pair) -> Iterator[str]:
    if not set(pair.outer.get("required", ())) <= set(pair.inner.get("required", ())):
        yield "required"
    if not pair.tolerant and pair.outer.get("additionalProperties") is False:
        if pair.inner.get("additionalProperties") is not False:
            yield "additionalProperties"
        elif not pair.inner.get("properties", {}).keys() <= pair.outer.get("properties", {}).keys():
            yield "properties"


def _inside(pair: _Pair) -> Iterator[Excess]:
    """The excesses of the parts of objects and of lists."""
    known, beyond = pair.outer.get("properties", {}), pair.outer.get("additionalProperties")
    for name, one in pair.inner.get("properties", {}).items():
        outer = known.get(name, beyond)
        if isinstance(outer, Mapping):
            yield from _excesses(pair.at(one, outer, f"/{name}"))
    for keyword in ("additionalProperties", "items"):
        outer, inner = pair.outer.get(keyword), pair.inner.get(keyword, {})
        if isinstance(outer, Mapping) and inner is not False:
            yield from _excesses(pair.at(inner if isinstance(inner, Mapping) else {}, outer, "/*"))
