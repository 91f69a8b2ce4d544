"""Write code lists as FHIR CodeSystem JSON, the same in R4, R4B and R5."""

from __future__ import annotations

import json
from typing import Literal, NotRequired

from typing_extensions import TypedDict

from api.code_lists import CodeList, CodeLists, Concept

__all__ = ["CodeSystem", "code_system", "code_system_files"]

COPYRIGHT = (
    "CC0 1.0 Universal: to the extent possible under law, the Thawline authors have waived all copyright and related "
    "rights to this code list."
)


class ConceptProperty(TypedDict):
    """What is stated of a finding: its type, or the unit of its number."""

    code: Literal["type", "unit"]
    valueCode: NotRequired[str]
    valueString: NotRequired[str]


class ListedConcept(TypedDict):
    """One code: its words, and what it asks or means."""

    code: str
    display: str
    definition: NotRequired[str]
    property: NotRequired[list[ConceptProperty]]


class ListedProperty(TypedDict):
    """A property that concepts may have."""

    code: Literal["type", "unit"]
    description: str
    type: Literal["code", "string"]


class CodeSystem(TypedDict):
    """A code list as a FHIR CodeSystem, the same in R4, R4B and R5."""

    resourceType: Literal["CodeSystem"]
    id: str
    url: str
    version: str
    name: str
    title: str
    status: Literal["draft"]
    experimental: bool
    publisher: str
    description: str
    copyright: str
    caseSensitive: bool
    content: Literal["complete"]
    count: int
    property: NotRequired[list[ListedProperty]]
    concept: list[ListedConcept]


PROPERTIES: list[ListedProperty] = [
    {"code": "type", "description": "What is stated of the finding.", "type": "code"},
    {"code": "unit", "description": "The unit of a number.", "type": "string"},
]


def code_system(listed: CodeList, version: str) -> CodeSystem:
    """One code list as a CodeSystem resource.

    Args:
        listed: The list.
        version: Of the rule book that it is made from.
    """
    title = listed.name.replace("-", " ").capitalize()
    made: CodeSystem = {
        "resourceType": "CodeSystem",
        "id": listed.name,
        "url": listed.url,
        "version": version,
        "name": f"Thawline{title.title().replace(' ', '')}",
        "title": f"Thawline: {title.lower()}",
        "status": "draft",
        "experimental": False,
        "publisher": "The Thawline authors",
        "description": listed.description,
        "copyright": COPYRIGHT,
        "caseSensitive": True,
        "content": "complete",
        "count": len(listed.concepts),
        "property": PROPERTIES,
        "concept": [_concept(code, one) for code, one in listed.concepts.items()],
    }
    if not any(one.type for one in listed.concepts.values()):
        del made["property"]
    return made


def code_system_files(lists: CodeLists) -> dict[str, str]:
    """Every code list as the text of a JSON file, by its file name."""
    made = {name: code_system(one, lists.version) for name, one in lists.lists.items()}
    return {f"{name}.json": json.dumps(one, indent=1, ensure_ascii=False) + "\n" for name, one in made.items()}


def _concept(code: str, one: Concept) -> ListedConcept:
    concept: ListedConcept = {"code": code, "display": one.display}
    if one.definition:
        concept["definition"] = one.definition
    stated: list[ConceptProperty] = [{"code": "type", "valueCode": one.type}] if one.type else []
    if one.unit:
        stated.append({"code": "unit", "valueString": one.unit})
    if stated:
        concept["property"] = stated
    return concept
