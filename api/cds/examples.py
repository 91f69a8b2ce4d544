"""The examples of CDS Hooks in the OpenAPI document, real ones: a rule author's case, written as FHIR, answered."""

from __future__ import annotations

from typing import Any

import orjson

from api.cds.advice import BESIDE, read_call
from api.cds.calls import CALL
from api.cds.desk import Desk
from api.cds.discovery import discovery
from api.cds.names import ORDER_SIGN, PATH, REQUEST
from api.fhir.routes import FHIR_JSON, code_list_pages
from api.fhir.writing import written_order, written_record
from api.operations.examples import AS_OF, example_case
from decision.rule_book import RuleBook

__all__ = ["cds_bodies", "cds_examples", "example_call"]

PATIENT = "example"
CARD = "b3f1d5a2-7c44-5b7e-8a7e-0a6d4d1c9e01"
BASE_URL = "https://thawline.example.org"
SHOWN = 2  # entries of a code list


def example_call(book: RuleBook, desk: Desk) -> dict[str, Any]:
    """An order to freeze the lesion of the example case, about to be signed."""
    case = example_case(book, "before")
    order = written_order(case["lesions"][0]["lesion_id"], desk.lists, PATIENT)
    beside = {name: case[name] for name in BESIDE if name in case}
    return {
        "hook": ORDER_SIGN,
        "hookInstance": "7a0c2f5e-5d0b-4a0e-9f6a-2f1d0f3f8c11",
        "context": {
            "userId": "Practitioner/example",
            "patientId": PATIENT,
            "draftOrders": {"resourceType": "Bundle", "type": "collection", "entry": [{"resource": order}]},
        },
        "prefetch": written_record(case, desk.lists, PATIENT),
        "extension": {REQUEST: beside},
    }


def cds_bodies(book: RuleBook, desk: Desk) -> dict[str, Any]:
    """The example of each body, by path."""
    overridden = {"card": CARD, "outcome": "overridden", "outcomeTimestamp": "2026-11-24T10:07:31Z"}
    reason = desk.lists.coding("override-reason", next(iter(desk.lists.lists["override-reason"].concepts)))
    feedback = {"feedback": [{**overridden, "overrideReason": {"reason": reason}}]}
    return {f"{PATH}/{{service}}": example_call(book, desk), f"{PATH}/{{service}}/feedback": feedback}


def cds_examples(book: RuleBook, desk: Desk) -> dict[tuple[str, str], Any]:
    """The example of each answer, by path and media type."""
    json = "application/json"
    written = CALL.validate_python(example_call(book, desk))
    call = read_call(written, book, desk.lists, desk.code_map, AS_OF)
    pages = code_list_pages(desk.lists)
    shown = orjson.loads(next(page for path, page in pages.items() if path.endswith("/card-topic")).body)
    shown["concept"] = shown["concept"][:SHOWN]
    listed = "/fhir/CodeSystem/{name}"
    return {
        (PATH, json): discovery(),
        (f"{PATH}/{{service}}", json): call.answered(book, desk.lists, desk.code_map, BASE_URL),
        (f"{PATH}/{{service}}/feedback", json): {"received": 1},
        (listed, json): shown,
        (listed, FHIR_JSON): shown,
    }
