"""Walk through JSON that others wrote: whatever is not there, or is of another kind, is simply empty.

Every step keeps its place, so that what cannot be used is reported by a JSON Pointer and never by its value.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from decision.case_faults import pointer_to

__all__ = ["Element"]


@dataclass(frozen=True, slots=True)
class Element:
    """A value in a JSON document, and the steps that lead to it. An empty one holds None."""

    value: Any
    steps: tuple[str | int, ...] = ()

    def __bool__(self) -> bool:
        """Whether there is anything."""
        return self.value is not None

    @property
    def pointer(self) -> str:
        """The JSON Pointer to it, as a URI fragment."""
        return pointer_to(self.steps)

    def at(self, name: str) -> Element:
        """The member of an object by that name.

        >>> Element({"status": "final"}).at("status")
        Element(value='final', steps=('status',))
        >>> Element(["final"]).at("status").value is None
        True
        """
        found = self.value.get(name) if isinstance(self.value, dict) else None
        return Element(found, (*self.steps, name))

    def each(self, name: str) -> list[Element]:
        """The entries of a list by that name; an object that stands alone counts as a list of one.

        >>> [one.steps for one in Element({"entry": [{}, {}]}).each("entry")]
        [('entry', 0), ('entry', 1)]
        >>> [one.steps for one in Element({"category": {"text": "x"}}).each("category")]
        [('category',)]
        """
        found = self.at(name)
        if isinstance(found.value, list):
            return [Element(one, (*found.steps, i)) for i, one in enumerate(found.value)]
        return [found] if isinstance(found.value, dict) else []

    def first(self, *names: str) -> Element:
        """The first member that is there, of several names for one thing."""
        return next((found for found in map(self.at, names) if found), Element(None, self.steps))

    def text(self, name: str) -> str:
        """A text by that name, or an empty one."""
        found = self.at(name).value
        return found if isinstance(found, str) else ""
