"""Make the schemas of the OpenAPI document from the types that the code itself uses.

The case comes from the vocabulary of the loaded rule book, the answers from their types. What a type cannot say is
completed by one rule for all: every text, list and whole number has a bound, every property a description.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic import TypeAdapter

from api.cds.schemas import CDS_ANSWERS, cds_schemas
from api.code_systems import CodeSystem
from api.forms import restrict, restrict_texts
from api.operations.messages import ANSWERS
from api.operations.reviewer_messages import REVIEWER_ANSWERS, record_message
from api.papers.request import paper_shape
from api.problems import ProblemDocument
from decision.case import PARTS, case_shape
from decision.recommendation import CycleReview, HealingReview, Recommendation
from decision.single_freeze import FreezeAnswer
from decision.single_pool import PoolAnswer
from decision.vocabulary import Vocabulary

__all__ = ["REFERENCE", "component_schemas"]

REFERENCE = "#/components/schemas/{model}"
LONGEST_TEXT = 10_000
LONGEST_PATTERN = 128  # no pattern here matches a longer text
LONGEST_LIST = 10_000
GREATEST_WHOLE = 2**31 - 1
UNITS = {"mm": "in millimetres", "s": "in seconds", "c": "in degrees Celsius", "kg": "in kilograms"}
SAID: dict[str, str] = {
    "as_of": "Date that the answer is for (ISO 8601).",
    "answer_contract": "Number that is raised by a release that alters conclusions under unchanged rules.",
    "case_digest": "SHA-256 over the RFC 8785 bytes of the case, `as_of` included.",
    "conclusion_digest": "SHA-256 over what was concluded: same case, same rule book, same digest.",
    "errors": "Every fault found, each at its place.",
    "pointer": "Where in the body: a JSON Pointer (RFC 6901) as a URI fragment.",
    "parameter": "Which query parameter.",
    "code": "Stable code of the fault.",
    "instance": "Names this one occurrence: the page of the problem, then the request id.",
    "type": "Names the kind; for a problem the address of the page that explains it.",
    "request_id": "The request id, also in the X-Request-ID header and in the log.",
    "holidays_of": "Whose public holidays the visit keeps clear of: a subdivision, or a country. Null: none are known.",
    "rule": "The path that names the rule: decision/name.",
    "finding": "Whether the test is met, not met, or asks something that is not stated.",
    "given": "What the case states, or what follows from it; null when it is not stated.",
    "settled": "Whether nothing that is open could make the answer more cautious.",
    "at_least": "The most cautious answer of a rule that holds.",
    "could_become": "The most cautious answer that the facts not stated could still bring.",
    "alone": "Whether this is the last open test of a rule with that answer.",
    "if_wrong": "The answers that could follow if what is presumed is wrong.",
    "risk": "How the risk moves with it: rises, falls, none, or its codes from the least to the most risky.",
    "changes": "Whether it can be otherwise in this patient: never, by time alone (it only rises), or it can.",
    "evaluations": "How often the engine was asked.",
    "singly": "One fact that changes the answer: for each fact the nearest value in each direction.",
    "pairs": "Two facts that change it together, where neither does alone.",
    "also": "Other codes that bring the same answer.",
    "not_searched": "Facts whose other values were not tried.",
    "same_conclusion": "Whether everything concluded is the same, and the record tells it so; words stand outside.",
    "matches_own_digest": "False: the recorded answer does not say what its own digest stands for, so it was changed. "
    "Null: no answer with that digest is at hand.",
    "same_text": "Whether nothing at all differs, versions and digests aside.",
    "recorded_book_at_hand": "Whether the very rule book that gave the recorded answer gave this one.",
    "hit_policy": "priority: the most cautious rule wins. collect: all contribute. unique: one rule a quantity.",
}


def component_schemas(vocabulary: Vocabulary, moments: Iterable[str] = PARTS) -> dict[str, Any]:
    """Every schema that the document refers to, by name."""
    schemas: dict[str, Any] = {}
    for shape in (paper_shape(vocabulary), *(case_shape(vocabulary, moment) for moment in PARTS)):
        case = shape.model_json_schema(ref_template=REFERENCE)
        schemas |= {**case.pop("$defs"), shape.__name__: case}
    answers = [(one.__name__, "serialization", TypeAdapter(one)) for one in _types()]
    _, made = TypeAdapter.json_schemas(answers, ref_template=REFERENCE)  # type: ignore[arg-type]
    for schema in made["$defs"].values():
        restrict_texts(schema)
    schemas.update(made["$defs"])
    schemas["OpenapiDocument"] = {
        "type": "object",
        "description": "An OpenAPI document.",
        "required": ["openapi"],
        "properties": {"openapi": {"type": "string", "description": "Version of OpenAPI."}},
    }
    schemas["Html"] = {"type": "string", "description": "A page in HTML.", "maxLength": 10_000_000}
    schemas["Metrics"] = {"type": "string", "description": "Counts, as Prometheus reads them.", "maxLength": 10_000_000}
    schemas["Markdown"] = {"type": "string", "description": "A paper in Markdown.", "maxLength": 1_000_000}
    schemas["Pdf"] = {
        "type": "string",
        "description": "A paper in PDF, A4.",
        "contentMediaType": "application/pdf",
        "format": "binary",
        "maxLength": 10_000_000,
    }
    schemas["BatchCases"] = {"type": "string", "description": "A case on each line.", "maxLength": 1_000_000_000}
    schemas["BatchAnswers"] = {
        "type": "string",
        "description": "An answer or a problem on each line.",
        "maxLength": 2_000_000_000,
    }
    schemas["Svg"] = {"type": "string", "description": "A picture in SVG.", "maxLength": 100_000}
    shapes = [REFERENCE.format(model=case_shape(vocabulary, moment).__name__) for moment in moments]
    schemas["RecordMessage"] = record_message(shapes)
    schemas |= cds_schemas(vocabulary, REFERENCE)
    for schema in schemas.values():
        _complete(schema)
    return dict(sorted(schemas.items()))


def _types() -> tuple[Any, ...]:
    answers = (Recommendation, CycleReview, HealingReview, FreezeAnswer, PoolAnswer)
    return (*answers, *REVIEWER_ANSWERS, *CDS_ANSWERS, CodeSystem, ProblemDocument, *ANSWERS)


def _complete(schema: dict[str, Any]) -> None:
    """Bound and describe a schema and all inside it."""
    for name, one in schema.get("properties", {}).items():
        one.pop("title", None)
        one.setdefault("description", SAID.get(name) or _said(name))
    _bound(schema)
    inside = [*schema.get("properties", {}).values(), *schema.get("anyOf", ()), *schema.get("$defs", {}).values()]
    inside += [schema[key] for key in ("items", "additionalProperties") if isinstance(schema.get(key), dict)]
    for one in inside:
        _complete(one)


def _bound(schema: dict[str, Any]) -> None:
    kind = schema.get("type")
    if kind == "string" and not schema.keys() & {"enum", "const", "maxLength"}:
        schema["maxLength"] = LONGEST_PATTERN if "pattern" in schema else LONGEST_TEXT
    elif kind == "array":
        schema.setdefault("maxItems", LONGEST_LIST)
    elif kind == "integer":
        schema |= {"format": "int32", "minimum": 0, "maximum": GREATEST_WHOLE}
    restrict(schema)


def _said(name: str) -> str:
    """Describe a property by its name.

    >>> _said("wait_between_cycles_s")
    'Wait between cycles, in seconds.'
    """
    words, _, last = name.rpartition("_")
    if words and last in UNITS:
        return f"{words.replace('_', ' ').capitalize()}, {UNITS[last]}."
    return f"{name.replace('_', ' ').capitalize()}."
