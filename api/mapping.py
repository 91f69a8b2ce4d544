"""The codes of other systems that mean codes of ours: a customer's file, in the shape of a FHIR ConceptMap.

Exact match only. A code maps when the file says that it is equivalent or narrower; one that is broader says less than
our code, so that nothing follows from it. `noMap` names a code that means nothing here, which then is not reported.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path as File
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from api.code_lists import CANONICAL, CodeLists, Meaning
from api.setting_file import UnusableFile, read_setting_file
from decision.errors import Fault
from decision.record import digest_of
from decision.shape import shape_faults
from decision.strict_yaml import Document

__all__ = ["SHIPPED", "CodeMap", "UnusableCodeMap", "read_code_map", "shipped_code_map"]

SHIPPED = File(__file__).parent / "fhir" / "common_codes.yaml"
TOO_BROAD = "source-is-broader-than-target"


class UnusableCodeMap(UnusableFile):
    """A mapping file cannot be used. Every fault is in the text; nothing was loaded."""

    called = "The mapping file"


@dataclass(frozen=True, slots=True)
class CodeMap:
    """What codes of other systems mean.

    Attributes:
        version: As the file says.
        digest: SHA-256 over the RFC 8785 bytes of what the file says.
        means: The codes of ours by system and code; none for a code that means nothing here.
        too_broad: The codes that say less than a code of ours, with the codes of ours that they may mean.
    """

    version: str
    digest: str
    means: Mapping[tuple[str, str], tuple[Meaning, ...]]
    too_broad: Mapping[tuple[str, str], tuple[Meaning, ...]]


def read_code_map(file: File, lists: CodeLists) -> CodeMap:
    """Read the mapping file of a customer.

    Args:
        file: Where it is.
        lists: The code lists that it leads to; a code that is in none of them is a fault.

    Raises:
        UnusableCodeMap: With every fault of the file.
    """
    shape, document = _read(file)
    faults = [*_faults(shape, document), *_strangers(shape, document, lists)]
    if faults:
        raise UnusableCodeMap(faults)
    return _code_map(shape, document, lists)


def shipped_code_map(lists: CodeLists) -> CodeMap:
    """The mapping that came with this package; where a rule book has fewer codes, it maps to those."""
    shape, document = _read(SHIPPED)
    return _code_map(shape, document, lists)


class _Closed(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


_Text = Annotated[str, Field(min_length=1, max_length=1_000)]


class _Target(_Closed):
    code: _Text
    relationship: Literal["equivalent", "source-is-narrower-than-target", "source-is-broader-than-target"]
    comment: _Text | None = None


class _Element(_Closed):
    code: _Text
    display: _Text | None = None
    no_map: Literal[True] | None = Field(default=None, alias="noMap")
    target: list[_Target] = Field(default_factory=list)


class _Group(_Closed):
    source: _Text
    target: _Text
    element: list[_Element] = Field(min_length=1)


class _MapShape(_Closed):
    title: _Text
    version: _Text
    group: list[_Group] = Field(min_length=1)


def _read(file: File) -> tuple[_MapShape, Document]:
    document, faults = read_setting_file(file, UnusableCodeMap)
    shape, more = shape_faults(_MapShape, document)
    if shape is None or faults:
        raise UnusableCodeMap([*faults, *more])
    return shape, document


def _code_map(shape: _MapShape, document: Document, lists: CodeLists) -> CodeMap:
    means: dict[tuple[str, str], list[Meaning]] = {}
    broad: dict[tuple[str, str], list[Meaning]] = {}
    for group, element, target in _targets(shape):
        found = means.setdefault((group.source, element.code), [])
        meaning = lists.meaning(group.target, target.code) if target is not None else None
        if target is not None and target.relationship == TOO_BROAD:
            broad.setdefault((group.source, element.code), []).extend([meaning] if meaning is not None else [])
        elif meaning is not None:
            found.append(meaning)
    known = {key: tuple(found) for key, found in means.items() if found or key not in broad}
    vague = {key: tuple(found) for key, found in broad.items() if key not in known}
    return CodeMap(shape.version, digest_of(document.data), known, vague)


def _targets(shape: _MapShape) -> Iterable[tuple[_Group, _Element, _Target | None]]:
    """Every line of the file; one without a target is a code that means nothing here."""
    for group in shape.group:
        for element in group.element:
            for target in element.target:
                yield group, element, target
            if not element.target:
                yield group, element, None


def _faults(shape: _MapShape, document: Document) -> Iterable[Fault]:
    """State what the shape alone cannot: whose codes lead to whose, each once."""
    seen: set[tuple[str, str, str]] = set()
    for i, group in enumerate(shape.group):
        if group.source.startswith(CANONICAL):
            yield document.fault(("group", i, "source"), "codes of ours need no mapping.")
        for j, element in enumerate(group.element):
            place = ("group", i, "element", j)
            if bool(element.no_map) == bool(element.target):
                yield document.fault(place, "a code has targets, or noMap: true.")
            if (group.source, group.target, element.code) in seen:
                yield document.fault((*place, "code"), "this code stands twice for one source and target.")
            seen.add((group.source, group.target, element.code))


def _strangers(shape: _MapShape, document: Document, lists: CodeLists) -> Iterable[Fault]:
    """Targets that are not codes of ours."""
    systems = {one.url for one in lists.lists.values()}
    for i, group in enumerate(shape.group):
        if group.target not in systems:
            yield document.fault(("group", i, "target"), f"not one of: {', '.join(sorted(systems))}.")
            continue
        for j, element in enumerate(group.element):
            for k, target in enumerate(element.target):
                if lists.meaning(group.target, target.code) is None:
                    path = ("group", i, "element", j, "target", k, "code")
                    yield document.fault(path, f"not a code of {group.target}.")
