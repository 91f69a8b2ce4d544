"""The schemas of what CDS clients send, for the OpenAPI document, from the shapes that are checked."""

from __future__ import annotations

from typing import Any

from api.bounds import ANYTHING, anything
from api.cds.advice import BESIDE
from api.cds.calls import CALL, FEEDBACK
from api.cds.discovery import CdsServiceList
from api.cds.messages import CdsCards, FeedbackReceived
from api.cds.names import REQUEST
from api.outcomes import OperationOutcome
from decision.case_shape import case_shape
from decision.vocabulary import Vocabulary

__all__ = ["CDS_ANSWERS", "cds_schemas"]

CDS_ANSWERS: tuple[Any, ...] = (CdsServiceList, CdsCards, FeedbackReceived, OperationOutcome)
EXTENSION = "CdsRequestExtension"


def cds_schemas(vocabulary: Vocabulary, reference: str) -> dict[str, Any]:
    """Every schema of a call and of feedback, by name.

    Args:
        vocabulary: The inputs that our extension may state.
        reference: How a schema is referred to, with `{model}` for its name.
    """
    call = CALL.json_schema(ref_template=reference)
    feedback = FEEDBACK.json_schema(ref_template=reference)
    schemas = {**call.pop("$defs"), **feedback.pop("$defs"), "CdsCall": call, "CdsFeedback": feedback}
    call["description"] = "A call of one of the hooks."
    for schema in schemas.values():
        _open(schema, reference.format(model=ANYTHING))
        if "hookInstance" in schema.get("properties", {}):
            ours = {REQUEST: {"$ref": reference.format(model=EXTENSION), "description": "Ours."}}
            schema["properties"]["extension"]["properties"] = ours
    stated = case_shape(vocabulary).model_json_schema(ref_template=reference)["properties"]
    schemas[EXTENSION] = {
        "type": "object",
        "description": "What no FHIR resource holds: the day, the version asked for, equipment and operator.",
        "properties": {name: stated[name] for name in BESIDE},
        "additionalProperties": False,
    }
    schemas[ANYTHING] = anything(reference.format(model=ANYTHING))
    return schemas


def _open(schema: Any, anything: str) -> None:
    """Say of every part that may hold more what more it may hold."""
    if isinstance(schema, dict):
        if schema.get("additionalProperties") is True:
            schema["additionalProperties"] = {"$ref": anything}
        for one in schema.values():
            _open(one, anything)
    elif isinstance(schema, list):
        for one in schema:
            _open(one, anything)
