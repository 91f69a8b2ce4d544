"""Every refusal that the document lists can be met, and is what the document says, whichever door it comes from."""

import dataclasses
import json

import pytest
from jsonschema import Draft202012Validator

from api.app import create_app
from api.keys import hash_of
from api.settings import Settings
from tests.api.conftest import at_one_moment

RECOMMEND, SERVICE = "/v1/recommendations", "/cds-services/skin-lesion-freeze"
TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"
NAMED = {"X-Request-ID": "visit-2026-0117", "traceparent": f"00-{TRACE}-00f067aa0ba902b7-01", "X-API-Key": "k"}
CALL = {
    "hook": "patient-view",
    "hookInstance": "7a0c2f5e-5d0b-4a0e-9f6a-2f1d0f3f8c11",
    "context": {"userId": "Practitioner/vet", "patientId": "dog"},
}
JSON = {"Content-Type": "application/json"}


def posting(content, media_type="application/json"):
    return {"content": content, "headers": {**NAMED, "Content-Type": media_type}}


REFUSALS = [
    (400, "POST", RECOMMEND, posting("{")),
    (400, "POST", RECOMMEND, posting('{"patient": {}, "patient": {}}')),
    (400, "POST", RECOMMEND, posting('{"patient": {"weight_kg": NaN}}')),
    (400, "GET", "/v1/rules?x=1", {}),
    (400, "POST", SERVICE, posting("{")),
    (401, "GET", "/v1/rules", {"headers": {**NAMED, "X-API-Key": "other"}}),
    (401, "GET", "/cds-services", {"headers": {**NAMED, "X-API-Key": "other"}}),
    (404, "GET", "/v1/rules/no_decision/no_rule", {}),
    (404, "POST", "/cds-services/other", posting(json.dumps(CALL))),
    (405, "GET", RECOMMEND, {}),
    (405, "GET", SERVICE, {}),
    (406, "GET", "/v1/rules", {"headers": {**NAMED, "Accept": "text/csv"}}),
    (406, "GET", "/cds-services", {"headers": {**NAMED, "Accept": "text/csv"}}),
    (412, "POST", SERVICE, posting(json.dumps(CALL))),
    (413, "POST", RECOMMEND, posting(b" " * 1_000_001)),
    (413, "POST", SERVICE, posting(b" " * 1_000_001)),
    (415, "POST", RECOMMEND, posting("{}", "text/plain")),
    (415, "POST", "/v1/batches", posting("{}")),
    (415, "POST", SERVICE, posting("{}", "text/plain")),
    (422, "POST", RECOMMEND, posting("{}")),
    (422, "POST", SERVICE, posting("{}")),
    (503, "GET", "/readyz", {}),
]
NAMES = [f"{status} {method} {path}" for status, method, path, _ in REFUSALS]


@pytest.fixture
def service(ask, toy_book, tmp_path):
    """A service that asks for keys and lets pages of any origin call."""
    keys = tmp_path / "keys.yaml"
    sparse = f"  - {{name: sparse, sha256: {hash_of('s')}, requests_per_minute: 1}}\n"
    keys.write_text(f"keys:\n  - {{name: west, sha256: {hash_of('k')}}}\n{sparse}")
    return at_one_moment(type(ask)(create_app(toy_book, Settings(api_keys=keys, allowed_origins=("*",)))))


def described(service, method, path, status):
    """The schema that the document has for a refusal."""
    document = service("GET", "/openapi.json").json()
    operations = document["paths"][_template(path)]
    operation = operations.get(method.lower()) or next(iter(operations.values()))
    component = operation["responses"][str(status)]["$ref"].rpartition("/")[2]
    ((media_type, media),) = document["components"]["responses"][component]["content"].items()
    return media_type, {**media["schema"], "components": document["components"]}


def _template(path):
    path = path.partition("?")[0]
    if path.startswith("/v1/rules/"):
        return "/v1/rules/{decision}/{name}"
    return "/cds-services/{service}" if path.startswith("/cds-services/") else path


def hold(service, answer, status, method, path):
    """Hold a refusal to everything that is promised of each."""
    media_type, schema = described(service, method, path, status)
    assert (answer.status_code, answer.headers["content-type"]) == (status, media_type)
    assert [error.message for error in Draft202012Validator(schema).iter_errors(answer.json())] == []
    assert answer.headers["x-request-id"] == NAMED["X-Request-ID"]
    assert answer.headers["traceparent"].startswith(f"00-{TRACE}-")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["access-control-allow-origin"] == "*"
    if media_type == "application/problem+json":
        told = answer.json()
        page = service("GET", told["type"]).json()
        assert (told["status"], told["request_id"]) == (status, NAMED["X-Request-ID"])
        assert (page["status"], page["title"]) == (status, told["title"])


def asked(service, method, path, how):
    headers = {"Origin": "https://records.example.org", **NAMED, **how.get("headers", {})}
    return service(method, path, **{**how, "headers": headers})


@pytest.mark.parametrize(("status", "method", "path", "how"), REFUSALS, ids=NAMES)
def test_a_refusal_is_what_the_document_says(service, status, method, path, how):
    hold(service, asked(service, method, path, how), status, method, path)


@pytest.mark.parametrize("path", ["/v1/rules", "/cds-services"])
def test_too_many_requests_are_refused_as_the_document_says(service, path):
    sparse = {"headers": {"X-API-Key": "s"}}
    first = asked(service, "GET", path, sparse)

    answer = asked(service, "GET", path, sparse)

    assert first.status_code == 200
    hold(service, answer, 429, "GET", path)
    assert {"retry-after", "ratelimit", "ratelimit-policy"} <= answer.headers.keys()
    exposed = answer.headers["access-control-expose-headers"].lower().split(", ")
    assert {"retry-after", "ratelimit", "ratelimit-policy", "x-request-id"} <= set(exposed)


class FailingShelves:
    """No rule book can be taken from them."""

    def book_for(self, _):
        raise ZeroDivisionError


def test_a_fault_of_ours_is_what_the_document_says(service, toy_case):
    state = service.app.state
    state.service = dataclasses.replace(state.service, shelves=FailingShelves())

    answer = asked(service, "POST", RECOMMEND, posting(json.dumps(toy_case)))

    hold(service, answer, 500, "POST", RECOMMEND)


def test_every_refusal_of_the_document_is_met_above(service):
    document = service("GET", "/openapi.json").json()
    listed = {
        int(status) for methods in document["paths"].values() for one in methods.values() for status in one["responses"]
    }

    slow = {408}  # met by clients that stop sending, in test_connection.py
    assert listed - {200, 304} == {status for status, *_ in REFUSALS} | {429, 500} | slow


def test_a_preflight_needs_no_key(service):
    wished = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "x-api-key, content-type"}
    answer = service("OPTIONS", SERVICE, headers={"Origin": "https://records.example.org", **wished})

    assert answer.status_code == 204
    assert {"X-API-Key", "Authorization"} <= set(answer.headers["access-control-allow-headers"].split(", "))


@pytest.mark.parametrize("path", ["/v1/rule-book", "/v1/rules", "/v1/sources", "/v1/vocabulary", "/cds-services"])
def test_what_rests_on_the_rule_book_alone_need_not_be_sent_again(service, path):
    whole = asked(service, "GET", path, {})
    again = asked(service, "GET", path, {"headers": {"If-None-Match": whole.headers["etag"]}})
    head = asked(service, "HEAD", path, {})

    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", whole.headers["etag"])
    assert (head.status_code, head.content, head.headers["etag"]) == (200, b"", whole.headers["etag"])
    assert whole.headers["cache-control"] == "no-cache"
