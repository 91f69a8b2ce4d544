"""The inputs: every fact a case may state and every quantity computed from stated facts.

Read from rules/vocabulary.yaml. This module knows what an input is (type, unit, range, allowed codes, question,
direction of risk, presumption, check list). Values are read by case.py and derived by derived.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from decision.errors import Fault
from decision.nearest import nearest
from decision.shape import shape_faults
from decision.strict_yaml import Document

__all__ = ["ABOUT", "Group", "Input", "Value", "Vocabulary", "nearest", "read_vocabulary"]

Value = bool | float | str
ABOUT = ("patient", "lesion", "equipment", "operator", "cycle", "healing")

_UNIT_SUFFIXES = ("_mm", "_s", "_c", "_kg", "_years")


@dataclass(frozen=True, slots=True)
class Input:
    """One statable or derived quantity."""

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

    @property
    def derived(self) -> bool:
        """Whether it is computed and never stated."""
        return self.about == "derived"


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


def read_vocabulary(document: Document) -> tuple[Vocabulary, list[Fault]]:
    """Read the vocabulary document; a faulty input is left out and its faults are returned."""
    shape, faults = shape_faults(_VocabularyShape, document)
    if shape is None:
        return Vocabulary({}, {}), faults
    groups = {name: Group(name, one.about, one.question) for name, one in shape.groups.items()}
    inputs = {}
    for name, one in shape.inputs.items():
        for path, said in _input_faults(name, one, shape):
            faults.append(document.fault(("inputs", name, *path), said))
        inputs[name] = _input(name, one)
    return Vocabulary(inputs, groups, shape.fresh_days), faults


class _Closed(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _Presumption(_Closed):
    value: bool | float | int | str
    because: str = Field(min_length=5)


class _GroupShape(_Closed):
    about: Literal["patient", "lesion", "cycle", "healing"]
    question: str


class _InputShape(_Closed):
    about: Literal["patient", "lesion", "equipment", "operator", "cycle", "healing", "derived"]
    type: Literal["code", "boolean", "number", "numbers"]
    question: str = Field(min_length=8)
    label: str = ""
    unit: str | None = None
    range: list[float] | None = Field(default=None, min_length=2, max_length=2)
    allowed: dict[str, str] = Field(default_factory=dict)
    group: str | None = None
    absent: bool | str | None = None
    presume: _Presumption | None = None
    risk: Literal["rises", "falls", "none"] | list[str | list[str]]
    changes: Literal["never", "time", "can"] = "can"
    parents: dict[str, Literal["rises", "falls", "none"]] = Field(default_factory=dict, alias="from")


class _VocabularyShape(_Closed):
    fresh_days: int = Field(default=0, ge=0, le=366)
    groups: dict[str, _GroupShape] = Field(default_factory=dict)
    inputs: dict[str, _InputShape]


def _input(name: str, one: _InputShape) -> Input:
    low, high = one.range or (0.0, 0.0)
    absent = one.absent
    if one.group and absent is None and one.type == "boolean":
        absent = False
    presumed = one.presume.value if one.presume else None
    if isinstance(presumed, int) and not isinstance(presumed, bool):
        presumed = float(presumed)
    return Input(
        name=name,
        about=one.about,
        type=one.type,
        question=one.question,
        unit=one.unit,
        low=float(low),
        high=float(high),
        allowed=one.allowed,
        group=one.group,
        absent=absent,
        presumed=presumed,
        presumed_because=one.presume.because if one.presume else "",
        risk=one.risk,
        changes=one.changes,
        named=one.label,
        parents=one.parents,
    )


def _input_faults(name: str, one: _InputShape, shape: _VocabularyShape) -> Iterable[tuple[tuple[str, ...], str]]:
    """State what the shape alone cannot: that type, range, codes, group and parents agree."""
    if not name.isidentifier() or not name.islower():
        yield (), "an input is named in lower-case words joined by underscores."
    if one.type == "code" and not one.allowed:
        yield ("allowed",), "a code needs its allowed values."
    if one.type in ("number", "numbers") and (one.range is None or one.unit is None):
        yield (), "a number needs a unit and a range."
    if one.range and one.range[0] >= one.range[1]:
        yield ("range",), "the range must rise."
    if one.group and one.group not in shape.groups:
        yield ("group",), f"{one.group} is not a check list.{nearest(one.group, shape.groups)}"
    elif one.group and one.about != shape.groups[one.group].about:
        yield ("group",), f"this check list is about the {shape.groups[one.group].about}."
    if one.group and one.type == "code" and one.absent not in one.allowed:
        yield ("absent",), "a code in a check list says which value means absent."
    elif one.group and one.type == "boolean" and one.absent not in (None, False):
        yield ("absent",), "absent is false for a yes-or-no input."
    elif one.group and one.type not in ("code", "boolean"):
        yield ("group",), "only codes and yes-or-no inputs stand in a check list."
    if one.presume and not _is_value_of(one, one.presume.value):
        yield ("presume", "value"), "the presumed value is not one that this input can have."
    for parent in one.parents:
        if parent not in shape.inputs:
            yield ("from", parent), f"not an input.{nearest(parent, shape.inputs)}"
        elif shape.inputs[parent].about == "derived":
            yield ("from", parent), "a derived quantity is computed from stated inputs only."
    if (one.about == "derived") != bool(one.parents):
        yield ("from",), "a derived quantity, and no other, names what it is computed from."
    yield from _risk_faults(one)


def _is_value_of(one: _InputShape, value: Value) -> bool:
    if one.about == "derived" or one.type == "numbers":
        return False
    if one.type == "boolean":
        return isinstance(value, bool)
    if one.type == "code":
        return value in one.allowed
    if isinstance(value, bool | str) or one.range is None:
        return False
    return one.range[0] <= value <= one.range[1]


def _risk_faults(one: _InputShape) -> Iterable[tuple[tuple[str, ...], str]]:
    if not isinstance(one.risk, list):
        if one.type == "code" and one.risk != "none":
            yield ("risk",), "the risk of a code is none, or its codes in order."
        return
    flat = [code for step in one.risk for code in (step if isinstance(step, list) else [step])]
    if one.type != "code" or sorted(flat) != sorted(one.allowed):
        yield ("risk",), "list each allowed code once, from the least to the most risky."
