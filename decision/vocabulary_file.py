"""Read the vocabulary: rules/vocabulary.yaml, checked input by input."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from decision.errors import Fault
from decision.nearest import nearest
from decision.shape import Closed, shape_faults
from decision.strict_yaml import Document
from decision.vocabulary import Group, Input, Value, Vocabulary

__all__ = ["read_vocabulary"]

ANY = "any"


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


class _Presumption(Closed):
    value: bool | float | int | str
    because: str = Field(min_length=5)
    unless_stated: dict[str, bool | str | list[str]] = Field(default_factory=dict)
    charted_alike: str = ""


class _GroupShape(Closed):
    about: Literal["patient", "lesion", "cycle", "healing"]
    question: str


class _InputShape(Closed):
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
    presume_in_review: _Presumption | None = None
    risk: Literal["rises", "falls", "none"] | list[str | list[str]]
    changes: Literal["never", "time", "can"] = "can"
    parents: dict[str, Literal["rises", "falls", "none"]] = Field(default_factory=dict, alias="from")


class _VocabularyShape(Closed):
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
        presumed_because=said.because if (said := one.presume or one.presume_in_review) else "",
        presumed_unless={name: _proving(said) for name, said in one.presume.unless_stated.items()}
        if one.presume
        else {},
        charted_alike=one.presume.charted_alike if one.presume else "",
        presumed_in_review=one.presume_in_review.value if one.presume_in_review else None,
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
    yield from _presumption_faults(name, one, shape)
    if one.presume_in_review and not _is_value_of(one, one.presume_in_review.value):
        yield ("presume_in_review", "value"), "the presumed value is not one that this input can have."
    if one.presume and one.presume_in_review:
        yield ("presume_in_review",), "what is always presumed is presumed in a review too."
    for parent in one.parents:
        if parent not in shape.inputs:
            yield ("from", parent), f"not an input.{nearest(parent, shape.inputs)}"
        elif shape.inputs[parent].about == "derived":
            yield ("from", parent), "a derived quantity is computed from stated inputs only."
    if (one.about == "derived") != bool(one.parents):
        yield ("from",), "a derived quantity, and no other, names what it is computed from."
    yield from _risk_faults(one)


def _proving(said: bool | str | list[str]) -> tuple[Value, ...]:
    """The values of another input that prove a presumption wrong; none where any does."""
    if said == ANY:
        return ()
    return tuple(said) if isinstance(said, list) else (said,)


def _presumption_faults(name: str, one: _InputShape, shape: _VocabularyShape) -> Iterable[tuple[tuple[str, ...], str]]:
    """State what is wrong with what would prove a presumption wrong, and with what it counts."""
    if one.presume is None:
        return
    for other, said in one.presume.unless_stated.items():
        place, about = ("presume", "unless_stated", other), shape.inputs.get(other)
        if about is None:
            yield place, f"not an input.{nearest(other, shape.inputs)}"
        elif other == name or about.about == "derived":
            yield place, "another input, which can be stated, proves a presumption wrong."
        elif not all(_is_value_of(about, value) for value in _proving(said)):
            yield place, "write any, or values that this input can have."
    counted = one.presume.charted_alike
    if counted and (one.type != "number" or one.about not in ("patient", "lesion")):
        yield ("presume", "charted_alike"), "only a number about the patient or the lesion counts what is charted."
    elif counted and counted not in (alike := [each for each, said in shape.inputs.items() if said.about == "lesion"]):
        yield ("presume", "charted_alike"), f"not an input about the lesion.{nearest(counted, alike)}"


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
