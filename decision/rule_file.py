"""Read a rule: one file, its shape, its tests, its conclusion, its evidence.

What the rules say together is checked in rule_folder.py.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Literal

from pydantic import Field

from decision.decision_file import conclusion_faults
from decision.decision_node import DecisionNode
from decision.errors import Fault, UnreadableTest
from decision.measured import measured_in
from decision.nearest import nearest
from decision.rule import NO_SOURCE, Evidence, Example, Rule
from decision.shape import Closed, shape_faults
from decision.strict_yaml import Document, Path
from decision.topics import topic_faults
from decision.unary_test import UnaryTest, read_test
from decision.vocabulary import Input

__all__ = ["read_rule"]


def read_rule(
    name: str,
    document: Document,
    *,
    node: DecisionNode,
    nodes: Mapping[str, DecisionNode],
    readable: Mapping[str, Input],
    sources: Mapping[str, Any],
    topics: Collection[str],
) -> tuple[Rule | None, list[Fault]]:
    """Read one rule file.

    Args:
        name: File name without `.yaml`.
        document: The file.
        node: The decision it belongs to.
        nodes: All decisions, for answers that a conclusion may name.
        readable: The inputs that this decision may ask about, earlier answers included.
        sources: The published sources, by key.
        topics: The topics of the pages that gather rules.

    Returns:
        The rule, or None, and every fault found.
    """
    shape, faults = shape_faults(_RuleShape, document)
    if shape is None:
        return None, faults
    when = _read_tests(shape.when, "when", document, readable, faults)
    unless = _read_tests(shape.unless, "unless", document, readable, faults)
    for path, said in conclusion_faults(node, shape.conclude, nodes):
        faults.append(document.fault(("conclude", *path), said))
    faults += [document.fault(path, said) for path, said in topic_faults(shape.topics, topics)]
    _check_evidence(shape, document, sources, faults)
    _check_both_blocks(shape, document, faults)
    examples = tuple(Example(one.title, one.case, one.outcome) for one in shape.examples)
    evidence = _evidence(shape.evidence, sources)
    rule = Rule(
        decision=node.name,
        name=name,
        title=shape.title,
        purpose=_on_one_line(shape.purpose),
        explanation=_on_one_line(shape.explanation),
        when=when,
        unless=unless,
        conclude={key: _on_one_line(value) for key, value in shape.conclude.items()},
        topics=tuple(shape.topics),
        evidence=evidence,
        examples=examples,
        document=document,
    )
    return rule, faults


class _EvidenceShape(Closed):
    certainty: Literal["high", "moderate", "low", "very_low"]
    strength: Literal["strong", "conditional", "good_practice"]
    citations: list[str]
    species_direct: bool
    cryogen_direct: bool
    limits: str = Field(min_length=10)


def _evidence(shape: _EvidenceShape, sources: Mapping[str, Any]) -> Evidence:
    animals = measured_in(shape.citations, sources) if shape.species_direct else ()
    return Evidence(**{**shape.model_dump(), "citations": tuple(shape.citations), "measured_in": animals})


class _Revision(Closed):
    version: int
    date: str = Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")
    note: str


class _MaintenanceShape(Closed):
    author: str
    specialist: str
    validation: Literal["production", "research", "testing", "expired"]
    revisions: list[_Revision] = Field(min_length=1)


class _ExampleShape(Closed):
    title: str
    case: dict[str, Any]
    outcome: Literal["holds", "fails", "unknown"]


class _RuleShape(Closed):
    title: str = Field(min_length=10, max_length=80)
    purpose: str = Field(min_length=10)
    explanation: str = Field(min_length=20)
    when: dict[str, Any] = Field(min_length=1)
    unless: dict[str, Any] = Field(default_factory=dict)
    conclude: dict[str, Any] = Field(min_length=1)
    topics: list[str] = Field(default_factory=list)
    evidence: _EvidenceShape
    maintenance: _MaintenanceShape
    examples: list[_ExampleShape] = Field(min_length=2)


def _read_tests(
    block: Mapping[str, Any],
    where: str,
    document: Document,
    readable: Mapping[str, Input],
    faults: list[Fault],
) -> tuple[UnaryTest, ...]:
    tests = []
    for name, written in block.items():
        path: Path = (where, name)
        if name not in readable:
            said = f"not an input that this decision may read.{nearest(name, readable)}"
            faults.append(document.fault(path, f"{said} Inputs are listed in rules/vocabulary.yaml."))
            continue
        try:
            tests.append(read_test(written, about=readable[name]))
        except UnreadableTest as unreadable:
            faults.append(document.fault(path, str(unreadable)))
    return tuple(tests)


def _on_one_line(value: Any) -> Any:
    """A text without the line breaks of its file; anything else as it is."""
    return " ".join(value.split()) if isinstance(value, str) else value


def _check_evidence(shape: _RuleShape, document: Document, sources: Mapping[str, Any], faults: list[Fault]) -> None:
    evidence = shape.evidence
    for i, key in enumerate(evidence.citations):
        if key not in sources:
            said = f'"{key}" is not a source.{nearest(key, sources)} Sources are in rules/sources.yaml.'
            faults.append(document.fault(("evidence", "citations", i), said))
    if evidence.citations:
        return
    if NO_SOURCE not in evidence.limits:
        said = f'without a citation the limits must say "{NO_SOURCE}".'
        faults.append(document.fault(("evidence", "limits"), said))
    for name in ("species_direct", "cryogen_direct"):
        if getattr(evidence, name):
            faults.append(document.fault(("evidence", name), "nothing was measured without a citation."))
    if evidence.certainty in ("high", "moderate"):
        said = "without a citation the certainty is low or very_low."
        faults.append(document.fault(("evidence", "certainty"), said))


def _check_both_blocks(shape: _RuleShape, document: Document, faults: list[Fault]) -> None:
    for name in shape.when.keys() & shape.unless.keys():
        said = "asked under `when` and under `unless`; say it in one test."
        faults.append(document.fault(("unless", name), said))
    outcomes = {one.outcome for one in shape.examples}
    for wanted in ("holds", "fails", "unknown"):
        if wanted not in outcomes:
            said = f"no example where the rule {'is unknown' if wanted == 'unknown' else wanted}."
            faults.append(document.fault(("examples",), said))
