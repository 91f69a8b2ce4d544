"""Write code lists as FHIR CodeSystem JSON, the same in R4, R4B and R5."""

from __future__ import annotations

import json
from typing import Any

from api.code_lists import CodeList, CodeLists, Concept

__all__ = ["code_system", "code_system_files"]

COPYRIGHT = (
    "CC0 1.0 Universal: to the extent possible under law, the Thawline authors have waived all copyright and related "
    "rights to this code list."
)
PROPERTIES = [
    {"code": "type", "description": "What is stated of the finding.", "type": "code"},
    {"code": "unit", "description": "The unit of a number.", "type": "string"},
]


def code_system(listed: CodeList, version: str) -> dict[str, Any]:
    """One code list as a CodeSystem resource.

    Args:
        listed: The list.
        version: Of the rule book that it is made from.
    """
    title = listed.name.replace("-", " ").capitalize()
    properties = {"property": PROPERTIES} if any(one.type for one in listed.concepts.values()) else {}
    return {
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
        **properties,
        "concept": [_concept(code, one) for code, one in listed.concepts.items()],
    }


def code_system_files(lists: CodeLists) -> dict[str, str]:
    """Every code list as the text of a JSON file, by its file name."""
    made = {name: code_system(one, lists.version) for name, one in lists.lists.items()}
    return {f"{name}.json": json.dumps(one, indent=1, ensure_ascii=False) + "\n" for name, one in made.items()}


def _concept(code: str, one: Concept) -> dict[str, Any]:
    concept: dict[str, Any] = {"code": code, "display": one.display}
    if one.definition:
        concept["definition"] = one.definition
    stated = [{"code": "type", "valueCode": one.type}] if one.type else []
    if one.unit:
        stated.append({"code": "unit", "valueString": one.unit})
    return {**concept, "property": stated} if stated else concept
