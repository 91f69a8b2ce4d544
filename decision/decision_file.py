"""Read a decision: rules/<decision>/decision.yaml; and check what a rule concludes against what it may answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal

from pydantic import Field

from decision.decision_node import ASKED_UP_TO, TOLD_UP_TO, DecisionNode
from decision.errors import Fault
from decision.nearest import nearest
from decision.shape import Closed, shape_faults
from decision.strict_yaml import Document, Path

__all__ = ["conclusion_faults", "read_decision"]

LIMITS = (TOLD_UP_TO, ASKED_UP_TO)


def read_decision(name: str, document: Document) -> tuple[DecisionNode | None, list[Fault]]:
    """Read one decision.yaml."""
    shape, faults = shape_faults(_DecisionShape, document)
    if shape is None:
        return None, faults
    faults += [document.fault(path, said) for path, said in _own_faults(shape)]
    node = DecisionNode(
        name=name,
        question=shape.question,
        hit_policy=shape.hit_policy,
        concludes=shape.concludes,
        answers=shape.answers,
        plain=shape.plain,
        stands_unsettled_from=shape.stands_unsettled_from,
        no_reason_beside={answer: tuple(others) for answer, others in shape.no_reason_beside.items()},
        as_cautious_as=shape.as_cautious_as,
        quantities={key: one.model_dump() for key, one in shape.quantities.items()},
        fields={key: one.model_dump() for key, one in shape.fields.items()},
        given={key: tuple(codes) for key, codes in shape.given.items()},
        moments=tuple(shape.moments),
        inputs_about=tuple(shape.requires.inputs_about),
        inputs_named=tuple(shape.requires.inputs),
        requires=tuple(shape.requires.decisions),
    )
    return node, faults


def conclusion_faults(
    node: DecisionNode, conclude: Mapping[str, Any], nodes: Mapping[str, DecisionNode]
) -> Iterable[tuple[Path, str]]:
    """State each way in which a rule's conclusion is not an answer of its decision."""
    if not conclude:
        yield (), "a rule concludes something."
    for key, value in conclude.items():
        if node.hit_policy == "priority":
            yield from _ladder_faults(node, key, value)
        elif node.hit_policy == "unique":
            yield from _quantity_faults(node, key, value)
        else:
            yield from _field_faults(node, key, value, nodes)
    for key, one in node.fields.items():
        if key not in conclude and not one["optional"]:
            yield (key,), "this field of the conclusion is required and is not there."


def _ladder_faults(node: DecisionNode, key: str, value: Any) -> Iterable[tuple[Path, str]]:
    if key != node.concludes:
        yield (key,), f"{node.name} concludes {node.concludes}.{nearest(key, [node.concludes])}"
    elif not _is_among(value, node.answers):
        allowed = ", ".join(node.answers)
        yield (key,), f'"{value}" is not an answer.{nearest(value, node.answers)} Allowed: {allowed}.'


def _quantity_faults(node: DecisionNode, key: str, value: Any) -> Iterable[tuple[Path, str]]:
    if key not in node.quantities:
        allowed = ", ".join(node.quantities)
        yield (key,), f"not a quantity of {node.name}.{nearest(key, node.quantities)} Allowed: {allowed}."
        return
    wanted = node.quantities[key]
    low, high = wanted["range"]
    ends = list(value.values()) if isinstance(value, dict) else [value]
    if wanted["shape"] == "window" and (not isinstance(value, dict) or list(value) != ["low", "high"]):
        yield (key,), "write a window: {low: 20, high: 25}."
    elif wanted["shape"] == "number" and isinstance(value, dict):
        yield (key,), "write one number."
    elif any(isinstance(end, bool) or not isinstance(end, int | float) for end in ends):
        yield (key,), "the value must be a number."
    elif ends != sorted(ends) or not low <= ends[0] <= ends[-1] <= high:
        yield (key,), f"the value must rise and lie from {low:g} to {high:g} {wanted['unit']}."


def _field_faults(
    node: DecisionNode, key: str, value: Any, nodes: Mapping[str, DecisionNode]
) -> Iterable[tuple[Path, str]]:
    if key not in node.fields:
        allowed = ", ".join(node.fields)
        yield (key,), f"not a field of this conclusion.{nearest(key, node.fields)} Allowed: {allowed}."
        return
    wanted = node.fields[key]
    codes = wanted["one_of"]
    ladder = wanted["answer_of"] or wanted["limit_of"]
    if ladder in nodes:
        codes = nodes[ladder].answers
    if codes and not _is_among(value, codes):
        yield (key,), f'"{value}" is not allowed.{nearest(value, codes)} Allowed: {", ".join(codes)}.'
    if wanted["range"]:
        low, high = wanted["range"]
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            yield (key,), f"a number from {low:g} to {high:g}."
    if wanted["text"] and (not isinstance(value, str) or not 0 < len(value) <= wanted["text"]):
        yield (key,), f"a text of 1 to {wanted['text']} characters."


