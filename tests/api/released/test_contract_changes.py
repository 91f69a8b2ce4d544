"""Which changes of the OpenAPI document break clients, and that one is noticed before it is released."""

import copy
import json

import pytest

from api.released.committed import COMMITTED
from api.released.contract_changes import breaking_changes, breaks_promise, last_released, main

OPERATION = {
    "operationId": "askThing",
    "security": [{}, {"apiKey": []}],
    "parameters": [
        {"in": "query", "name": "kind", "required": False, "schema": {"type": "string", "enum": ["a", "b"]}},
        {"in": "query", "name": "width", "required": False, "schema": {"type": "number", "minimum": 1, "maximum": 9}},
    ],
    "requestBody": {"required": False, "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Q"}}}},
    "responses": {
        "200": {
            "headers": {"ETag": {}},
            "links": {"rules": {}},
            "content": {
                "application/json": {"schema": {"$ref": "#/components/schemas/A"}},
                "text/html": {"schema": {}},
            },
        },
        "400": {"$ref": "#/components/responses/400"},
    },
}
QUESTION = {
    "type": "object",
    "required": ["site"],
    "additionalProperties": False,
    "properties": {
        "site": {"type": "string", "pattern": "^[a-z]+$", "maxLength": 9},
        "colour": {"enum": ["red", "blue"]},
        "sizes": {"type": "array", "maxItems": 3, "items": {"type": "number"}},
    },
}
ANSWER = {
    "type": "object",
    "required": ["verdict"],
    "properties": {
        "verdict": {"anyOf": [{"type": "string", "enum": ["yes", "no"]}, {"type": "null"}]},
        "depth_mm": {"type": "number", "maximum": 20},
        "parts": {"type": "array", "items": {"$ref": "#/components/schemas/A"}},
    },
}
PROBLEM = {"headers": {"Retry-After": {}}, "content": {"application/problem+json": {"schema": {"type": "object"}}}}


@pytest.fixture
def old():
    schemas = {"Q": QUESTION, "A": ANSWER}
    components = {"schemas": schemas, "responses": {"400": PROBLEM}}
    document = {"info": {"version": "1.4.0"}, "paths": {"/thing": {"post": OPERATION}}, "components": components}
    return copy.deepcopy(document)


def operation(document):
    return document["paths"]["/thing"]["post"]


def question(document):
    return document["components"]["schemas"]["Q"]


def answer(document):
    return document["components"]["schemas"]["A"]


BREAKING = {
    "an address is gone": lambda d: d["paths"].clear(),
    "a method is gone": lambda d: d["paths"]["/thing"].clear(),
    "an operation has another name": lambda d: operation(d).update(operationId="askIt"),
    "a key is needed": lambda d: operation(d)["security"].pop(0),
    "a parameter is gone": lambda d: operation(d)["parameters"].pop(0),
    "a parameter is needed": lambda d: operation(d)["parameters"][0].update(required=True),
    "a new parameter is needed": lambda d: operation(d)["parameters"].append(
        {"in": "query", "name": "new", "required": True, "schema": {}}
    ),
    "a parameter takes fewer codes": lambda d: operation(d)["parameters"][0]["schema"]["enum"].pop(),
    "a parameter has a narrower range": lambda d: operation(d)["parameters"][1]["schema"].update(maximum=8),
    "a body is needed": lambda d: operation(d)["requestBody"].update(required=True),
    "a body of this kind is not taken": lambda d: operation(d)["requestBody"]["content"].clear(),
    "a new field is needed": lambda d: question(d)["required"].append("colour"),
    "a field is not taken any more": lambda d: question(d)["properties"].pop("colour"),
    "a field takes fewer codes": lambda d: question(d)["properties"]["colour"]["enum"].pop(),
    "a field is shorter": lambda d: question(d)["properties"]["site"].update(maxLength=8),
    "a field has another pattern": lambda d: question(d)["properties"]["site"].update(pattern="^[a-y]+$"),
    "a field has another type": lambda d: question(d)["properties"]["site"].update(type="number"),
    "a list is shorter": lambda d: question(d)["properties"]["sizes"].update(maxItems=2),
    "the entries of a list are narrower": lambda d: question(d)["properties"]["sizes"]["items"].update(minimum=0),
    "success has another status": lambda d: operation(d)["responses"].pop("200"),
    "success may have another status": lambda d: operation(d)["responses"].update({"202": {}}),
    "a kind of answer is gone": lambda d: operation(d)["responses"]["200"]["content"].pop("text/html"),
    "a header is gone": lambda d: operation(d)["responses"]["200"]["headers"].clear(),
    "a header of a refusal is gone": lambda d: d["components"]["responses"]["400"]["headers"].clear(),
    "a link is gone": lambda d: operation(d)["responses"]["200"]["links"].clear(),
    "an answer may lack a field": lambda d: answer(d)["required"].clear(),
    "an answer has a new code": lambda d: answer(d)["properties"]["verdict"]["anyOf"][0]["enum"].append("perhaps"),
    "an answer may be null": lambda d: answer(d)["properties"]["depth_mm"].update(type=["number", "null"]),
    "a number of an answer may be greater": lambda d: answer(d)["properties"]["depth_mm"].pop("maximum"),
    "a field of an answer has another type": lambda d: answer(d)["properties"]["depth_mm"].update(type="string"),
}
HARMLESS = {
    "nothing": lambda d: None,
    "words": lambda d: operation(d).update(description="Other words."),
    "a new address": lambda d: d["paths"].update({"/other": {"get": OPERATION}}),
    "a new parameter": lambda d: operation(d)["parameters"].append(
        {"in": "query", "name": "new", "required": False, "schema": {}}
    ),
    "a parameter takes more": lambda d: operation(d)["parameters"][1]["schema"].update(minimum=0),
    "a new field of a case": lambda d: question(d)["properties"].update(new={"type": "string"}),
    "a field is not needed any more": lambda d: question(d)["required"].clear(),
    "a field takes more codes": lambda d: question(d)["properties"]["colour"]["enum"].append("green"),
    "a field takes anything": lambda d: question(d)["properties"].update(site={}),
    "a new field of an answer": lambda d: answer(d)["properties"].update(new={"type": "string"}),
    "an answer has fewer codes": lambda d: answer(d)["properties"]["verdict"]["anyOf"][0]["enum"].pop(),
    "an answer is never null": lambda d: answer(d)["properties"]["verdict"]["anyOf"].pop(),
    "whole numbers in the place of numbers": lambda d: answer(d)["properties"]["depth_mm"].update(type="integer"),
    "a new refusal": lambda d: operation(d)["responses"].update({"503": {}}),
    "a new header": lambda d: operation(d)["responses"]["200"]["headers"].update({"RateLimit": {}}),
}


