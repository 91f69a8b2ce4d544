"""Our FHIR is held against models that others made of R4B and R5: fhir.resources 8, from HL7's own definitions.

HL7 FHIR R4B (4.3.0, 2022) and R5 (5.0.0, 2023), https://hl7.org/fhir.
"""

import copy
import datetime
import importlib
import json
from pathlib import Path

import pytest

from api.cds.advice import read_call
from api.cds.calls import CALL
from api.cds.desk import desk_of
from api.cds.kinds import CDS_KINDS
from api.fhir.bundles import resources_in as entries_of
from api.fhir.bundles import supplied
from api.fhir.chart import KINDS_OF, Sent, read_chart
from api.fhir.elements import Element
from api.fhir.writing import written_order, written_record
from api.outcomes import outcome_of
from api.problem_kinds import KINDS
from api.settings import Settings

OPENAPI = Path(__file__).parents[2] / "openapi"
EXAMPLE = OPENAPI / "examples" / "order_select_request.json"
CODE_LISTS = sorted((OPENAPI / "code-lists").glob("*.json"))
AS_OF = datetime.date(2026, 11, 24)
RELEASES = {"R4B": "fhir.resources.R4B", "R5": "fhir.resources"}
CASE = {
    "as_of": AS_OF.isoformat(),
    "patient": {
        "species": "horse",
        "age_years": 6.5,
        "weight_kg": 480,
        "grey_coat": True,
        "ruled_out": ["general_health"],
    },
    "lesions": [
        {
            "lesion_id": "wart",
            "lesion_kind": "frond_wart",
            "known_diagnosis": "papilloma",
            "diagnosis_basis": "histology",
            "site": "muzzle",
            "base_width_mm": 6,
            "surface": "crusted",
            "earlier_freezes": 2,
            "ruled_out": ["lesion_signs"],
        }
    ],
}


@pytest.fixture(scope="module")
def book(shipped_book):
    return shipped_book


@pytest.fixture(scope="module")
def desk(book):
    return desk_of(book, Settings())


def read_by(release, resource):
    """Read a resource by the models of a release, strictly; what they write back."""
    kind = resource["resourceType"]
    module = importlib.import_module(f"{RELEASES[release]}.{kind.lower()}")
    return json.loads(getattr(module, kind).model_validate(resource).model_dump_json())


def resources_in(call):
    yield call["prefetch"]["patient"]
    for bundle in (*call["prefetch"].values(), call["context"]["draftOrders"]):
        yield bundle
        yield from (one["resource"] for one in bundle.get("entry", ()))


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("path", CODE_LISTS, ids=lambda path: path.stem)
def test_a_code_list_is_a_code_system(path, release):
    system = json.loads(path.read_text(encoding="utf-8"))

    assert read_by(release, system) == system


def test_the_example_of_a_call_holds_resources_of_r4b():
    for resource in resources_in(json.loads(EXAMPLE.read_text(encoding="utf-8"))):
        assert read_by("R4B", resource) == resource


@pytest.mark.parametrize("kind", [*KINDS.values(), *CDS_KINDS], ids=lambda kind: kind.name)
@pytest.mark.parametrize("release", RELEASES)
def test_a_refusal_is_an_operation_outcome(kind, release):
    outcome = outcome_of(kind, kind.meaning, [{"pointer": "#/context", "detail": "is required."}])

    assert read_by(release, outcome) == outcome


def answered(call, book, desk):
    written = CALL.validate_python(call)
    cards = read_call(written, book, desk.lists, desk.code_map, AS_OF).answered(book, desk.lists, desk.code_map, "")
    return [action["resource"] for card in cards["cards"] for one in card["suggestions"] for action in one["actions"]]


def test_suggested_orders_are_service_requests_of_r4b(book, desk):
    resources = answered(json.loads(EXAMPLE.read_text(encoding="utf-8")), book, desk)

    assert len(resources) == 2
    for resource in resources:
        assert read_by("R4B", resource) == resource


def test_suggested_orders_are_service_requests_of_r5_where_r5_was_sent(book, desk):
    call = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    order = call["context"]["draftOrders"]["entry"][0]["resource"]
    order["code"] = {"concept": order["code"]}
    order["reason"] = [{"reference": order.pop("reasonReference")[0]}]
    assert read_by("R5", order) == order

    resources = answered(call, book, desk)

    assert len(resources) == 2
    for resource in resources:
        assert read_by("R5", resource) == resource


def in_r5(resource):
    """The same resource as R5 writes it, where that differs."""
    changed = copy.deepcopy(resource)
    if changed["resourceType"] == "ServiceRequest":
        changed["code"] = {"concept": changed["code"]}
        changed["reason"] = [{"reference": one} for one in changed.pop("reasonReference")]
    return changed


@pytest.mark.parametrize("release", RELEASES)
def test_a_record_written_by_the_models_of_others_is_read_as_the_same_case(release, desk):
    record = written_record(CASE, desk.lists, "p")
    order = written_order("wart", desk.lists, "p")
    if release == "R5":
        order = in_r5(order)

    passed = {key: read_by(release, one) for key, one in record.items()}
    drafts = read_by(release, {"resourceType": "Bundle", "type": "collection", "entry": [{"resource": order}]})
    prefetch = Element(passed, ("prefetch",))
    supply = {key: supplied(prefetch, key, kind) for key, kind in KINDS_OF.items()}
    orders = list(entries_of(Element(drafts, ("context", "draftOrders"))))
    chart = read_chart(Sent(AS_OF, "Patient/p", supply, orders), desk.lists, desk.code_map)

    assert chart.patient == CASE["patient"]
    assert [{**one.stated, "lesion_id": "wart"} for one in chart.lesions] == CASE["lesions"]
    assert chart.notes == []


@pytest.mark.parametrize("release", RELEASES)
def test_every_resource_that_is_written_is_one_of_the_release(release, desk):
    record = written_record(CASE, desk.lists, "p")
    resources = [record["patient"], written_order("wart", desk.lists, "p")]
    resources += [one["resource"] for key in ("conditions", "observations") for one in record[key]["entry"]]

    for resource in resources:
        sent = in_r5(resource) if release == "R5" else resource
        assert read_by(release, sent) == sent
