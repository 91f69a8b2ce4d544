"""Canonical bytes: the short road for cases against the library that defines them."""

import math

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from decision.record import canonical_bytes, case_bytes, digest_of, sha256_of
from tests.random_rules import STEADY

NUMBERS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(2**53) + 1, 2**53 - 1),
    st.integers(-1000, 1000).map(float),
    st.integers(-10000, 10000).map(lambda number: number / 100),
)
KEYS = st.text(st.characters(max_codepoint=127), max_size=8)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
DATA = st.recursive(
    st.one_of(st.booleans(), NUMBERS, TEXTS, st.none()),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(KEYS, inner, max_size=4)),
    max_leaves=12,
)


@STEADY
@given(st.dictionaries(KEYS, DATA, max_size=5))
def test_the_bytes_of_a_case_are_those_of_rfc_8785(case):
    assert case_bytes(case) == rfc8785.dumps(case)


@pytest.mark.parametrize(
    "number",
    [
        0.0,
        -0.0,
        1e-4,
        math.nextafter(1e-4, 0),
        1e-5,
        1e-6,
        1e-7,
        1e15,
        math.nextafter(1e15, 0),
        1e16,
        1e20,
        1e21,
        5e-324,
        1.7976931348623157e308,
        0.1 + 0.2,
        123456.789,
    ],
)
def test_a_number_near_an_edge_of_the_short_road_has_the_bytes_of_rfc_8785(number):
    assert case_bytes({"n": [number, -number]}) == rfc8785.dumps({"n": [number, -number]})


def test_ten_and_ten_point_nought_are_one_number():
    assert case_bytes({"width": 10}) == case_bytes({"width": 10.0})


def test_one_and_true_are_two_things():
    assert case_bytes({"wet": 1}) != case_bytes({"wet": True})


def test_ten_and_its_text_are_two_things():
    assert case_bytes({"site": "10"}) != case_bytes({"site": 10})


def test_the_order_of_keys_does_not_matter():
    assert case_bytes({"b": {"d": 1, "c": 2}, "a": 3}) == case_bytes({"a": 3, "b": {"c": 2, "d": 1}})


def test_the_order_of_a_list_matters():
    assert case_bytes({"a": [1, 2]}) != case_bytes({"a": [2, 1]})


def test_the_data_of_a_case_is_not_changed_by_writing_its_bytes():
    case = {"width": 10.0, "lesions": [{"height": 2.0}]}

    case_bytes(case)

    assert [type(case["width"]), type(case["lesions"][0]["height"])] == [float, float]


def test_a_digest_is_sha_256_with_its_name():
    empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"  # FIPS 180-4, of no bytes

    assert sha256_of(b"") == f"sha-256:{empty}"


def test_the_digest_of_data_is_that_of_its_canonical_bytes():
    assert digest_of({"b": 10.0, "a": 1}) == sha256_of(canonical_bytes({"a": 1, "b": 10}))
