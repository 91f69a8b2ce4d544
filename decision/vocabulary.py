"""The inputs: every fact a case may state and every quantity computed from stated facts.

Read from rules/vocabulary.yaml. This module knows what an input is (type, unit, range, allowed codes, question,
direction of risk, presumption, check list). Values are read by case.py and derived by derived.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

__all__ = ["ABOUT", "Group", "Input", "Value", "Vocabulary"]

Value = bool | float | str
ABOUT = ("patient", "lesion", "equipment", "operator", "cycle", "healing")

_UNIT_SUFFIXES = ("_mm", "_s", "_c", "_kg", "_years")


@dataclass(frozen=True, slots=True)
class Input:
    """One statable or derived quantity.

    `presumed_unless` names other inputs that prove a presumption wrong, with the values that do; none listed means any
    value. `charted_alike` is for a number of lesions: as many are presumed as are charted and not stated to differ in
    the input of that name, and `presumed` is the least.
    """

    name: str
    about: str
    type: Literal["code", "boolean", "number", "numbers"]
    question: str
    unit: str | None = None
    low: float = 0.0
    high: float = 0.0
    allowed: Mapping[str, str] = field(default_factory=dict)
    group: str | None = None
    absent: Value | None = None
    presumed: Value | None = None
    presumed_because: str = ""
    presumed_unless: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    charted_alike: str = ""
    presumed_in_review: Value | None = None
    risk: Any = "none"
    changes: Literal["never", "time", "can"] = "can"
    named: str = ""
    parents: Mapping[str, str] = field(default_factory=dict)

    @property
    def label(self) -> str:
        """The name as a reader says it: words, without the unit; the vocabulary may give better ones."""
        if self.named:
            return self.named
        name = self.name
        for suffix in _UNIT_SUFFIXES:
            name = name.removesuffix(suffix)
        return name.replace("_", " ")

    def presumed_at(self, moment: str) -> Value | None:
        """What is taken when nobody states it: what always is, and in a review also what is presumed there alone."""
        return self.presumed_in_review if self.presumed is None and moment != "before" else self.presumed

    @property
    def values(self) -> tuple[Value, ...]:
        """Every value that it may have, where they are few: codes, and truth values."""
        return (True, False) if self.type == "boolean" else tuple(self.allowed)

    @property
    def derived(self) -> bool:
        """Whether it is computed and never stated."""
        return self.about == "derived"

    def presumed_beside(self, stated: Mapping[str, Value], moment: str = "before") -> bool:
        """Whether it is presumed where this much is stated: not itself, and nothing that proves the presumption wrong.

        >>> earlier = Input("sessions", "lesion", "number", "How many?", presumed=0.0, presumed_unless={"result": ()})
        >>> earlier.presumed_beside({}), earlier.presumed_beside({"result": "same"})
        (True, False)
        """
        if self.name in stated or self.presumed_at(moment) is None:
            return False
        proving = self.presumed_unless.items()
        return not any(name in stated and (not values or stated[name] in values) for name, values in proving)


@dataclass(frozen=True, slots=True)
class Group:
    """A check list: one tick states every input in it as absent."""

    name: str
    about: str
    question: str


@dataclass(frozen=True, slots=True, eq=False)
class Vocabulary:
    """All inputs and check lists, by name, in the order of the file. Equal only to itself.

    `fresh_days` says for how many days what a record says was seen can stand for today.
    """

    inputs: Mapping[str, Input]
    groups: Mapping[str, Group]
    fresh_days: int = 0

    def about(self, what: str) -> list[Input]:
        """The inputs that are stated about the patient, the lesion, the equipment or the operator."""
        return [one for one in self.inputs.values() if one.about == what]

    def on_the_shelf(self, one: Input) -> tuple[str, ...]:
        """What an input asks of equipment and operator, itself or its parents: none of it ever unsettles a verdict."""
        roots = [self.inputs[name] for name in one.parents if name in self.inputs] or [one]
        return tuple(root.name for root in roots if root.about in ("equipment", "operator"))

    def in_group(self, group: str) -> list[Input]:
        """The inputs that one tick states as absent."""
        return [one for one in self.inputs.values() if one.group == group]