@pytest.mark.parametrize("edit", BREAKING.values(), ids=BREAKING)
def test_a_breaking_change_is_told_once(old, edit):
    new = copy.deepcopy(old)
    edit(new)

    assert len(breaking_changes(old, new)) == 1


@pytest.mark.parametrize("edit", HARMLESS.values(), ids=HARMLESS)
def test_what_a_client_need_not_notice_is_no_breaking_change(old, edit):
    new = copy.deepcopy(old)
    edit(new)

    assert breaking_changes(old, new) == []


def test_a_change_is_told_with_its_place(old):
    new = copy.deepcopy(old)
    question(new)["properties"]["sizes"]["items"]["minimum"] = 0

    assert breaking_changes(old, new) == ["POST /thing: the body at /sizes/* takes less than it did (minimum)"]


def test_the_document_of_the_service_does_not_differ_from_itself():
    document = json.loads(COMMITTED.read_text(encoding="utf-8"))

    assert breaking_changes(document, copy.deepcopy(document)) == []


@pytest.mark.parametrize("gone", ["species", "ruled_out"])
def test_a_field_taken_from_the_patient_is_noticed_in_the_document_of_the_service(gone):
    old = json.loads(COMMITTED.read_text(encoding="utf-8"))
    new = copy.deepcopy(old)
    del new["components"]["schemas"]["PatientMessage"]["properties"][gone]

    changes = breaking_changes(old, new)

    assert any(one.startswith("POST /v1/recommendations: the body") for one in changes)


@pytest.mark.parametrize(
    ("old", "new", "broken"),
    [
        ("1.4.0", "1.4.0", True),
        ("1.4.0", "1.5.0", True),
        ("1.4.0", "2.0.0", False),
        ("0.2.0", "0.2.1", True),
        ("0.2.0", "0.3.0", False),
        ("0.9.0", "1.0.0", False),
        ("9.0.0", "10.0.0", False),
    ],
)
def test_only_a_raised_version_allows_a_breaking_change(old, new, broken):
    assert breaks_promise(old, new) is broken


@pytest.fixture
def released(tmp_path, old):
    """A folder of two released documents, and the committed one beside it."""
    folder = tmp_path / "released"
    folder.mkdir()
    for version in ("1.4.0", "1.10.0"):
        document = {**old, "info": {"version": version}}
        (folder / f"{version}.json").write_text(json.dumps(document))
    committed = tmp_path / "openapi.json"
    committed.write_text(json.dumps({**old, "paths": {}, "info": {"version": "1.11.0"}}))
    return folder, committed


def test_the_last_released_document_is_that_of_the_highest_version(released):
    assert last_released(released[0]).name == "1.10.0.json"


def test_a_breaking_change_fails_until_the_version_is_raised(released, old, capsys):
    folder, committed = released

    assert main(folder, committed) == 1
    assert capsys.readouterr().out == "POST /thing: is gone\nBreaking changes from 1.10.0 to 1.11.0: 1.\n"
    committed.write_text(json.dumps({**old, "paths": {}, "info": {"version": "2.0.0"}}))
    assert main(folder, committed) == 0


def test_while_nothing_is_released_that_is_said(tmp_path, capsys):
    assert main(tmp_path) == 0
    assert "nothing to compare with" in capsys.readouterr().out
