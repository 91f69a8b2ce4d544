"""Hold a document against the shape it must have, and say each difference with its line."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from decision.errors import Fault
from decision.nearest import nearest
from decision.strict_yaml import Document, Path

__all__ = ["Closed", "shape_faults"]

Shape = TypeVar("Shape", bound=BaseModel)


class Closed(BaseModel):
    """A shape with no other fields than its own, each of its very type."""

    model_config = ConfigDict(extra="forbid", strict=True)


def shape_faults(shape: type[Shape], document: Document) -> tuple[Shape | None, list[Fault]]:
    """Read a document into a shape; None and every fault when it does not fit."""
    if not isinstance(document.data, dict):
        return None, [document.fault((), "the file must hold fields, one `name: value` a line.")]
    try:
        return shape.model_validate(document.data), []
    except ValidationError as error:
        return None, _unique(_fault(document, shape, one) for one in error.errors())


def _fault(document: Document, shape: type[BaseModel], error: Any) -> Fault:
    path = _path_in(document.data, error["loc"])
    kind = error["type"]
    if kind == "missing":
        return document.fault(path, "this field is required and is not there.")
    if kind == "extra_forbidden":
        names = _field_names(shape)
        return document.fault(path, f"not a field.{nearest(str(path[-1]), names)}")
    return document.fault(path, f"{error['msg'].rstrip('.')}; it is {_short(error['input'])}.")


def _path_in(data: Any, loc: tuple[Any, ...]) -> Path:
    """Keep the steps of a pydantic location that are steps of the document (not names of union arms)."""
    path: list[str | int] = []
    for step in loc:
        if isinstance(data, dict) and isinstance(step, str):
            if step not in data and step != loc[-1]:
                continue
            data = data.get(step)
        elif isinstance(data, list) and isinstance(step, int):
            data = data[step] if step < len(data) else None
        else:
            continue
        path.append(step)
    return tuple(path)


def _field_names(shape: type[BaseModel], seen: frozenset[Any] = frozenset()) -> set[str]:
    """Every field name of a shape and of the shapes inside it."""
    names: set[str] = set()
    for name, field in shape.model_fields.items():
        names.add(field.alias or name)
        for inner in _shapes_in(field.annotation):
            if inner not in seen:
                names |= _field_names(inner, seen | {inner})
    return names


def _shapes_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [one for part in getattr(annotation, "__args__", ()) for one in _shapes_in(part)]


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _unique(faults: Any) -> list[Fault]:
    """Several arms of a union report one place several times: keep the first of each place."""
    first: dict[tuple[int, str], Fault] = {}
    for fault in faults:
        first.setdefault((fault.line, fault.path), fault)
    return list(first.values())