def _is_among(value: Any, codes: Mapping[str, str]) -> bool:
    return isinstance(value, str) and value in codes


class _Requires(Closed):
    inputs_about: list[Literal["patient", "lesion", "equipment", "operator", "cycle", "healing"]]
    inputs: list[str] = Field(default_factory=list)
    decisions: list[str]


class _Quantity(Closed):
    unit: str
    range: list[float] = Field(min_length=2, max_length=2)
    shape: Literal["number", "window"]


class _Field(Closed):
    one_of: dict[str, str] = Field(default_factory=dict)
    plain: dict[str, str] = Field(default_factory=dict)
    text: int = 0
    range: list[float] | None = Field(default=None, min_length=2, max_length=2)
    answer_of: str = ""
    limit_of: str = ""
    optional: bool = False


class _DecisionShape(Closed):
    question: str = Field(min_length=8)
    hit_policy: Literal["priority", "collect", "unique"]
    concludes: str = ""
    answers: dict[str, str] = Field(default_factory=dict)
    plain: dict[str, str] = Field(default_factory=dict)
    stands_unsettled_from: str = ""
    no_reason_beside: dict[str, list[str]] = Field(default_factory=dict)
    as_cautious_as: dict[str, str] = Field(default_factory=dict)
    quantities: dict[str, _Quantity] = Field(default_factory=dict)
    fields: dict[str, _Field] = Field(default_factory=dict)
    given: dict[str, list[str]] = Field(default_factory=dict)
    moments: list[Literal["before", "during", "after"]] = Field(default=["before"], min_length=1)
    requires: _Requires


def _own_faults(shape: _DecisionShape) -> Iterable[tuple[Path, str]]:
    if shape.hit_policy == "priority" and not (shape.answers and shape.concludes):
        yield (), "a ladder names what it concludes and its answers, from permissive to cautious."
    if shape.stands_unsettled_from and shape.stands_unsettled_from not in shape.answers:
        hint = nearest(shape.stands_unsettled_from, shape.answers)
        yield ("stands_unsettled_from",), f"not one of the answers.{hint}"
    yield from _beside_faults(shape)
    for answer, other in shape.as_cautious_as.items():
        for name in (answer, other):
            if name not in shape.answers:
                yield ("as_cautious_as", answer), f"not one of the answers.{nearest(name, shape.answers)}"
    yield from _plain_faults((), shape.plain, shape.answers)
    for name, one in shape.fields.items():
        if bool(one.limit_of) != (name in LIMITS) or (one.limit_of and not one.optional):
            yield (
                ("fields", name),
                f"a field that is the limit of a ladder is optional and named {' or '.join(LIMITS)}.",
            )
        yield from _plain_faults(("fields", name), one.plain, one.one_of)
    if shape.hit_policy == "unique" and not shape.quantities:
        yield (), "a decision under unique names its quantities."
    if shape.hit_policy == "collect" and not shape.fields:
        yield (), "a decision that collects names the fields of a statement."
    for name in shape.given:
        if name not in shape.requires.decisions:
            yield ("given", name), "a decision that is given must be required."


def _beside_faults(shape: _DecisionShape) -> Iterable[tuple[Path, str]]:
    """State what is no answer, and an answer that would be silenced by one that is not more cautious."""
    order = list(shape.answers)
    for answer, others in shape.no_reason_beside.items():
        for code in (answer, *others):
            if code not in order:
                yield ("no_reason_beside", answer), f'"{code}" is not one of the answers.{nearest(code, order)}'
                return
        if any(order.index(other) <= order.index(answer) for other in others):
            yield ("no_reason_beside", answer), "only more cautious answers silence an answer."


def _plain_faults(place: Path, plain: Mapping[str, str], codes: Mapping[str, str]) -> Iterable[tuple[Path, str]]:
    """State plain words for what is no code."""
    for code in plain:
        if code not in codes:
            yield (*place, "plain", code), f"plain words for what is not there.{nearest(code, codes)}"
