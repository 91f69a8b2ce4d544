"""The OpenAPI document is valid, complete and true, and the committed one is the one that the code writes."""

import json
import re

import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator, validate

from api.app import create_app
from api.released.committed import COMMITTED, main, openapi_differs, write_openapi
from api.settings import Settings
from decision import load_rule_book


@pytest.fixture
def document(ask):
    return ask("GET", "/openapi.json").json()


@pytest.fixture(scope="module")
def committed():
    return json.loads(COMMITTED.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def shipped_pages():
    """Every page that the service has over the shipped rules, by its path."""
    book = load_rule_book()
    yield create_app(book, Settings()).state.service.pages
    book.close()


def operations(document):
    return [one for methods in document["paths"].values() for one in methods.values()]


def schemas(schema, place="#"):
    """Every schema inside a schema, with its place."""
    yield place, schema
    inside = [
        *schema.get("properties", {}).items(),
        *((str(i), one) for i, one in enumerate(schema.get("anyOf", ()))),
        *((key, schema[key]) for key in ("items", "additionalProperties") if isinstance(schema.get(key), dict)),
    ]
    for name, one in inside:
        yield from schemas(one, f"{place}/{name}")


def examples(node, place="#"):
    """Every example beside a schema: the place, the schema, the value."""
    if isinstance(node, list):
        for i, one in enumerate(node):
            yield from examples(one, f"{place}/{i}")
    if not isinstance(node, dict):
        return
    if "schema" in node:
        if "example" in node:
            yield place, node["schema"], node["example"]
        for name, example in node.get("examples", {}).items():
            yield f"{place}/{name}", node["schema"], example["value"]
    for name, one in node.items():
        if name not in ("example", "examples", "value"):
            yield from examples(one, f"{place}/{name}")


def resolver(document):
    """Make validators of schemas that refer to components of the document."""
    checker = Draft202012Validator.FORMAT_CHECKER
    parts = {"components": document["components"]}
    return lambda schema: Draft202012Validator({**schema, **parts}, format_checker=checker)


def test_the_document_is_valid_openapi(document):
    validate(document, cls=OpenAPIV31SpecValidator)


def test_the_committed_document_is_valid_openapi(committed):
    validate(committed, cls=OpenAPIV31SpecValidator)


def test_the_committed_document_is_the_one_that_the_code_writes():
    assert not openapi_differs(), "openapi/openapi.json is out of date. Write it anew: python -m api.released.committed"


def test_a_changed_document_is_noticed_and_written_anew(tmp_path, capsys):
    path = tmp_path / "openapi.json"

    assert openapi_differs(path)
    write_openapi(path)
    assert not openapi_differs(path)
    path.write_text(path.read_text(encoding="utf-8").replace('"recommend"', '"advise"'), encoding="utf-8")
    assert openapi_differs(path)


def test_the_command_refuses_what_it_does_not_know(capsys):
    assert main(["--chekc"]) == 2
    assert "usage: python -m api.released.committed [--check]" in capsys.readouterr().err


@pytest.mark.parametrize("which", ["document", "committed"])
def test_every_example_is_valid_under_its_schema(which, request):
    whole = request.getfixturevalue(which)
    validator = resolver(whole)

    found = list(examples(whole))

    assert len(found) > 30
    for place, schema, value in found:
        faults = [f"{place}: {error.message[:200]}" for error in validator(schema).iter_errors(value)]
        assert faults == []


@pytest.mark.parametrize("which", ["document", "committed"])
def test_examples_of_single_fields_are_valid_too(which, request):
    whole = request.getfixturevalue(which)
    validator = resolver(whole)

    for name, component in whole["components"]["schemas"].items():
        for place, schema in schemas(component, name):
            for example in schema.get("examples", ()):
                assert validator(schema).is_valid(example), place


def test_every_body_and_every_answer_has_an_example(document):
    for operation in operations(document):
        contents = [operation["responses"]["200"]["content"], operation.get("requestBody", {}).get("content", {})]
        for media in (media for content in contents for media in content.values()):
            assert media["examples"], operation["operationId"]


def test_every_operation_is_named_described_and_filed(document):
    tags = {one["name"] for one in document["tags"]}
    names = [one["operationId"] for one in operations(document)]

    assert len(names) == len(set(names)) == 23
    for operation in operations(document):
        assert re.fullmatch(r"[a-z]+([A-Z][a-z]+)*", operation["operationId"])
        assert operation["summary"]
        assert operation["description"]
        assert tags.issuperset(operation["tags"])


def test_every_parameter_and_every_property_is_described(document):
    for operation in operations(document):
        assert all(one["description"] for one in operation.get("parameters", ()))
    for name, component in document["components"]["schemas"].items():
        for place, schema in schemas(component, name):
            for key, one in schema.get("properties", {}).items():
                assert one.get("description") or "$ref" in one, f"{place}/{key}"


def test_every_text_list_and_whole_number_is_bounded(document):
    for name, component in document["components"]["schemas"].items():
        for place, schema in schemas(component, name):
            if schema.get("type") == "string":
                assert schema.keys() & {"enum", "const", "maxLength"}, place
            if schema.get("type") == "array":
                assert "maxItems" in schema, place
            if schema.get("type") == "integer":
                assert {"minimum", "maximum", "format"} <= schema.keys(), place


def test_every_answer_declares_request_id_and_trace(document):
    answers = [one for operation in operations(document) for one in operation["responses"].values()]
    for answer in [*answers, *document["components"]["responses"].values()]:
        if "$ref" not in answer:
            assert {"X-Request-ID", "traceparent"} <= answer["headers"].keys()


def test_every_refusal_is_a_problem_of_rfc_9457_or_an_outcome_of_fhir(document):
    for status, answer in document["components"]["responses"].items():
        if status.startswith("cds-"):
            assert list(answer["content"]) == ["application/json"]
        elif status != "304":
            assert list(answer["content"]) == ["application/problem+json"]


def test_every_answer_tells_of_limits_and_of_origins(document):
    told = {"RateLimit", "RateLimit-Policy", "Access-Control-Allow-Origin"}
    for answer in (one for operation in operations(document) for one in operation["responses"].values()):
        whole = document["components"]["responses"][answer["$ref"].rpartition("/")[2]] if "$ref" in answer else answer
        assert told <= whole["headers"].keys()
    assert not any(document["components"]["headers"][name]["required"] for name in told)


def test_every_operation_names_the_credentials_that_it_takes(document):
    for path, methods in document["paths"].items():
        expected = {"/v1/": [{}, {"apiKey": []}], "/cds": [{}, {"apiKey": []}, {"cdsToken": []}]}.get(path[:4], [{}])
        assert [one["security"] for one in methods.values()] == [expected]
    used = {name for one in operations(document) for taken in one["security"] for name in taken}
    assert used == document["components"]["securitySchemes"].keys()


def test_every_refusal_that_any_operation_may_meet_is_in_each(document):
    for operation in operations(document):
        expected = {"401", "405", "406", "429", "500", "503"}
        if operation["operationId"] in ("livez", "readMetrics"):  # what watches the service is never turned away
            expected -= {"503"}
        assert expected <= operation["responses"].keys()


def test_links_lead_from_an_answer_to_the_rules(document):
    links = document["paths"]["/v1/recommendations"]["post"]["responses"]["200"]["links"]
    onward = document["paths"]["/v1/rules"]["get"]["responses"]["200"]["links"]

    assert links["rules"]["operationId"] == "listRules"
    assert onward["rule"]["operationId"] == "readRule"


def test_the_case_of_the_document_has_every_input_of_the_vocabulary(document, toy_book):
    parts = document["components"]["schemas"]
    for one in toy_book.vocabulary.inputs.values():
        schema = parts[f"{one.about.capitalize()}Message"]["properties"][one.name]
        assert one.question in schema["description"]


def test_the_framework_describes_the_service_in_the_same_words(ask, document):
    assert ask.app.openapi() == document


def test_every_text_says_how_it_is_written(document):
    for name, component in document["components"]["schemas"].items():
        for place, schema in schemas(component, name):
            if schema.get("type") == "string":
                assert schema.keys() & {"const", "enum", "format", "pattern"}, place


SHOWN = {
    "/v1/rule-book": "RuleBookPage",
    "/v1/sources": "SourceList",
    "/v1/vocabulary": "VocabularyPage",
    "/version": "VersionPage",
    "/cds-services": "CdsServiceList",
}


def schema_of(path):
    """The name of the schema that the page at a path is described by."""
    for beginning, name in (("/v1/rules/", "RulePage"), ("/v1/rules", "RuleList"), ("/problems/", "ProblemPage")):
        if path.startswith(beginning):
            return name
    return "CodeSystem" if path.startswith("/fhir/") else SHOWN.get(path)


def test_every_page_of_the_shipped_rule_book_is_what_the_document_says(shipped_pages, committed):
    validator = resolver(committed)
    pages = {path: page for path, page in shipped_pages.items() if schema_of(path)}

    assert len(pages) > 150
    for path, page in pages.items():
        reference = {"$ref": f"#/components/schemas/{schema_of(path)}"}
        faults = [error.message[:200] for error in validator(reference).iter_errors(json.loads(page.body))]
        assert faults == [], path
