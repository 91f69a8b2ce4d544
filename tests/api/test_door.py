import pytest


@pytest.mark.parametrize(
    ("path", "accept"),
    [
        ("/v1/rules", "text/html"),
        ("/livez", "application/problem+json"),
        ("/docs", "application/json"),
        ("/openapi.json", "application/json;q=0, */*"),
    ],
)
def test_an_accept_header_that_excludes_the_answer_is_a_406_that_says_what_there_is(ask, path, accept):
    answer = ask("GET", path, headers={"Accept": accept})

    assert answer.status_code == 406
    assert answer.json()["type"] == "/problems/not-acceptable"
    assert "this operation answers with" in answer.json()["detail"]


def test_accept_is_looked_at_before_the_body(ask):
    assert ask.recommend("{", headers={"Accept": "text/html"}).status_code == 406


def test_several_accept_headers_are_read_as_one(ask):
    headers = [("Accept", "text/html"), ("Accept", "application/json")]

    assert ask("GET", "/livez", headers=headers).status_code == 200


@pytest.mark.parametrize(
    ("path", "vary"),
    [
        ("/fhir/CodeSystem/species", "Accept"),
        ("/v1/estimates?applicator=cone&diameter_mm=5&seconds=20&site=trunk", "Accept"),
        ("/v1/rules", None),
    ],
)
def test_a_cache_is_told_to_keep_apart_what_is_answered_in_several_forms(ask, path, vary):
    assert ask("GET", path).headers.get("vary") == vary


@pytest.mark.parametrize(
    ("query", "parameter", "code"),
    [
        ("trace=none", "trace", "not_allowed"),
        ("trace=", "trace", "not_allowed"),
        ("trace=full&trace=full", "trace", "repeated"),
        ("trcae=full", "trcae", "unknown_parameter"),
        ("Rosalinde=full", None, "unknown_parameter"),
    ],
)
def test_a_query_that_the_operation_does_not_state_is_a_400(ask, toy_case, query, parameter, code):
    answer = ask("POST", f"/v1/recommendations?{query}", json=toy_case)

    assert answer.status_code == 400
    assert answer.json()["type"] == "/problems/unusable-parameter"
    assert [(one.get("parameter"), one["code"]) for one in answer.json()["errors"]] == [(parameter, code)]


def test_a_refused_query_says_what_is_allowed(ask, toy_case):
    answer = ask("POST", "/v1/recommendations?trace=all", json=toy_case)

    assert answer.json()["detail"] == "trace must be one of: full."


def test_an_if_none_match_that_is_too_long_is_a_400(ask):
    answer = ask("GET", "/v1/rules", headers={"If-None-Match": '"' + "0" * 1_000})

    assert answer.status_code == 400
    assert answer.json()["detail"] == "If-None-Match must have at most 1000 characters."
