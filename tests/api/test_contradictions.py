"""A case whose facts contradict each other, at each door: refused at its fields, never with a value, and once told."""

import json

import pytest

from api.app import create_app
from api.settings import Settings
from tests.api.conftest import Asking

SAYS = "The weight stated is beyond any cat (0.03 to 35 kg): check weight, its unit, and species."
ERRORS = [
    {"pointer": "#/patient/species", "code": "contradiction", "detail": SAYS},
    {"pointer": "#/patient/weight_kg", "code": "contradiction", "detail": SAYS},
]
CAT = {"patient": {"species": "cat", "weight_kg": 417.5}, "lesions": [{"lesion_id": "ear"}]}


@pytest.fixture(scope="module")
def service(shipped_book):
    return Asking(create_app(shipped_book, Settings()))


def test_a_case_that_cannot_be_is_a_422_with_an_error_at_each_field(service):
    answer = service("POST", "/v1/recommendations", json=CAT)

    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/unusable-case")
    assert answer.json()["errors"] == ERRORS
    assert "417" not in answer.text


@pytest.mark.parametrize(("path", "part"), [("/v1/cycle-reviews", "cycle"), ("/v1/healing-reviews", "healing")])
def test_a_review_is_refused_alike(service, path, part):
    answer = service("POST", path, json={"patient": CAT["patient"], "lesion": {}, part: {}})

    assert (answer.status_code, answer.json()["errors"]) == (422, ERRORS)


def test_it_is_a_problem_of_its_line_in_a_batch(service):
    can_be = {**CAT, "patient": {"species": "cat", "weight_kg": 4.2}}
    text = b"\n".join(json.dumps(one).encode() for one in (can_be, CAT))

    answer = service("POST", "/v1/batches", content=text, headers={"Content-Type": "application/x-ndjson"})

    first, second = (json.loads(line) for line in answer.text.splitlines())
    assert "answer" in first
    assert second["problem"]["errors"] == ERRORS


def test_the_vocabulary_tells_what_cannot_be_together_and_what_keeps_a_presumption_away(service):
    told = service("GET", "/v1/vocabulary").json()

    assert {"contradiction": "cat_weight_kg_over", "inputs": ["species", "weight_kg"], "says": SAYS} in told[
        "contradictions"
    ]
    unless = {one["input"]: one["presumed_unless"] for one in told["inputs"]}
    assert unless["earlier_freezes"] == {"earlier_freeze_result": [], "days_since_last_freeze": []}
    assert unless["systemically_ill"] == {"eating_now": [False]}
    assert unless["pregnant"] == {}
