import dataclasses
import datetime
import logging

import pytest
from starlette.exceptions import HTTPException

from api.app import create_app
from api.cds.kinds import CDS_KINDS
from api.problem_kinds import HEAD_KINDS, KINDS, kind_of_status
from api.settings import Settings
from api.shelves import Shelves
from decision.errors import MatcherFault

SECRET = "Rosalinde"


class FailingBook:
    """A rule book whose answer fails in a given way."""

    def __init__(self, book, fault):
        self.digest = book.digest
        self.read, self.folder, self.version = book.read, book.folder, book.version
        self._fault = fault

    def recommend(self, case, *, trace=False, for_json=False):
        raise self._fault


@pytest.fixture
def ask_failing(ask, toy_book):
    def failing(fault):
        book = FailingBook(toy_book, fault)
        ask.app.state.service = dataclasses.replace(ask.app.state.service, book=book, shelves=Shelves(book))
        return ask

    return failing


def test_a_problem_document_has_every_member_of_rfc_9457_and_the_request_id(ask):
    answer = ask("GET", "/nowhere", headers={"X-Request-ID": "visit-2026-0117"})

    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json() == {
        "type": "/problems/not-found",
        "title": "There is nothing at this address",
        "status": 404,
        "detail": KINDS["not-found"].meaning,
        "instance": "/problems/not-found#visit-2026-0117",
        "request_id": "visit-2026-0117",
        "errors": [],
    }


@pytest.mark.parametrize("kind", [*KINDS.values(), *HEAD_KINDS.values(), *CDS_KINDS], ids=lambda kind: kind.name)
def test_every_kind_of_problem_has_a_page_that_explains_it(ask, kind):
    page = ask("GET", f"/problems/{kind.name}")

    assert page.status_code == 200
    assert page.json()["status"] == kind.status
    assert page.json()["meaning"]
    assert page.json()["remedy"]


def test_pages_of_problems_may_be_named_at_another_address(toy_book, ask):
    ask.app = create_app(toy_book, Settings(docs_url="https://docs.example.org/thawline"))

    problem = ask("GET", "/nowhere").json()

    assert problem["type"] == "https://docs.example.org/thawline/problems/not-found"
    assert problem["instance"].startswith(problem["type"] + "#")


def test_an_unknown_kind_of_problem_has_no_page(ask):
    assert ask("GET", "/problems/nothing").status_code == 404


def test_a_wrong_method_is_a_405_that_lists_the_allowed_ones(ask):
    for method, path, allowed in [
        ("PUT", "/v1/recommendations", "POST"),
        ("GET", "/v1/recommendations", "POST"),
        ("HEAD", "/v1/recommendations", "POST"),
        ("DELETE", "/v1/rules", "GET, HEAD"),
        ("OPTIONS", "/livez", "GET, HEAD"),
    ]:
        answer = ask(method, path)

        assert (answer.status_code, answer.headers["allow"]) == (405, allowed)


def test_the_path_of_a_request_is_never_echoed(ask):
    for path in (f"/{SECRET}", f"/v1/rules/{SECRET}/{SECRET}", f"/v1/rules?decision={SECRET}", f"/livez?{SECRET}=1"):
        answer = ask("GET", path)

        assert answer.status_code in (400, 404)
        assert SECRET not in answer.text


def test_an_unforeseen_fault_is_a_500_without_a_trace_of_the_code(ask_failing, toy_case, caplog):
    ask = ask_failing(KeyError(SECRET))

    with caplog.at_level(logging.ERROR, logger="thawline"):
        answer = ask.recommend(toy_case)

    assert answer.status_code == 500
    assert answer.json()["type"] == "/problems/internal-fault"
    assert answer.headers["x-content-type-options"] == "nosniff"
    for word in (SECRET, "KeyError", "Traceback", ".py"):
        assert word not in answer.text


def test_the_log_of_a_500_has_its_request_id_and_place_and_no_value(ask_failing, toy_case, caplog):
    ask = ask_failing(KeyError(SECRET))

    with caplog.at_level(logging.ERROR, logger="thawline"):
        answer = ask.recommend(toy_case)

    assert answer.json()["request_id"] in caplog.text
    assert answer.headers["x-request-id"] == answer.json()["request_id"]
    assert "failed with KeyError" in caplog.text
    assert "test_problems.py" in caplog.text  # where it was raised
    assert SECRET not in caplog.text


def test_a_disagreement_in_matching_is_a_500_logged_with_the_digests(ask_failing, toy_book, toy_case, caplog):
    ask = ask_failing(MatcherFault("the two means of matching differ in suitability."))

    with caplog.at_level(logging.ERROR, logger="thawline"):
        answer = ask.recommend(toy_case)

    case = toy_book.read(toy_case, today=datetime.date(2026, 11, 24))
    assert answer.status_code == 500
    assert answer.json()["type"] == "/problems/matching-disagreed"
    for named in (answer.json()["request_id"], case.digest, toy_book.digest):
        assert named in caplog.text
    assert "dog" not in caplog.text


def test_an_error_that_the_framework_raises_is_a_problem_without_its_words(ask_failing, toy_case):
    ask = ask_failing(HTTPException(418, detail=SECRET))

    answer = ask.recommend(toy_case)

    assert answer.status_code == 400
    assert answer.json()["type"] == "/problems/bad-request"
    assert SECRET not in answer.text


@pytest.mark.parametrize(
    ("status", "name"), [(404, "not-found"), (405, "method-not-allowed"), (422, "bad-request"), (502, "internal-fault")]
)
def test_every_status_stands_for_some_kind(status, name):
    assert kind_of_status(status) is KINDS[name]
