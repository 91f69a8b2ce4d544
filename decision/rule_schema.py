"""The schema of rule files, for editors (JSON Schema 2020-12), generated from the rule folder itself.

One definition a decision: what its rules may ask, and what they may conclude. It completes names and explains codes
while a rule is written. What one file alone cannot show is found by loading the folder.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from decision.decision_node import DecisionNode
from decision.evidence_schema import evidence_schema, maintenance_schema
from decision.input_schema import Schema, asked_schema, choice_schema, closed_schema, stated_schema, text_schema
from decision.rule_folder import RuleFolder, readable_inputs
from decision.vocabulary import Input

__all__ = ["rule_schema", "schema_files"]

DIALECT = "https://json-schema.org/draft/2020-12/schema"
WHOLE = "rule.schema.json"
OPTIONAL = ("unless", "topics")

_SHORT_OBJECT = re.compile(r"\{\s+([^{}\[\]\n]+)(?:\n\s+([^{}\[\]\n]+))?\s+\}")

_OUTCOME = {
    "holds": "Every test of `when` is met and the exception is not.",
    "fails": "A test of `when` is not met, or the exception is met in full.",
    "unknown": "What the example states does not settle it.",
}


def schema_files(folder: RuleFolder) -> dict[str, str]:
    """Every schema file, by name: the whole one, and for each decision one that points into it."""
    files = {WHOLE: rule_schema(folder)}
    for node in folder.decisions:
        files[f"{node.name}.schema.json"] = {
            "$schema": DIALECT,
            "title": f"A rule of the decision {node.name}",
            "$ref": f"{WHOLE}#/$defs/{node.name}",
        }
    return {name: _written(one) for name, one in files.items()}


def rule_schema(folder: RuleFolder) -> Schema:
    """The schema of a rule of any decision."""
    nodes = {node.name: node for node in folder.decisions}
    asked: dict[str, Input] = {}
    parts: Schema = {name: _decision_schema(node, nodes) for name, node in nodes.items()}
    for name, node in nodes.items():
        readable = readable_inputs(node, folder.vocabulary, nodes)
        askable = {key: one for key, one in readable.items() if one.type != "numbers"}
        statable = [key for key, one in readable.items() if not one.derived]
        parts[f"tests_of_{name}"] = closed_schema({key: {"$ref": f"#/$defs/test_{key}"} for key in askable})
        parts[f"case_for_{name}"] = closed_schema({key: {"$ref": f"#/$defs/value_{key}"} for key in statable})
        asked |= readable
    parts["evidence"] = evidence_schema(folder.sources)
    parts["maintenance"] = maintenance_schema()
    parts["topics"] = _topics_schema(folder)
    for key, one in asked.items():
        if one.allowed:
            parts[f"code_{key}"] = choice_schema(one.allowed)
        if not one.derived:
            parts[f"value_{key}"] = stated_schema(one)
        if one.type != "numbers":
            parts[f"test_{key}"] = asked_schema(one)
    return {
        "$schema": DIALECT,
        "title": "A rule of the rule book",
        "description": "Generated. Do not edit: change the rule folder and run `thawline schema`.",
        "anyOf": [{"$ref": f"#/$defs/{name}"} for name in nodes],
        "$defs": parts,
    }


def _decision_schema(node: DecisionNode, nodes: Mapping[str, DecisionNode]) -> Schema:
    tests = {"$ref": f"#/$defs/tests_of_{node.name}"}
    fields: Schema = {
        "title": text_schema(10, 80, "Advice in one sentence that starts with what to do; no full stop."),
        "purpose": text_schema(10, said="Why the rule exists, in one sentence."),
        "explanation": text_schema(20, said="One to four sentences for the clinician, in our own words."),
        "when": {"description": "All must be met.", "minProperties": 1, **tests},
        "unless": {"description": "The rule fails when all of these are met.", **tests},
        "conclude": _conclusion_schema(node, nodes),
        "topics": {"$ref": "#/$defs/topics"},
        "evidence": {"$ref": "#/$defs/evidence"},
        "maintenance": {"$ref": "#/$defs/maintenance"},
        "examples": {"type": "array", "minItems": 2, "items": _example_schema(node)},
    }
    return {"title": node.question, **closed_schema(fields, required=[name for name in fields if name not in OPTIONAL])}


def _topics_schema(folder: RuleFolder) -> Schema:
    said = "Pages of the handbook that gather this rule with others."
    topics = {code: f"{page.title}: {words}." for page in folder.pages.values() for code, words in page.topics.items()}
    return {"description": said, "type": "array", "items": choice_schema(topics) if topics else False}


def _example_schema(node: DecisionNode) -> Schema:
    fields = {
        "title": text_schema(1, said="What the example shows."),
        "case": {"$ref": f"#/$defs/case_for_{node.name}"},
        "outcome": choice_schema(_OUTCOME),
    }
    return closed_schema(fields, required=list(fields))


def _conclusion_schema(node: DecisionNode, nodes: Mapping[str, DecisionNode]) -> Schema:
    if node.hit_policy == "priority":
        answer = choice_schema(node.answers)
        return {**closed_schema({node.concludes: answer}, required=(node.concludes,)), "description": node.question}
    if node.hit_policy == "unique":
        quantities = {name: _quantity_schema(one) for name, one in node.quantities.items()}
        return {**closed_schema(quantities), "minProperties": 1}
    fields = {name: _field_schema(one, nodes) for name, one in node.fields.items()}
    required = [name for name, one in node.fields.items() if not one["optional"]]
    return closed_schema(fields, required=required)


def _quantity_schema(one: Mapping[str, Any]) -> Schema:
    low, high = one["range"]
    number: Schema = {"type": "number", "minimum": low, "maximum": high}
    if one["shape"] == "number":
        return {"description": f"In {one['unit']}.", **number}
    window = closed_schema({"low": number, "high": number}, required=("low", "high"))
    return {"description": f"A window in {one['unit']}, {{low: , high: }}.", **window}


def _field_schema(one: Mapping[str, Any], nodes: Mapping[str, DecisionNode]) -> Schema:
    if one["answer_of"]:
        said = f"The answer of {one['answer_of']} is at least as cautious as this."
        return {"description": said, **choice_schema(nodes[one["answer_of"]].answers)}
    if one["limit_of"]:
        said = f"The last answer of {one['limit_of']} beside which this is told, or asked for."
        return {"description": said, **choice_schema(nodes[one["limit_of"]].answers)}
    if one["range"]:
        low, high = one["range"]
        return {"type": "number", "minimum": low, "maximum": high}
    return choice_schema(one["one_of"]) if one["one_of"] else text_schema(1, one["text"])


def _written(schema: Schema) -> str:
    """Write a schema as text, an object of one or two plain fields on one line."""
    text = json.dumps(schema, indent=1, ensure_ascii=False)
    return _SHORT_OBJECT.sub(lambda found: f"{{{' '.join(part for part in found.groups() if part)}}}", text) + "\n"
