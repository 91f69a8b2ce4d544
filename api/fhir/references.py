"""Tell which resource a reference means: by type and id, or by the full address of an entry."""

from __future__ import annotations

import re

from api.fhir.elements import Element

__all__ = ["ID", "key_of", "keys_of", "referred"]

_NAME = "[A-Za-z0-9.-]{1,64}"
ID = re.compile(_NAME, re.ASCII)
_TYPE_AND_ID = re.compile(rf"(?:.*/)?([A-Z][A-Za-z]{{1,63}}/{_NAME})(?:/_history/{_NAME})?", re.ASCII)
LONGEST = 2_000


def key_of(written: str) -> str:
    """The key of a reference; empty when it is none.

    >>> key_of("https://records.example.org/fhir/Condition/lesion-1/_history/2")
    'Condition/lesion-1'
    >>> key_of("urn:uuid:0b9e0d53-5b1e-4c8a-9a55-5d0c6e1f2a77")
    'urn:uuid:0b9e0d53-5b1e-4c8a-9a55-5d0c6e1f2a77'
    """
    if len(written) > LONGEST:
        return ""
    found = _TYPE_AND_ID.fullmatch(written)
    return found[1] if found else written


def referred(element: Element) -> str:
    """The key that a Reference names, or a CodeableReference (R5)."""
    inside = element.at("reference")
    return referred(inside) if isinstance(inside.value, dict) else key_of(element.text("reference"))


def keys_of(resource: Element, full_url: str) -> frozenset[str]:
    """The keys by which a resource may be referred to."""
    kind, name = resource.text("resourceType"), resource.text("id")
    keys = {f"{kind}/{name}" if ID.fullmatch(name) else "", key_of(full_url)}
    return frozenset(keys - {""})
