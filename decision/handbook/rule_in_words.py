"""Say one rule in plain words, as data that can be sent.

The page of a rule, the handbook and the service all show these words, so that they cannot differ. Tests are worded by
unary_test.in_words alone. The examples are run here: what is printed of them is what they did.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from typing_extensions import TypedDict

from decision.citation import citation
from decision.decision_node import DecisionNode
from decision.derived import derive
from decision.evaluator import Outcome, compile_rules
from decision.fact_words import amount, fact_in_words, figure
from decision.markdown import sentence
from decision.rule import Rule
from decision.rule_folder import RuleFolder, all_inputs
from decision.unary_test import UnaryTest, in_words
from decision.vocabulary import Input

__all__ = ["ConditionInWords", "ExampleInWords", "RuleInWords", "rule_as_data", "spoken"]

STATEMENTS = ("summary", "detail", "step")  # texts that are sentences by themselves; others are named


class ConditionInWords(TypedDict):
    """One condition of a rule, and the question that settles it."""

    input: str
    label: str
    words: str
    question: str


class ExampleInWords(TypedDict):
    """One worked example: what is known, what is computed from that and read by the rule, and what the rule did."""

    title: str
    stated: dict[str, str]
    computed: dict[str, str]
    outcome: str


class CitationInWords(TypedDict):
    """A source by its key, and its full citation."""

    key: str
    citation: str


class EvidenceInWords(TypedDict):
    """What a rule rests on. No citation means common practice without a source."""

    certainty: str
    strength: str
    citations: list[CitationInWords]
    species_direct: bool
    measured_in: list[str]
    cryogen_direct: bool
    limits: str


class RuleInWords(TypedDict):
    """A whole rule."""

    id: str
    decision: str
    question: str
    title: str
    purpose: str
    explanation: str
    when: list[ConditionInWords]
    unless: list[ConditionInWords]
    then: list[str]
    evidence: EvidenceInWords
    maintenance: dict[str, Any]
    examples: list[ExampleInWords]


def rule_as_data(rule: Rule, folder: RuleFolder) -> RuleInWords:
    """Say a rule of a folder as JSON data."""
    inputs = all_inputs(folder)
    nodes = {node.name: node for node in folder.decisions}
    one = rule.evidence
    return {
        "id": rule.id,
        "decision": rule.decision,
        "question": nodes[rule.decision].question,
        "title": rule.title,
        "purpose": rule.purpose,
        "explanation": rule.explanation,
        "when": [_condition(test, inputs) for test in rule.when],
        "unless": [_condition(test, inputs) for test in rule.unless],
        "then": _conclusion(rule.conclude, nodes[rule.decision], nodes),
        "evidence": {
            "certainty": one.certainty,
            "strength": one.strength,
            "citations": [{"key": key, "citation": citation(folder.sources[key])} for key in one.citations],
            "species_direct": bool(one.measured_in),
            "measured_in": list(one.measured_in),
            "cryogen_direct": one.cryogen_direct,
            "limits": " ".join(one.limits.split()),
        },
        "maintenance": dict(rule.written["maintenance"]),
        "examples": _examples(rule, inputs),
    }


def spoken(name: str) -> str:
    """A name of a rule file as a reader says it: words, without the unit.

    >>> spoken("wait_between_cycles_s")
    'wait between cycles'
    """
    return Input(name, "decision", "number", "").label


def _condition(test: UnaryTest, inputs: Mapping[str, Input]) -> ConditionInWords:
    about = inputs[test.input]
    return {
        "input": test.input,
        "label": about.label,
        "words": in_words(test, about),
        "question": about.question,
    }


def _conclusion(conclude: Mapping[str, Any], node: DecisionNode, nodes: Mapping[str, DecisionNode]) -> list[str]:
    """What a rule concludes, one sentence for each part."""
    if node.hit_policy == "priority":
        return [f"The {spoken(key)} is “{node.answers[value]}”." for key, value in conclude.items()]
    if node.hit_policy == "unique":
        return [_quantity(key, value, node.quantities[key]["unit"]) for key, value in conclude.items()]
    return [_field(key, value, node.fields[key], nodes) for key, value in conclude.items()]


def _quantity(name: str, value: Any, unit: str) -> str:
    ends = list(dict.fromkeys(value.values())) if isinstance(value, dict) else [value]
    named = spoken(name)
    window = " to ".join([*map(figure, ends[:-1]), amount(ends[-1], "" if unit == named else unit)])
    return sentence(f"{named}: {window}")


def _field(name: str, value: Any, about: Mapping[str, Any], nodes: Mapping[str, DecisionNode]) -> str:
    if about["answer_of"]:
        raised = nodes[about["answer_of"]]
        return sentence(f"{spoken(raised.name)} is then at least “{raised.answers[value]}”")
    if about["limit_of"]:
        limiting = nodes[about["limit_of"]]
        said = f"{spoken(name)} “{limiting.answers[value]}”"
        return sentence(f"{said}: where {spoken(limiting.name)} is more cautious it is silent")
    if about["one_of"]:
        return sentence(about["one_of"][value])
    if not isinstance(value, str):
        return sentence(f"{spoken(name)} {figure(value)}")
    return sentence(value if name in STATEMENTS else f"{spoken(name)}: {value}")


def _examples(rule: Rule, inputs: Mapping[str, Input]) -> list[ExampleInWords]:
    """Run the examples of a rule: nothing is known but what they state, and what follows from that."""
    evaluate = compile_rules([rule])
    computed = [test.input for test in rule.tests if inputs[test.input].derived]
    found: list[ExampleInWords] = []
    for example in rule.examples:
        stated = {name: float(value) if type(value) is int else value for name, value in example.case.items()}
        known = {**stated, **derive(stated)}
        found.append(
            {
                "title": example.title,
                "stated": {name: fact_in_words(inputs[name], value) for name, value in stated.items()},
                "computed": {name: fact_in_words(inputs[name], known.get(name)) for name in computed},
                "outcome": Outcome(evaluate(known)[0]).word,
            }
        )
    return found
