"""An answer that is only sent as JSON is, byte for byte, the answer that everybody gets."""

from __future__ import annotations

import datetime
import random

import orjson
import pytest

from decision.written import as_data, as_json
from tests.benchmarks.many_cases import many_cases

TODAY = datetime.date(2026, 11, 24)
CASES = 300


@pytest.mark.parametrize("trace", [False, True])
def test_an_answer_for_json_has_the_bytes_of_the_answer_as_data(shipped_book, trace):
    cases = [shipped_book.read(one, today=TODAY) for one in many_cases(shipped_book.vocabulary, CASES, seed=5)]
    order = random.Random(7).sample(range(CASES), CASES)

    # In another order, so that what is kept for one is not always made by the same case.
    for_json = {i: orjson.dumps(shipped_book.recommend(cases[i], trace=trace, for_json=True)) for i in order}

    as_told = [orjson.dumps(shipped_book.recommend(case, trace=trace)) for case in cases]
    assert [for_json[i] for i in range(CASES)] == as_told


def test_parts_of_an_answer_for_json_are_written_already(shipped_book):
    case = next(many_cases(shipped_book.vocabulary, 1, seed=5))

    answers = [shipped_book.recommend(case, for_json=for_json)["lesions"][0] for for_json in (False, True)]

    plain, written = (answer["suitability"]["reasons"] + answer["cautions"] for answer in answers)
    assert all(isinstance(one, dict) for one in plain)
    assert any(isinstance(one, orjson.Fragment) for one in written)


def test_data_stays_as_it_is():
    part = {"rule": "suitability/one"}

    assert as_data(part) is part
    assert orjson.dumps(as_json(part)) == orjson.dumps(part)
