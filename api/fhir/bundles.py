"""Take resources out of what was supplied for one key, and tell missing, nothing found and incomplete apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from api.fhir.elements import Element
from api.fhir.references import keys_of

__all__ = ["Resource", "Supplied", "resources_in", "supplied", "unreadable_in"]

Supply = Literal["missing", "nothing found", "incomplete", "first page", "newest", "whole"]


@dataclass(frozen=True, slots=True)
class Resource:
    """A resource, and the keys by which others may refer to it."""

    element: Element
    keys: frozenset[str]

    @property
    def kind(self) -> str:
        """Its type."""
        return self.element.text("resourceType")


@dataclass(frozen=True, slots=True)
class Supplied:
    """What was supplied for one key.

    Only what is whole, or was looked for and not found, can be relied on; and of what is dated, the newest, where they
    reach back beyond the days that count.
    """

    supply: Supply
    resources: tuple[Resource, ...] = ()

    @property
    def known(self) -> bool:
        """Whether it is known what the record holds."""
        return self.supply in ("whole", "newest", "nothing found")


def supplied(prefetch: Element, key: str, kind: str) -> Supplied:
    """Read what was supplied for a key.

    Args:
        prefetch: The object of all keys.
        key: Which one.
        kind: The type of the resources that were asked for.
    """
    if not isinstance(prefetch.value, dict) or key not in prefetch.value:
        return Supplied("missing")
    found = prefetch.at(key)
    if not found:
        return Supplied("nothing found")
    if found.text("resourceType") == kind:
        return Supplied("whole", (Resource(found, keys_of(found, "")),))
    if unreadable_in(found) is not None:
        return Supplied("incomplete")
    held = tuple(resources_in(found))
    matching = tuple(one for one in held if one.kind == kind)
    total = found.at("total").value
    short = isinstance(total, int) and total > len(matching)
    if any(one.kind == "OperationOutcome" and _failed(one.element) for one in held):
        return Supplied("incomplete")
    return Supplied("first page" if short or _broken_off(found) else "whole", matching)


def resources_in(bundle: Element) -> Iterable[Resource]:
    """The resources of a Bundle, in their order."""
    for entry in bundle.each("entry"):
        resource = entry.at("resource")
        if isinstance(resource.value, dict):
            yield Resource(resource, keys_of(resource, entry.text("fullUrl")))


def unreadable_in(bundle: Element) -> Element | None:
    """The first place at which something is no Bundle of resources; None for one that is."""
    if bundle.text("resourceType") != "Bundle":
        return bundle.at("resourceType") if isinstance(bundle.value, dict) else bundle
    if bundle.at("entry") and not isinstance(bundle.at("entry").value, list | dict):
        return bundle.at("entry")
    resources = (one.at("resource") if isinstance(one.value, dict) else one for one in bundle.each("entry"))
    return next((one for one in resources if not one.text("resourceType")), None)


def _broken_off(bundle: Element) -> bool:
    """Whether the answer goes on elsewhere, where this service does not follow it."""
    return any(one.text("relation") == "next" for one in bundle.each("link"))


def _failed(outcome: Element) -> bool:
    return any(one.text("severity") in ("error", "fatal") for one in outcome.each("issue"))
