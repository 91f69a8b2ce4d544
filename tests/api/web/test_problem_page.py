"""Problems as a person sees them in a browser, and as a program gets them at the same addresses and at its own."""

import dataclasses

import pytest

from api.shelves import Shelves
from decision.errors import MatcherFault
from tests.api.test_problems import FailingBook
from tests.api.web.test_routes import FORM

BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
PROGRAM = "application/problem+json"


@pytest.mark.parametrize(
    ("method", "path", "how", "status", "title"),
    [
        ("GET", "/nowhere", {}, 404, "There is nothing at this address"),
        ("GET", "/handbook/plan/no_such_rule", {}, 404, "There is nothing at this address"),
        ("DELETE", "/handbook", {}, 405, "The method is not allowed here"),
        ("POST", "/", {"content": b"{}"}, 415, "The media type of the body is not supported"),
        ("POST", "/", {"content": b"&".join([b"a=1"] * 4001)}, 413, "The body is too large"),
        ("POST", "/record", {"content": b"lesions.0.lesion_id=a&lesions.0.ulcerated=maybe"}, 422, "The case cannot"),
    ],
)
def test_a_person_who_comes_to_a_page_is_told_a_problem_as_a_page(ask, method, path, how, status, title):
    form = {} if how.get("content") == b"{}" else FORM
    answer = ask(method, path, headers={**BROWSER, **form}, **how)

    assert answer.status_code == status
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["content-security-policy"].startswith("default-src 'self';")
    assert f"<h1>{title}" in answer.text
    assert answer.headers["x-request-id"] in answer.text


def test_what_is_wrong_in_a_form_is_listed_without_what_was_written(ask):
    answer = ask(
        "POST", "/record", headers={**BROWSER, **FORM}, content=b"lesions.0.lesion_id=a&patient.species=Rosalinde"
    )

    assert "#/patient/species" in answer.text
    assert "Rosalinde" not in answer.text
    assert "JSON" not in answer.text


def test_a_person_who_never_sent_a_form_is_not_told_to_go_back_to_it(ask):
    page = ask("GET", "/record", headers=BROWSER).text

    assert "Go back" not in page
    assert "State a case" in page


def test_a_page_of_a_wrong_method_names_the_right_ones(ask):
    allowed = ask("DELETE", "/handbook", headers=BROWSER).headers["allow"]

    assert set(allowed.split(", ")) == {"GET", "HEAD"}


@pytest.mark.parametrize("accept", ["*/*", "application/json", "application/json, text/html", PROGRAM])
def test_a_program_that_comes_to_a_page_gets_a_problem_document(ask, accept):
    answer = ask("GET", "/nowhere", headers={"Accept": accept})

    assert answer.headers["content-type"] == PROGRAM


@pytest.mark.parametrize("path", ["/v1/nowhere", "/v1/rules/plan/no_such_rule", "/problems/none", "/version/of", "/v1"])
def test_an_address_of_programs_answers_a_browser_as_it_answers_programs(ask, path):
    answer = ask("GET", path, headers=BROWSER)

    assert (answer.status_code, answer.headers["content-type"]) == (404, PROGRAM)


def test_a_call_of_a_hook_is_refused_as_its_protocol_says(ask):
    assert "issue" in ask("POST", "/cds-services/none", headers=BROWSER, content=b"{}").json()


@pytest.mark.parametrize(
    ("fault", "advice"),
    [
        (MatcherFault("suitability", "lost"), "Decide without this service"),
        (ZeroDivisionError("Rosalinde"), "Tell the operator"),
    ],
)
def test_a_fault_of_the_service_is_told_as_a_page_that_says_what_to_do(ask, toy_book, fault, advice):
    failing = FailingBook(toy_book, fault)
    failing.vocabulary = toy_book.vocabulary
    ask.app.state.service = dataclasses.replace(ask.app.state.service, book=failing, shelves=Shelves(failing))

    answer = ask("POST", "/", headers={**BROWSER, **FORM}, content=b"patient.species=dog")

    assert answer.status_code == 500
    assert advice in answer.text
    assert "Rosalinde" not in answer.text
